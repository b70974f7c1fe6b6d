"""Errors of the camera, and of devices that respond too late."""

from __future__ import annotations

from kiosk.errors.base import NeedsAttendant, Recoverable


class CameraFault(Recoverable):
    """The camera stopped responding or refused a command."""

    key = "camera_fault"
    exit_code = 20
    sentence = "The camera has a fault: {detail}."
    next_step = "Check its cable, battery and switch; the booth connects again by itself."

    @property
    def advice(self) -> str:
        """The next step given with the error if its cause is known, or else the usual one."""
        return str(self.params.get("advice", self.next_step))


class CameraCardFull(NeedsAttendant):
    """The camera's card has no room for another picture."""

    key = "camera_card_full"
    exit_code = 20
    sentence = "The camera's card is full."
    next_step = "Empty the card or put in another; the booth goes on by itself."


class CameraSettingRefused(NeedsAttendant):
    """The camera does not offer a value from the settings file."""

    key = "camera_setting_refused"
    exit_code = 8
    sentence = "The camera cannot be set to {role} = {value!r}: {offered}."
    next_step = "Correct the key under [camera] in the settings file, or turn the camera's mode dial to M."


class DeviceTimeout(Recoverable):
    """An operation on a device took longer than its limit."""

    key = "device_timeout"
    exit_code = 20
    sentence = "{device} did not finish {operation} within {limit_s:g} s."
    next_step = "The booth restarts the device; if it happens again, check its cable."
