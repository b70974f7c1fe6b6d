"""The photo as a file: made when the sheet is out, and given to the sitter who asks for it before leaving.

The still is wiped when the sheet has come out, as ever. The file that was cut out of it before waits in memory, and is
gone with whatever ends `collect` and `take_file`, the only two states that keep it.
"""

from __future__ import annotations

import math
from dataclasses import replace

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import Command, HandFile, MakeFile
from kiosk.core.session.events import FileMoved
from kiosk.core.session.handing import Handing
from kiosk.core.session.state import Session, Transition, enter
from kiosk.core.session.time_limits import farewell
from kiosk.core.view.handover import FileWay, HandoverView
from kiosk.core.view.intent import Intent


def make_file(session: Session, config: BoothConfig) -> tuple[Session, tuple[Command, ...]]:
    """Return what makes the file of a printed photo, where the booth hands files over.

    A photo that its sitter accepted in spite of a doubt is given on paper alone: the sheet says what is doubtful, and a
    file cannot.
    """
    still, document = session.still, session.document
    plan = None if still is None else still.judgement.plan
    if config.handover is None or session.guest is not None or still is None or document is None or plan is None:
        return session, ()
    if still.accepted:
        return session, ()
    making = replace(session, handing=Handing("making"))
    return making, (MakeFile(session.ticket, plan, document, still.number, session.turned_deg),)


def file_moved(session: Session, moved: FileMoved, now_s: float) -> Transition:
    """Return the session after its file has moved on; what is said of an earlier sitter's file changes nothing."""
    handing = session.handing
    if session.state not in ("collect", "take_file") or moved.ticket != session.ticket or handing.stage == "taken":
        return session, ()
    match moved.said:
        case "kept" | "link" | "insert" | "writing" | "taken" as stage:
            active_s = now_s if stage in ("link", "taken") else session.active_s
            return replace(session, handing=replace(handing, stage=stage, link=moved.link), active_s=active_s), ()
        case fault:
            failed = Handing("failed", handing.way, fault, since_s=handing.since_s)
            return replace(session, handing=failed, active_s=now_s), ()


def parting_intent(session: Session, intent: Intent, now_s: float, config: BoothConfig) -> Transition:
    """Return the session after a tap of a sitter who has the sheet or has nothing to wait for any more."""
    handing, ways = session.handing, config.handover.ways if config.handover is not None else ()
    match session.state, intent.name:
        case "collect", "take_file" if handing.can_go:
            asked = enter(session, "take_file", now_s)
            return _go(asked, ways[0], now_s) if len(ways) == 1 else (asked, ())
        case "take_file", "take_file" if handing.can_go and intent.argument in ways:
            return _go(session, next(way for way in ways if way == intent.argument), now_s)
        case "take_file", "back" if handing.can_go:
            kept = replace(session, handing=replace(handing, stage="kept", fault=None))
            asks = len(ways) > 1 and handing.stage != "kept"
            return (kept if asks else enter(kept, "collect", now_s)), ()
        case _, "done" | "start_again" if handing.stage != "writing":
            return farewell(session, now_s, config)
    return session, ()


def _go(session: Session, way: FileWay, now_s: float) -> Transition:
    """Have the file go a way; its time begins anew."""
    return replace(session, handing=Handing("opening", way, since_s=now_s)), (HandFile(way, session.language),)


def handover_view(session: Session, config: BoothConfig, now_s: float) -> HandoverView:
    """Return what the screens show of the file."""
    terms, handing = config.handover, session.handing
    if terms is None:
        return HandoverView()
    left_s = max(handing.since_s + terms.keep_s - now_s, 0.0) if handing.is_on_its_way else 0.0
    return HandoverView(
        terms.ways, handing.stage, handing.fault, handing.way, handing.link, terms.wifi, math.ceil(left_s)
    )
