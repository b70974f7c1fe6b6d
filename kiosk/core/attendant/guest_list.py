"""The guest pages of the attendant's desk: find, add and correct guests, reprint badges. A part of the pure step."""

from __future__ import annotations

from dataclasses import replace

from kiosk.core.attendant.state import (
    Desk,
    DeskConfig,
    DeskTransition,
    GuestAnswer,
    GuestDoubled,
    GuestNotSaved,
    GuestSaved,
    GuestsFound,
    GuestsNotSearched,
    SaveGuest,
    SearchGuests,
    TellSession,
)
from kiosk.core.event.roster import LONGEST, NAME
from kiosk.core.session.events import GuestSent
from kiosk.core.session.state import Session
from kiosk.core.view.attendant import BadgeWay, DeskIntent, DeskPage, GuestList, KnownGuest
from kiosk.core.view.choice import Guest

PAGES: tuple[DeskPage, ...] = ("guests", "guest", "entry", "doubles")
LONGEST_QUERY = 40
ROLE = "role"


def attend_guests(desk: Desk, order: DeskIntent, session: Session, desk_config: DeskConfig) -> DeskTransition | None:
    """Return the desk after an order, or None if the order does not concern guests."""
    if not desk_config.columns:
        return None
    if (order.name, order.argument) == ("show", "guests"):
        return _searched(desk, desk.guests.query)
    match desk.page, order.name:
        case "guests", "letter" | "digit" | "erase":
            return _searched(desk, _edited(desk.guests.query, order, LONGEST_QUERY))
        case "guests", "walk_in":
            typed = " ".join(desk.guests.query.split())
            return _entry(desk, None, {NAME: typed}, desk_config)
        case (("guests" | "doubles"), "guest"):
            return _chosen(desk, order.argument)
        case "guest", "edit" if desk.guests.chosen is not None:
            return _entry(desk, desk.guests.chosen, dict(desk.guests.chosen.values), desk_config)
        case "guest", "badge":
            return _badge(desk, order.argument, session, desk_config)
        case "entry" | "doubles", _:
            return _entered(desk, order)
        case _, "shift":
            return _with(desk, desk.page, shift=not desk.guests.shift), ()
    return None


def answered(desk: Desk, answer: GuestAnswer) -> Desk:
    """Return the desk after an answer of the roster; one that nobody waits for any more changes nothing."""
    guests = desk.guests
    match answer:
        case GuestsFound(query, found) if desk.page in PAGES and query == guests.query:
            return replace(desk, guests=replace(guests, found=found))
        case GuestsNotSearched(query, sentence) if desk.page in PAGES and query == guests.query:
            return replace(desk, notice=sentence)
        case GuestSaved(guest) if guests.is_saving:
            shown = _with(desk, "guest", chosen=guest, entered=(), is_saving=False)
            return replace(shown, notice="The guest is on the list.")
        case GuestDoubled(doubles) if guests.is_saving:
            return _with(desk, "doubles", doubles=doubles, is_saving=False)
        case GuestNotSaved(sentence) if guests.is_saving:
            return replace(_with(desk, "entry", is_saving=False), notice=sentence)
    return desk


def badge_ways(desk: Desk, session: Session, desk_config: DeskConfig) -> tuple[BadgeWay, ...]:
    """Return the ways in which the chosen guest's badge can be printed; none while another guest is being served."""
    chosen = desk.guests.chosen
    if chosen is None or session.state not in ("welcome", "find"):
        return ()
    with_photo: tuple[BadgeWay, ...] = ("new_photo", "kept_photo") if chosen.has_photo else ("new_photo",)
    return (*(with_photo if desk_config.shows_photo else ()), "without_photo")


def field_choices(guests: GuestList, desk_config: DeskConfig) -> tuple[str, ...]:
    """Return the permitted values of the focused field; empty if any text may be typed."""
    column = guests.entered[guests.at][0] if guests.entered else ""
    return desk_config.roles if column == ROLE else ()


def _searched(desk: Desk, query: str) -> DeskTransition:
    shown = _with(desk, "guests", query=query, shift=False, chosen=None, entered=(), doubles=())
    return shown, (SearchGuests(query),)


def _chosen(desk: Desk, guest_id: str) -> DeskTransition:
    listed = desk.guests.doubles if desk.page == "doubles" else desk.guests.found
    chosen = next((guest for guest in listed if guest.id == guest_id), None)
    return (desk if chosen is None else _with(desk, "guest", chosen=chosen, entered=(), doubles=())), ()


def _entry(desk: Desk, guest: KnownGuest | None, values: dict[str, str], desk_config: DeskConfig) -> DeskTransition:
    entered = tuple((column, values.get(column, "")) for column in desk_config.columns)
    return _with(desk, "entry", chosen=guest, entered=entered, at=0, shift=False), ()


def _entered(desk: Desk, order: DeskIntent) -> DeskTransition | None:
    guests = desk.guests
    if guests.is_saving:
        return desk, ()
    _, value = guests.entered[guests.at]
    match desk.page, order.name:
        case "entry", "letter" | "digit" | "erase":
            return _filled(desk, _edited(value, order, LONGEST)), ()
        case "entry", "value":
            return _filled(desk, order.argument), ()
        case "entry", "shift":
            return _with(desk, "entry", shift=not guests.shift), ()
        case "entry", "next_field":
            return _with(desk, "entry", at=(guests.at + 1) % len(guests.entered), shift=False), ()
        case "entry", "save" | "enter":
            if not dict(guests.entered)[NAME].strip():
                return replace(desk, notice="A badge needs a name."), ()
            return _save(desk, sure=False)
        case "doubles", "save":
            return _save(desk, sure=True)
        case "doubles", "edit":
            return _with(desk, "entry", doubles=()), ()
    return None


def _save(desk: Desk, *, sure: bool) -> DeskTransition:
    guests = desk.guests
    guest_id = "" if guests.chosen is None else guests.chosen.id
    return _with(desk, desk.page, is_saving=True), (SaveGuest(guest_id, guests.entered, sure),)


def _filled(desk: Desk, value: str) -> Desk:
    guests = desk.guests
    entered = list(guests.entered)
    entered[guests.at] = (entered[guests.at][0], value)
    return _with(desk, "entry", entered=tuple(entered), shift=False)


def _badge(desk: Desk, way: str, session: Session, desk_config: DeskConfig) -> DeskTransition:
    """Send the chosen guest to the camera, or their badge to the printer, and close the desk to free the screen."""
    chosen = desk.guests.chosen
    wanted = next((known for known in badge_ways(desk, session, desk_config) if known == way), None)
    if chosen is None or wanted is None:
        return desk, ()
    closed = replace(_with(desk, "closed"), guests=GuestList())
    guest = Guest(chosen.id, chosen.name, has_badge=chosen.has_badge)
    return closed, (TellSession(GuestSent(guest, wanted)),)


def _edited(text: str, order: DeskIntent, longest: int) -> str:
    if order.name == "erase":
        return text[:-1]
    return (text + order.argument).lstrip()[:longest]


def _with(desk: Desk, page: DeskPage, **changes: object) -> Desk:
    return replace(desk, page=page, digits="", notice="", guests=replace(desk.guests, **changes))  # type: ignore[arg-type]
