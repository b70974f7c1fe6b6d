"""The roster of an event."""

from __future__ import annotations

from kiosk.errors.base import BadInput, Recoverable


class RosterRefused(BadInput):
    """A list of attendees cannot be read, or has rows that cannot be taken; nothing of it was."""

    key = "roster_refused"
    exit_code = 12
    sentence = "{path}: {detail}."
    next_step = "Correct the list and import it again; nothing of it was taken."


class UnknownPerson(BadInput):
    """Nobody on the roster has that id."""

    key = "unknown_person"
    exit_code = 12
    sentence = "Nobody on the roster has the id {person!r}."
    next_step = "Search by name with `holdstill roster find`, or add the person at the desk."


class BadgePrinted(BadInput):
    """A badge was printed for this person before; a second one must be asked for."""

    key = "badge_printed"
    exit_code = 12
    sentence = "{person} has had a badge from {station} since {when}."
    next_step = "Ask for a reprint if it was lost; the report counts it."


class PhotoGone(BadInput):
    """The photo with which a badge should be printed again is no longer kept."""

    key = "photo_gone"
    exit_code = 12
    sentence = "The photo of {person} is no longer kept."
    next_step = "Take a new one, or print the badge without."


class HeldElsewhere(Recoverable):
    """Another station alone may print this person's badge now."""

    key = "held_elsewhere"
    exit_code = 26
    sentence = "{person} belongs to the station {station} now: {detail}."
    next_step = "Try again in a moment, or send the person to that station."


class RosterUnreachable(Recoverable):
    """The database of the roster does not answer, or is damaged."""

    key = "roster_unreachable"
    exit_code = 26
    sentence = "The roster does not answer: {detail}."
    next_step = "Check the network and the database; nothing is lost, and the station goes on when it answers."
