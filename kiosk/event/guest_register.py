"""What the attendant looks up and writes in the roster: guests as the desk shows them, walk-ins and late changes."""

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
"""How many guests a page of the desk shows."""

WALK_IN_LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Without those that are taken for each other."""
WALK_IN_LENGTH = 7
"""Of 20 thousand million ids no two stations that are cut off from each other draw the same one."""


def asked_columns(design: BadgeDesign) -> tuple[str, ...]:
    """Return what is asked of somebody who is added: the name, what the badge prints, and the role that colours it."""
    printed = [column for column in design.columns if column not in (ID, NAME, ROLE)]
    return (NAME, *printed, ROLE)


@dataclass(frozen=True, slots=True)
class Register:
    """The roster as the attendant works with it; for the roster's thread."""

    roster: Roster | Station
    design: BadgeDesign
    photos: PhotoExport | None

    def search(self, query: str) -> GuestAnswer:
        """Return who fits an id or the beginnings of names, or why the roster cannot be searched."""
        try:
            people = self.roster.find(query)[:SHOWN] if query.strip() else ()
            return GuestsFound(query, tuple(map(self._known, people)))
        except KioskError as error:
            return GuestsNotSearched(query, f"{error} {error.advice}")

    def save(self, wanted: SaveGuest) -> GuestAnswer:
        """Write somebody into the roster, or say why not; never somebody whose badge would not be legible."""
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
            tuple(map(_told, expected.badges)),
            has_badge=expected.printed is not None,
            has_photo=self.photos is not None and self.photos.get(person.id) is not None,
        )


def _told(badge: Badge) -> str:
    photo = "with a photo" if badge.with_photo else "without a photo"
    became = {"begun": "on its way", "unknown": "not known to be out"}.get(badge.state, badge.state)
    return f"Badge {badge.number} {photo}, {became}, at {badge.station}, {badge.begun_at.astimezone():%H:%M}"
