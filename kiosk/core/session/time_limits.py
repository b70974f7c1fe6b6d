"""What passing time does to a session: after how long without an action each state ends, and how."""

from __future__ import annotations

from dataclasses import replace

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import Look
from kiosk.core.session.endings import leave, money_back, welcome
from kiosk.core.session.escalation import EMPTY_SEAT_S
from kiosk.core.session.handing import Handing
from kiosk.core.session.paying import payment_timed_out
from kiosk.core.session.state import USUAL_VOLUME, Session, Transition, enter, may_print, seat_is_empty
from kiosk.core.view.intent import Ease
from kiosk.core.view.sitter import SheetFate

BADGE_SENT_S = 6.0
"""How long the screen shows a guest where the badge comes out, before it greets the next one."""

FORGET_S = 60.0
"""How long the welcome screen keeps the language and the ease that somebody chose and left (practice)."""

FILE_LATE_S = 30.0
"""How long after a file's time the session waits to be told that it is wiped; a busy machine says it late."""

WARNING_S = 21.0
"""How long before it starts again the session warns: 20 whole seconds at least, WCAG 2.2, 2.2.1."""


def tick(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Go home from a state in which nothing has happened for too long; at home, forget a call that nobody answered."""
    idle_s = now_s - session.active_s
    if session.state == "welcome":
        called = session.called and idle_s <= config.called_s
        if idle_s > FORGET_S:
            session = replace(session, language=config.languages[0], ease=Ease(), volume=USUAL_VOLUME)
        return replace(session, called=called), ()
    limit_s = idle_limit_s(session, config)
    if limit_s is not None and idle_s > limit_s:
        return _time_out(session, now_s, config)
    return session, ()


def idle_limit_s(session: Session, config: BoothConfig) -> float | None:
    """Return after how many seconds without an action the session starts again; None where it never does."""
    limit_s = BADGE_SENT_S if session.state == "collect" and session.guest else config.idle_s.get(session.state)
    if session.state == "take_file" and config.handover is not None and session.handing.is_on_its_way:
        limit_s = config.handover.keep_s + FILE_LATE_S
    if limit_s is not None and seat_is_empty(session):
        limit_s = min(limit_s, EMPTY_SEAT_S + WARNING_S)
    return limit_s if limit_s is None or not session.called else max(limit_s, config.called_s)


def _time_out(session: Session, now_s: float, config: BoothConfig) -> Transition:
    match session.state:
        case "collect" | "take_file" | "money_back" | "thanks":
            return farewell(session, now_s, config)
        case "paying":
            return payment_timed_out(session, now_s, config)
        case "align" if may_print(session, config) and not seat_is_empty(session):
            return enter(session, "review", now_s), (Look(False),)
        case "align":
            return leave(session, now_s, config, "gave_up")
        case "unprinted":
            fate: SheetFate = "sheet_unknown" if session.print_state == "unknown" else "sheet_not_printed"
            return leave(replace(session, fate=fate), now_s, config, "fault")
        case "shooting" | "measuring" | "printing":
            return leave(session, now_s, config, "fault")
        case _:
            return leave(session, now_s, config, "abandoned")


def farewell(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Thank the sitter, of whom nothing is kept any more, and then welcome the next; money comes before thanks."""
    if session.state in ("collect", "take_file") and session.account.credit > 0:
        return money_back(session, now_s)
    if session.state in ("collect", "take_file") and session.guest is None:
        return replace(enter(session, "thanks", now_s), handing=Handing()), ()
    return welcome(session, now_s, config)
