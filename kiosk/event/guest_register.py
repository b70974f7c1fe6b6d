"""The roster as the attendant uses it: search guests, add walk-ins, make late changes."""

from __future__ import annotations

import secrets
from dataclasses import dataclass

from kiosk.core.attendant.guest_list import ROLE
from kiosk.core.attendant.state import (
    GuestAnswer,
    GuestDoubled,
    GuestNotSaved,
    GuestSaved,
    GuestsFound,
    GuestsNotSearched,
    SaveGuest,
)
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.event.roster import ID, NAME, Badge, Expected, ListRow, Person, read_rows
from kiosk.core.view.attendant import KnownGuest
from kiosk.errors import KioskError
from kiosk.render.badge.badge import unprintable
from kiosk.store.roster.photo_export import PhotoExport
from kiosk.store.roster.roster import Roster
from kiosk.store.roster.station import Station

SHOWN = 5
"""The number of guests on a page of the desk."""

WALK_IN_LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""The letters and digits of a walk-in's id, without those that are easily confused."""
WALK_IN_LENGTH = 7
"""Among 20 thousand million ids, two stations that are cut off from each other will not draw the same one."""


def walk_in_columns(design: BadgeDesign) -> tuple[str, ...]:
    """Return the columns to fill in for a new guest: the name, what the badge prints, and the role that colours it."""
    printed = [column for column in design.columns if column not in (ID, NAME, ROLE)]
    return (NAME, *printed, ROLE)


@dataclass(frozen=True, slots=True)
class Register:
    """The attendant's operations on the roster; they block, and belong in the roster's threads."""

    roster: Roster | Station
    design: BadgeDesign
    photos: PhotoExport | None

    def search(self, query: str, within_s: float) -> GuestAnswer:
        """Return the guests that match an id or beginnings of names, or why the roster cannot be searched."""
        try:
            people = self.roster.find(query, within_s)[:SHOWN] if query.strip() else ()
            return GuestsFound(query, tuple(map(self._known, people)))
        except KioskError as error:
            return GuestsNotSearched(query, f"{error} {error.advice}")

    def save(self, wanted: SaveGuest) -> GuestAnswer:
        """Write a guest to the roster, or return why not; a guest whose badge would be illegible is refused."""
        try:
            return self._change(wanted) if wanted.guest_id else self._add(wanted)
        except KioskError as error:
            return GuestNotSaved(f"{error} {error.advice}")

    def _add(self, wanted: SaveGuest) -> GuestAnswer:
        drawn = "".join(secrets.choice(WALK_IN_LETTERS) for _ in range(WALK_IN_LENGTH))
        person = self._checked({**dict(wanted.values), ID: f"W{drawn}"})
        if isinstance(person, GuestNotSaved):
            return person
        doubles = () if wanted.sure else self.roster.namesakes(person.name)
        if doubles:
            return GuestDoubled(tuple(map(self._known, doubles[:SHOWN])))
        self.roster.add_walk_in(person)
        return self._saved(person)

    def _change(self, wanted: SaveGuest) -> GuestAnswer:
        known = self.roster.person(wanted.guest_id)
        person = self._checked({**known.values, **dict(wanted.values), ID: known.id})
        if isinstance(person, GuestNotSaved):
            return person
        self.roster.change(person)
        return self._saved(person)

    def _checked(self, values: dict[str, str]) -> Person | GuestNotSaved:
        row, mapped = ListRow(1, values), {column: (column,) for column in values}
        people, problems = read_rows([row], mapped, lambda checked: unprintable(checked, self.design))
        return people[0] if people else GuestNotSaved(f"{problems[0].column}: {problems[0].reason}.")

    def _saved(self, person: Person) -> GuestSaved:
        return GuestSaved(next(self._known(one) for one in self.roster.find(person.id) if one.person.id == person.id))

    def _known(self, expected: Expected) -> KnownGuest:
        person = expected.person
        return KnownGuest(
            person.id,
            person.name,
            tuple(person.values.items()),
            (*map(_badge_in_words, expected.badges), *_perhaps(expected)),
            has_badge=expected.may_have_badge,
            has_photo=self.photos is not None and self.photos.get(person.id) is not None,
        )


def _perhaps(expected: Expected) -> tuple[str, ...]:
    if not expected.perhaps_at:
        return ()
    return (f"Perhaps a badge at {expected.perhaps_at}, which is out of touch: ask the guest before you print one",)


def _badge_in_words(badge: Badge) -> str:
    photo = "with a photo" if badge.with_photo else "without a photo"
    outcome = {"begun": "in progress", "unknown": "outcome unknown"}.get(badge.state, badge.state)
    return f"Badge {badge.number} {photo}, {outcome}, at {badge.station}, {badge.begun_at.astimezone():%H:%M}"
