"""Errors of an event's roster."""

from __future__ import annotations

from kiosk.errors.base import BadInput, Recoverable


class RosterRefused(BadInput):
    """A list of attendees cannot be read or has faulty rows; nothing of it was imported."""

    key = "roster_refused"
    exit_code = 12
    sentence = "{path}: {detail}."
    next_step = "Correct the list and import it again; nothing of it was imported."


class UnknownPerson(BadInput):
    """Nobody on the roster has that id."""

    key = "unknown_person"
    exit_code = 12
    sentence = "Nobody on the roster has the id {person!r}."
    next_step = "Search by name with `holdstill roster find`, or add the person at the desk."


class NoRoster(BadInput):
    """The roster's file does not exist; only an import makes one."""

    key = "no_roster"
    exit_code = 12
    sentence = "There is no roster {path}."
    next_step = "Check its name; `holdstill roster import` makes a new one from a list."


class IdTaken(BadInput):
    """Somebody else on the roster has the id of a person to be added."""

    key = "id_taken"
    exit_code = 12
    sentence = "The id {person!r} is on the roster already."
    next_step = "Give another id; `holdstill roster find` shows who has this one."


class NoBadgeWaits(BadInput):
    """No badge that was made beforehand waits for the person."""

    key = "no_badge_waits"
    exit_code = 12
    sentence = "No badge made beforehand waits for {person!r}."
    next_step = "`holdstill roster find` shows whether they have taken it; if they have none, print one."


class BadgePrinted(BadInput):
    """A person already has a badge; another one needs an explicit reprint."""

    key = "badge_printed"
    exit_code = 12
    sentence = "{person} has a badge from {station} since {when}."
    next_step = "Ask for a reprint if it was lost; the report counts it."


class PerhapsPrinted(BadInput):
    """A station that is out of touch may have printed the person's badge; an attendant decides."""

    key = "perhaps_printed"
    exit_code = 12
    sentence = "{person} may have had a badge from {station}, which has been out of touch since {when}."
    next_step = "Ask the guest: the attendant prints the badge at the desk, or releases a station that printed nothing."


class StationMayPrint(Recoverable):
    """A station that is out of touch may still print alone, so that nobody may take its guests."""

    key = "station_may_print"
    exit_code = 26
    sentence = "The station {station} may print alone until {when}."
    next_step = "Wait until then; or switch the station off, and say so with --off."


class PhotoGone(BadInput):
    """The photo for a reprinted badge is no longer stored."""

    key = "photo_gone"
    exit_code = 12
    sentence = "The photo of {person} is no longer stored."
    next_step = "Take a new photo, or print the badge without one."


class HeldElsewhere(Recoverable):
    """Only another station may print this person's badge at present."""

    key = "held_elsewhere"
    exit_code = 26
    sentence = "{person} belongs to the station {station} at present: {detail}."
    next_step = "Try again in a moment, or send the person to that station."


class RosterUnreachable(Recoverable):
    """The roster's database does not respond, or is damaged."""

    key = "roster_unreachable"
    exit_code = 26
    sentence = "The roster does not respond: {detail}."
    next_step = "Check the network and the database; nothing is lost, and the station resumes when it responds."
