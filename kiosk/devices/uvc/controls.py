"""A webcam's own controls (V4L2): set for the session, and put back at its end.

A webcam left to itself changes exposure and colour from sitter to sitter, and hunts for focus in the middle of a shot.
Under lamps on the mains its picture flickers unless it knows the frequency of the mains, which OpenCV cannot set.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

import cv2

from kiosk.devices.uvc.video_node import (
    AUTO_WHITE_BALANCE,
    AUTOGAIN,
    EXPOSURE_AUTO,
    FOCUS_AUTO,
    POWER_LINE_FREQUENCY,
    VideoNode,
)
from kiosk.errors import CameraSettingRefused

_ABSENT = -1.0
"""What OpenCV answers of a control that the webcam does not have (`getProperty` in `cap_v4l.cpp`)."""

_MANUAL_EXPOSURE = 1.0
"""V4L2_EXPOSURE_MANUAL, Linux media user space API, camera control reference; every other mode is automatic."""

CONTROLS: dict[str, int] = {
    "exposure": cv2.CAP_PROP_EXPOSURE,
    "gain": cv2.CAP_PROP_GAIN,
    "white_balance": cv2.CAP_PROP_WB_TEMPERATURE,
    "focus": cv2.CAP_PROP_FOCUS,
    "brightness": cv2.CAP_PROP_BRIGHTNESS,
    "contrast": cv2.CAP_PROP_CONTRAST,
    "saturation": cv2.CAP_PROP_SATURATION,
    "sharpness": cv2.CAP_PROP_SHARPNESS,
}
"""OpenCV's numbers of the controls, by name."""

_AUTOMATIC: dict[str, tuple[int, float]] = {
    "exposure": (cv2.CAP_PROP_AUTO_EXPOSURE, _MANUAL_EXPOSURE),
    "white_balance": (cv2.CAP_PROP_AUTO_WB, 0.0),
    "focus": (cv2.CAP_PROP_AUTOFOCUS, 0.0),
}
"""What has to be switched off before a value is taken, and how; OpenCV has no number for the automatic gain."""

_AUTOMATIC_MODES: dict[str, tuple[int, int]] = {
    "exposure": (EXPOSURE_AUTO, int(_MANUAL_EXPOSURE)),
    "gain": (AUTOGAIN, 0),
    "white balance": (AUTO_WHITE_BALANCE, 0),
    "focus": (FOCUS_AUTO, 0),
}
"""The control of each automatic mode, and its value when the mode is off."""

_MAINS: dict[int, int] = {50: 1, 60: 2}
"""V4L2_CID_POWER_LINE_FREQUENCY_50HZ and _60HZ (Linux media user space API, user control reference)."""


class Controlled(Protocol):
    """The part of `cv2.VideoCapture` that is used."""

    def get(self, property_id: int, /) -> float: ...  # noqa: D102

    def set(self, property_id: int, value: float, /) -> bool: ...  # noqa: D102


class Controls:
    """The controls of one open webcam: by OpenCV what it knows, the rest by the device file."""

    def __init__(self, capture: Controlled, node: VideoNode) -> None:
        self._capture = capture
        self._node = node
        self._before: list[tuple[int, float]] = []
        self._node_before: list[tuple[int, int]] = []

    def adjust(self, wanted: Mapping[str, float]) -> None:
        """Set controls by name, in the webcam's own units.

        Raises
        ------
        CameraSettingRefused
            The webcam does not have one of them, or does not take its value.
        """
        for name, value in wanted.items():
            if name in _AUTOMATIC:
                self._set(*_AUTOMATIC[name])
            if name == "gain":
                self._put(AUTOGAIN, 0)
            if not self._set(CONTROLS[name], value):
                now = self._capture.get(CONTROLS[name])
                offered = "it has no such setting" if now == _ABSENT else f"it stays at {now:g}"
                raise CameraSettingRefused(role=name, value=f"{value:g}", offered=offered)

    def adjust_to_mains(self, mains_hz: int) -> None:
        """Set the frequency of the mains, 50 or 60 Hz.

        Raises
        ------
        CameraSettingRefused
            The webcam has no such control, or does not take the value.
        """
        if self._node.value(POWER_LINE_FREQUENCY) is None:
            raise CameraSettingRefused(role="mains_hz", value=str(mains_hz), offered="it has no such setting")
        if not self._put(POWER_LINE_FREQUENCY, _MAINS[mains_hz]):
            raise CameraSettingRefused(role="mains_hz", value=str(mains_hz), offered="it does not take the value")

    def automatic(self) -> tuple[str, ...]:
        """Return what the webcam still changes by itself."""
        now = {name: self._node.value(control) for name, (control, _) in _AUTOMATIC_MODES.items()}
        return tuple(name for name, (_, off) in _AUTOMATIC_MODES.items() if now[name] not in (None, off))

    def restore(self) -> None:
        """Put back what was changed, last first."""
        while self._before:
            self._capture.set(*self._before.pop())
        while self._node_before:
            self._node.put(*self._node_before.pop())

    def _set(self, number: int, value: float) -> bool:
        """Set one, and return whether the webcam says that it has the value."""
        self._before.append((number, self._capture.get(number)))
        return self._capture.set(number, value) and self._capture.get(number) == value

    def _put(self, control: int, value: int) -> bool:
        """Set one by the device file, and return whether the webcam has it and has taken the value."""
        before = self._node.value(control)
        if before is None or not self._node.put(control, value):
            return False
        self._node_before.append((control, before))
        return True
