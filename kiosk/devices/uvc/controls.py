"""A webcam's own controls (V4L2), through OpenCV: set for the session, and put back at its end.

A webcam left to itself changes exposure and colour from sitter to sitter, and hunts for focus in the middle of a shot.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

import cv2

from kiosk.errors import CameraSettingRefused

_MANUAL_EXPOSURE = 1.0  # V4L2_EXPOSURE_MANUAL, Linux media user space API, camera control reference
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
"""What has to be switched off before a value is taken, and how."""


class Controlled(Protocol):
    """The part of `cv2.VideoCapture` that is used."""

    def get(self, property_id: int, /) -> float: ...  # noqa: D102

    def set(self, property_id: int, value: float, /) -> bool: ...  # noqa: D102


class Controls:
    """The controls of one open webcam."""

    def __init__(self, capture: Controlled) -> None:
        self._capture = capture
        self._before: list[tuple[int, float]] = []

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
            if not self._set(CONTROLS[name], value):
                now = self._capture.get(CONTROLS[name])
                raise CameraSettingRefused(role=name, value=f"{value:g}", offered=f"it stays at {now:g}")

    def restore(self) -> None:
        """Put back what was changed, last first."""
        while self._before:
            self._capture.set(*self._before.pop())

    def _set(self, number: int, value: float) -> bool:
        """Set one, and tell whether the webcam says that it has the value."""
        self._before.append((number, self._capture.get(number)))
        return self._capture.set(number, value) and self._capture.get(number) == value
