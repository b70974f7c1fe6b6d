"""The attendant's desk behind its PIN, as one pure step beside the session's.

    closed -> pin -> state -> paper | override | help | ease | age | shot | reprint | owed -> state -> closed
    state -> sure_shut | sure_end -> state

`attend` takes an order from the booth's screen and returns the new state of the desk with the resulting commands.
Orders from the attendant's page (`act_from_page`) need no open desk, because the attendant has signed in there with the
same PIN. The desk closes by itself after a while without a touch.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import get_args

from kiosk.core.attendant.guest_list import PAGES, attend_guests
from kiosk.core.attendant.pin_lock import Lock, locked
from kiosk.core.attendant.state import (
    CheckPin,
    CheckReadiness,
    Desk,
    DeskCommand,
    DeskConfig,
    DeskTransition,
    EndProgram,
    Record,
    Refuse,
    Reprint,
    SaveDesk,
    Settle,
    TakeTestShot,
    TellSession,
)
from kiosk.core.judging.override import REASONS, OverrideReason, unprintable
from kiosk.core.session.events import AgeTold, CallAnswered, Overridden, Released
from kiosk.core.session.facts import AttendantAct, Attended
from kiosk.core.session.state import Session
from kiosk.core.view.attendant import DeskIntent, DeskPage, GuestList
from kiosk.core.view.intent import Intent

MOST_DIGITS = 12
MOST_SHEETS = 9999
BOOTH = "booth"
"""Stands for the booth's own screen as the asker of a PIN check."""

FROM_PAGE: frozenset[str] = frozenset({"release", "reprint", "answer", "shut", "open_again"})
"""The orders that the attendant's page may give as well."""

_PAGES: Mapping[str, DeskPage] = {name: name for name in get_args(DeskPage) if name not in ("closed", "pin", *PAGES)}


def attend(desk: Desk, order: DeskIntent, session: Session, now_s: float, desk_config: DeskConfig) -> DeskTransition:
    """Return the desk after an order, with the resulting commands; an order that does not apply changes nothing."""
    if desk.page == "closed":
        if order.name == "open" and desk_config.has_pin:
            return replace(desk, page="pin", digits="", notice="", active_s=now_s), ()
        return desk, ()
    desk = replace(desk, active_s=now_s)
    if order.name == "leave":
        return (close(desk) if desk.page in ("pin", "state") else _show(desk, "state")), ()
    if desk.page == "pin":
        return _pin(desk, order, now_s)
    if (outcome := attend_guests(desk, order, session, desk_config)) is not None:
        return outcome
    match order.name, order.argument:
        case "show", page if page in _PAGES:
            return _show(desk, _PAGES[page]), (CheckReadiness(),) if page == "state" else ()
        case (("digit" | "erase"), _):
            return replace(desk, digits=_typed(desk.digits, order, len(str(MOST_SHEETS)))), ()
        case "enter", _ if desk.page == "paper" and desk.digits:
            sheets = int(desk.digits)
            counted = replace(_show(desk, "state"), sheets=sheets, notice=f"The count is {sheets} sheets.")
            return counted, (Record(Attended("paper_changed")), SaveDesk())
        case "test_shot", _ if not desk.is_testing and session.state in ("welcome", "out_of_order"):
            ticket = desk.ticket.following
            begun = replace(desk, is_testing=True, ticket=ticket, shot=None, notice="")
            return begun, (TakeTestShot(ticket), Record(Attended("test_shot")))
        case "end", _ if desk.page == "sure_end":
            return close(desk), (Record(Attended("ended")), TellSession(Intent("start_again")), EndProgram())
    return _serve(desk, order, session)


def act_from_page(desk: Desk, order: DeskIntent, session: Session) -> DeskTransition:
    """Return the desk after an order from the attendant's page."""
    return _serve(desk, order, session) if order.name in FROM_PAGE else (desk, ())


def ask(desk: Desk, asker: str, pin: str, now_s: float) -> DeskTransition:
    """Accept a PIN for checking, unless another is being checked or the lock is on.

    It counts as wrong until it proves right, and the count is saved before the check: pulling the plug on the answer
    wins no extra attempt.
    """
    lock = _lock_of(desk, asker)
    if desk.asker or lock.left_s(now_s) > 0:
        return desk, (Refuse(asker),)
    counted = _with_lock(replace(desk, asker=asker), asker, locked(lock.wrong + 1, now_s))
    return counted, (SaveDesk(), CheckPin(asker, pin[:MOST_DIGITS]))


def checked(desk: Desk, asker: str, now_s: float, *, right: bool) -> DeskTransition:
    """Return the desk after a PIN was checked."""
    act: AttendantAct = "signed_in" if right else "pin_wrong"
    lock = Lock() if right else locked(_lock_of(desk, asker).wrong, now_s)
    done: list[DeskCommand] = [Record(Attended(act))]
    if right:
        done.append(SaveDesk())
    desk = _with_lock(replace(desk, asker=""), asker, lock)
    if asker == BOOTH and desk.page == "pin":
        desk = replace(_show(desk, "state" if right else "pin"), active_s=now_s)
        desk = desk if right else replace(desk, notice="That is not the PIN.")
    if right:
        done.append(CheckReadiness())
    return desk, tuple(done)


def sent(desk: Desk, key: str, sheets: int) -> DeskTransition:
    """Note a print job that is about to be sent; a job that is sent again is noted once."""
    return _counted(replace(desk, on_their_way=(*_others(desk, key), (key, sheets))))


