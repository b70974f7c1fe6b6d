"""Errors of the booth's settings and of its machine."""

from __future__ import annotations

from kiosk.errors.base import BadInput, NeedsAttendant


class SettingsRefused(BadInput):
    """The settings file has an unknown key, a wrong type or a missing device."""

    key = "settings_refused"
    exit_code = 8
    sentence = "{path}: {where}: {detail}."
    next_step = "Correct the key in that file; hardware/operator.md explains the settings."


class NoSettings(SettingsRefused):
    """The settings file does not exist."""

    key = "no_settings"
    sentence = "The settings file {path} does not exist."
    next_step = "Name yours with --settings, or make one with `holdstill setup`."


class SettingsUnreadable(SettingsRefused):
    """The settings file may not be read."""

    key = "settings_unreadable"
    sentence = "The settings file {path} cannot be read: {detail}."
    next_step = "Ask whoever looks after the booth, or name settings of your own with --settings."


class BoothTaken(SettingsRefused):
    """Another booth on this machine has the same name or session folder."""

    key = "booth_taken"
    next_step = "Stop the other booth, or give each its own name and session folder in that file."


class PageRefused(NeedsAttendant):
    """The attendant's page cannot be served."""

    key = "page_refused"
    exit_code = 8
    sentence = "The attendant's page cannot be served at {address}:{port}: {detail}."
    next_step = "Correct attendant.page in the settings file: an address of this machine, a free port, its certificate."


class NoDisplay(NeedsAttendant):
    """No screen could be opened."""

    key = "no_display"
    exit_code = 22
    sentence = "No screen could be opened: {detail}."
    next_step = "Start the program on the booth's own screen, or with --headless."


class MissingPart(NeedsAttendant):
    """A program or file that the command needs is not installed."""

    key = "missing_part"
    exit_code = 23
    sentence = "{part} is missing: {detail}."
    next_step = "Install it as README.md describes, then start again."


class RoomTooSmall(BadInput):
    """A room has no place for a booth with this camera and document."""

    key = "room_too_small"
    exit_code = 11
    sentence = "The room of {room} is too small: {lacks}. {remedy}."
    next_step = "Change the lens or the room; move the camera no nearer, because a near lens enlarges the nose."
