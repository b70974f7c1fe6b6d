"""The camera's own settings: saved, changed for the session, and restored at its end.

No name and no value is assumed: a role such as `iso` has several possible names, the camera says which it has, and a
value is one of the camera's own choices or none.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from kiosk.core.camera_setup.exposure import Setting, nearest_time
from kiosk.devices.gphoto2.connect import Connection, ConnectionLost
from kiosk.errors import CameraFault, CameraSettingRefused

WATCHED = ("iso", "aperture", "shutter", "white_balance")
"""The roles by which a photo differs from sitter to sitter: a change is told even if nothing sets them again."""
_BY_HAND = ("m", "manual", "bulb")
"""The exposure modes in which a body sets nothing by itself, in the words of libgphoto2 (camlibs/ptp2/config.c)."""


@dataclass
class CameraSettings:
    """The settings of one connection.

    Attributes
    ----------
    names
        For each role, the names a camera may give it.
    """

    connection: Connection
    names: Mapping[str, Sequence[str]]
    _before: dict[str, str] = field(default_factory=dict)
    _held: dict[str, str] = field(default_factory=dict)
    _found: dict[str, str] = field(default_factory=dict)
    _told: set[str] = field(default_factory=set)

    def read(self, role: str) -> str | None:
        """Return a role's present value, or None where this camera has no such setting."""
        name = self._name(role)
        return None if name is None else str(self.connection.call("get_single_config", name).get_value())

    def all(self) -> dict[str, Setting]:
        """Return every role that the camera has, with its present value and those it offers."""
        values = {role: self.read(role) for role in self.names}
        return {role: Setting(now, self.choices(role)) for role, now in values.items() if now is not None}

    def choices(self, role: str) -> tuple[str, ...]:
        """Return the values that a role can take; empty if the camera has no such setting or accepts any value."""
        name = self._name(role)
        return () if name is None else self._choices(self.connection.call("get_single_config", name))

    def prefer(self, role: str, wanted: Iterable[str]) -> str | None:
        """Set a role to the first of the wanted values that the camera offers, and return it."""
        name = self._name(role)
        if name is None:
            return None
        offered = self._choices(self.connection.call("get_single_config", name))
        found = (_offered(role, value, offered) for value in wanted)
        chosen = next((choice for choice in found if choice is not None), None)
        if chosen is not None:
            self._set(name, chosen)
            self._held[role] = chosen
        return chosen

    def require(self, role: str, value: str) -> None:
        """Set a role to a value.

        Raises
        ------
        CameraSettingRefused
            The camera has no such setting, or does not offer the value.
        """
        if self._name(role) is None:
            raise CameraSettingRefused(role=role, value=value, offered="it has no such setting")
        if self.prefer(role, [value]) is None:
            raise CameraSettingRefused(role=role, value=value, offered=f"it offers {', '.join(self.choices(role))}")

    def set_again(self) -> list[str]:
        """Undo changes that were made by hand on the camera, and return a sentence about each.

        Raises
        ------
        ConnectionLost
            The camera is gone.
        """
        notices = []
        for role, value in self._held.items():
            now = self.read(role)
            if now in (None, value):
                continue
            words = in_words(role)
            try:
                self._write(self._name(role) or "", value)
            except ConnectionLost:
                raise
            except CameraFault:
                notices.append(f"The camera's {words} was turned to {now}, and it does not take {value} any more.")
            else:
                notices.append(f"The camera's {words} was turned to {now} by hand; it is set to {value} again.")
        return notices

    def remember(self) -> None:
        """Remember the watched roles that nothing sets, for `changed`."""
        values = {role: self.read(role) for role in WATCHED if role not in self._held}
        self._found = {role: now for role, now in values.items() if now is not None}

    def changed(self) -> list[str]:
        """Return a sentence about each remembered role that has changed, once until it is as it was.

        A body that exposes by itself changes them too, so that no hand is named.
        """
        notices = []
        for role, value in self._found.items():
            now = self.read(role)
            if now in (None, value):
                self._told.discard(role)
            elif role not in self._told:
                self._told.add(role)
                notices.append(f"The camera's {in_words(role)} was {value} when it was connected, and is {now} now.")
        return notices

    def battery_percent(self) -> int | None:
        """Return the battery's charge, or None where the camera does not give it as a percentage."""
        charge = re.fullmatch(r"(\d{1,3}) ?%?", self.read("battery") or "")
        return int(charge[1]) if charge else None

    def restore(self) -> None:
        """Restore what was changed, last first; a value that the camera now refuses is skipped."""
        for name, value in reversed(self._before.items()):
            with contextlib.suppress(CameraFault):
                self._write(name, value)
        self._before.clear()
        self._held.clear()

    def _set(self, name: str, value: str) -> None:
        before = str(self.connection.call("get_single_config", name).get_value())
        if before != value:
            self._before.setdefault(name, before)
            self._write(name, value)

    def _write(self, name: str, value: str) -> None:
        widget = self.connection.call("get_single_config", name)
        widget.set_value(value)
        self.connection.call("set_single_config", name, widget)

    def _name(self, role: str) -> str | None:
        for name in self.names.get(role, ()):
            try:
                widget = self.connection.call("get_single_config", name)
            except ConnectionLost:
                raise
            except CameraFault:
                continue
            if widget is not None:
                return name
        return None

    def _choices(self, widget: object) -> tuple[str, ...]:
        library = self.connection.library
        kind = widget.get_type()  # type: ignore[attr-defined]
        if kind not in (library.GP_WIDGET_RADIO, library.GP_WIDGET_MENU):
            return ()
        return tuple(widget.get_choices())  # type: ignore[attr-defined]


def automatic_among(settings: Mapping[str, Setting]) -> tuple[str, ...]:
    """Return what the body sets by itself, as far as its settings say so: the exposure, and watched roles."""
    now = {role: setting.now.lower() for role, setting in settings.items()}
    found = {"exposure": now.get("exposure_mode", _BY_HAND[0]) not in _BY_HAND}
    found |= {role: "auto" in now.get(role, "") for role in WATCHED}
    found["iso"] |= now.get("auto_iso") == "on"
    return tuple(in_words(role) for role, by_itself in found.items() if by_itself)


def in_words(role: str) -> str:
    """Return a role as a sentence calls it."""
    return "ISO" if role == "iso" else role.replace("_", " ")


def _offered(role: str, value: str, choices: Sequence[str]) -> str | None:
    """Return the choice that means a value; exposure times are compared as times; bodies write them variously."""
    same = next((choice for choice in choices if _plain(choice) == _plain(value)), None)
    return nearest_time(value, choices) if same is None and role == "shutter" else same


def _plain(value: str) -> str:
    """Return a value in the form for comparison: cameras differ in capitals and spaces, and write `f/8` or `8`."""
    return "".join(value.lower().split()).removeprefix("f/")