def ended(desk: Desk, key: str, *, printed: bool) -> DeskTransition:
    """Subtract the sheets of a job from the count, if they have come out; any other job changes nothing."""
    sheets = dict(desk.on_their_way).get(key)
    if sheets is None:
        return desk, ()
    left = max(desk.sheets - sheets, 0) if printed and desk.sheets is not None else desk.sheets
    return _counted(replace(desk, sheets=left, on_their_way=_others(desk, key)))


def close_if_idle(desk: Desk, now_s: float, desk_config: DeskConfig) -> Desk:
    """Close a desk that nobody has touched for `idle_s`."""
    return close(desk) if desk.page != "closed" and now_s - desk.active_s > desk_config.idle_s else desk


def close(desk: Desk) -> Desk:
    """Return the desk closed, without typed digits, guests or a picture that a sitter could see."""
    return replace(_show(desk, "closed"), shot=None, is_testing=False, guests=GuestList())


def can_release(session: Session) -> bool:
    """Return whether a sheet is waiting for its release."""
    return session.state == "release"


def age_choices(session: Session) -> tuple[int, ...]:
    """Return the ages in completed years that the attendant can set, while the sitter's age still matters."""
    matters = session.state in ("prepare", "privacy", "align", "review")
    return session.document.ages if matters and session.document is not None else ()


def can_reprint(desk: Desk) -> bool:
    """Return whether a sheet is kept and, by count, there is paper for it."""
    return bool(desk.kept) and desk.sheets != 0


def why_no_override(session: Session) -> str:
    """Return why no photo can be passed now, or an empty string."""
    if session.state != "review" or session.still is None:
        return "no photo is under review"
    if session.still.passed:
        return "the photo has passed"
    return unprintable(session.still.judgement)


def _others(desk: Desk, key: str) -> tuple[tuple[str, int], ...]:
    return tuple(job for job in desk.on_their_way if job[0] != key)


def _counted(desk: Desk) -> DeskTransition:
    """Save the desk, unless nobody has counted the sheets."""
    return desk, () if desk.sheets is None else (SaveDesk(),)


def _lock_of(desk: Desk, asker: str) -> Lock:
    return desk.lock if asker == BOOTH else desk.page_lock


def _with_lock(desk: Desk, asker: str, lock: Lock) -> Desk:
    return replace(desk, lock=lock) if asker == BOOTH else replace(desk, page_lock=lock)


def _pin(desk: Desk, order: DeskIntent, now_s: float) -> DeskTransition:
    if order.name in ("digit", "erase"):
        return replace(desk, digits=_typed(desk.digits, order, MOST_DIGITS), notice=""), ()
    if order.name == "enter" and desk.digits:
        asked, done = ask(desk, BOOTH, desk.digits, now_s)
        return replace(asked, digits="", notice=""), tuple(each for each in done if not isinstance(each, Refuse))
    return desk, ()


def _serve(desk: Desk, order: DeskIntent, session: Session) -> DeskTransition:
    """Carry out an order that affects the sitter or the whole booth."""
    match order.name, order.argument:
        case "release", _ if can_release(session):
            return _with_notice(desk, "The sheet is released."), (TellSession(Released()),)
        case "reprint", key if can_reprint(desk) and key in {sheet.key for sheet in desk.kept}:
            return _with_notice(desk, "The sheet is printed again."), (Reprint(key),)
        case "settle", key if key in {bill.key for bill in desk.owed}:
            return _with_notice(desk, "The money is paid out; the ledger says so."), (Settle(key),)
        case "answer", _ if session.called:
            return _with_notice(desk, "The call is answered."), (TellSession(CallAnswered()),)
        case "override", key if key in REASONS and not why_no_override(session):
            reason: OverrideReason = next(name for name in REASONS if name == key)
            return _with_notice(desk, "The photo is passed; the sitter may accept it."), (
                TellSession(Overridden(reason)),
            )
        case "language", tag:
            return desk, (TellSession(Intent("language", tag)), Record(Attended("sitter_helped")))
        case "age", years if years in {str(age) for age in age_choices(session)}:
            return _with_notice(desk, "The rules for that age hold now."), (
                TellSession(AgeTold(int(years))),
                Record(Attended("sitter_helped")),
            )
        case "ease", name:
            return desk, (TellSession(Intent("ease", name)), Record(Attended("sitter_helped")))
        case "start_again", _ if session.state not in ("welcome", "out_of_order"):
            return _with_notice(desk, "The sitter starts again."), (
                TellSession(Intent("start_again")),
                Record(Attended("sitter_helped")),
            )
        case "shut", _ if not desk.is_shut:
            shut = replace(_with_notice(desk, "The booth is out of order."), is_shut=True)
            return shut, (Record(Attended("closed")), SaveDesk())
        case "open_again", _ if desk.is_shut:
            return replace(_with_notice(desk, "The booth is open."), is_shut=False), (
                Record(Attended("opened")),
                SaveDesk(),
            )
    return desk, ()


def _with_notice(desk: Desk, notice: str) -> Desk:
    """Return an open desk on its overview page with a notice of what was done; a closed one stays as it is."""
    return desk if desk.page == "closed" else replace(_show(desk, "state"), notice=notice)


def _show(desk: Desk, page: DeskPage) -> Desk:
    return replace(desk, page=page, digits="", notice="")


def _typed(digits: str, order: DeskIntent, most: int) -> str:
    if order.name == "erase":
        return digits[:-1]
    is_digit = len(order.argument) == 1 and order.argument in "0123456789"
    return (digits + order.argument)[:most] if is_digit else digits
