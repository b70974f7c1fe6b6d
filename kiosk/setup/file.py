"""Edit the settings file: answers are put in, and everything else stays, including comments and order.

Where the file names layers, what these say already is left to them.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import Table

from kiosk.errors import CannotWrite, SettingsRefused, os_reason
from kiosk.settings import settings_from
from kiosk.settings.layers import layers_of, merged, origin
from kiosk.system.atomic_files import write_whole

TEMPLATE = Path(__file__).with_name("template.toml")
SYSTEM = Path("/etc/holdstill")
SYSTEM_PLACES = {
    "booth": {"session_folder": "/run/holdstill", "state_folder": "/var/lib/holdstill"},
    "printer": {"folder": "/var/lib/holdstill/prints"},
    "logs": {"folder": "/var/log/holdstill"},
}
"""The folders of a booth installed by hardware/os, according to the Filesystem Hierarchy Standard 3.0."""

Answers = Mapping[str, Mapping[str, Any]]


class SettingsFile:
    """A settings file, which need not exist yet.

    Raises
    ------
    SettingsRefused
        The existing file has a fault, which a person must correct first.
    CannotWrite
        The file's folder does not exist.
    """

    def __init__(self, path: Path, system: Path = SYSTEM) -> None:
        self.path = path
        self.is_new = not path.exists()
        if not path.parent.is_dir():
            raise CannotWrite(path=path, detail="its folder does not exist")
        if self.is_new:
            self._text = _new(SYSTEM_PLACES if path.parent == system else {})
        else:
            self._text = path.read_text(encoding="utf-8")
            settings_from(self._text, path)
        self._layers = layers_of(self._text, path)

    @property
    def now(self) -> dict[str, dict[str, Any]]:
        """The current values by section, its layers' too; the template supplies those that nothing says."""
        template = tomlkit.parse(_new({})).unwrap()
        said = {section: values for section, values in merged(self._layers).items() if isinstance(values, dict)}
        devices: dict[str, dict[str, Any]] = {
            name: said[name] for name in ("camera", "printer", "payment") if name in said
        }
        event = {"event": said["event"]} if "event" in said else {}
        return {**{section: {**template[section], **said.get(section, {})} for section in template}, **devices, **event}

    def text(self, answers: Answers) -> str:
        """Return the file with the answers in it; keys with the answer None are removed, and so is an unused [event].

        Raises
        ------
        SettingsRefused
            The result is not a valid settings file, or a layer says what the answers take away.
        """
        edited, template = tomlkit.parse(self._text), tomlkit.parse(_new({}))
        wide = merged(self._layers[:-1])
        for section, values in answers.items():
            said = _said(wide.get(section, {}), values)
            for key in said:
                if _takes_away(section, key, values):
                    file = origin(self._layers[:-1], (section, key))
                    detail = "the booth's own file cannot take away what this one says; change it there"
                    raise SettingsRefused(path=file, where=f"{section}.{key}", detail=detail)
            table = edited.get(section)
            if table is None:
                if wide and all(value is None or said.get(key) == value for key, value in values.items()):
                    continue
                table = edited[section] = tomlkit.table() if wide else template.get(section, tomlkit.table())
            _drop_others(section, table, values, table.get("backend", said.get("backend")))
            for key, value in values.items():
                if value is not None and table.get(key, said.get(key)) != value:
                    table[key] = value
        if "event" not in answers:
            edited.pop("event", None)
        text = tomlkit.dumps(edited)
        settings_from(text, self.path)
        return text

    def write(self, text: str) -> None:
        """Write the file atomically; a new one is readable by its folder's group, which on a booth is the booth's.

        Raises
        ------
        CannotWrite
            The file cannot be written and is unchanged.
        """
        try:
            write_whole(self.path, text.encode())
            if self.is_new:
                self.path.chmod(0o640)
        except OSError as error:
            raise CannotWrite(path=self.path, detail=os_reason(error)) from error


def _new(places: Answers) -> str:
    """Return the template with these places filled in."""
    template = tomlkit.parse(TEMPLATE.read_text(encoding="utf-8"))
    for section, values in places.items():
        for key, value in values.items():
            template[section][key] = value
    return tomlkit.dumps(template)


def _said(wide: dict[str, Any], values: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the layers say of a section and goes on to say: nothing of it if the answers name another device."""
    return wide if wide.get("backend") == values.get("backend", wide.get("backend")) else {}


def _drop_others(section: str, table: Table, values: Mapping[str, Any], backend: str | None) -> None:
    """Remove the keys of the previous `backend`, which would be refused, and a price that is no longer shown."""
    changes = "backend" in values and backend != values["backend"]
    for key in list(table):
        if (changes and key not in values) or _takes_away(section, key, values):
            table.pop(key)


def _takes_away(section: str, key: str, values: Mapping[str, Any]) -> bool:
    """Return whether the answers say that there is no such value, such as a price."""
    if (section, key) == ("prices", "sheet"):
        return values.get(key) is None
    return key in values and values[key] is None
