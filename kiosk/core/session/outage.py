"""A booth that is out of order: what became of the sitter's sheet, and the way back to welcome."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import Command, Look, Wipe
from kiosk.core.session.endings import closed, leave, money_back, welcome
from kiosk.core.session.events import Failed, Mended
from kiosk.core.session.paying import end_payment
from kiosk.core.session.state import Session, Transition, enter
from kiosk.core.view.sitter import SheetFate, State

SHEET_FATES: Mapping[str, SheetFate] = {
    "sheet_unknown": "sheet_unknown",
    "printer_fault": "sheet_not_printed",
    "scale_unproven": "sheet_not_printed",
    "colour_unproven": "sheet_not_printed",
    "mains_failed": "sheet_unknown",
}
"""What has become of the sheet that a sitter waits for, by the key of the error that ends the wait."""

SHEET_OUT: tuple[State, ...] = ("collect", "take_file")
"""The states in which the sheet is out and the session's files are wiped."""

CAMERA_FAULTS = frozenset({"camera_fault", "camera_card_full", "camera_setting_refused", "device_timeout"})
"""The keys of errors of the camera, which nobody needs who has a photo that can be printed."""
SHUT = "shut_by_attendant"
"""The key of a booth that its attendant closes, which does not call back a sheet that is being printed."""


def _may_finish(session: Session, key: str) -> bool:
    """Return whether the sitter can go on to the end in spite of what has failed."""
    match session.state:
        case "printing" | "collect" | "take_file" | "thanks":
            return key in CAMERA_FAULTS or key == SHUT
        case "copies" | "release":
            return key in CAMERA_FAULTS
        case "review":
            return key in CAMERA_FAULTS and session.still is not None and session.still.judgement.verdict == "pass"
    return False


def can_shoot(session: Session) -> bool:
    """Return whether another photo can be taken: whoever has one that passes keeps it when the camera fails."""
    return session.state != "review" or not isinstance(session.news, Failed)


def read(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Return the session after somebody has read what became of the sheet: what was said meanwhile counts now."""
    cleared = replace(session, fate=None, news=None)
    match session.news:
        case Failed() as failed:
            return out_of_order(cleared, failed, now_s, config)
        case Mended():
            return welcome(cleared, now_s, config)
    return cleared, ()


def mended(session: Session, event: Mended, now_s: float, config: BoothConfig) -> Transition:
    """Return the session once every device answers; news waits until a sheet's fate has been read."""
    if session.state != "out_of_order":
        state = "ready" if session.print_state == "failed" else session.print_state
        return replace(session, news=None, print_state=state), ()
    return (replace(session, news=event), ()) if session.fate is not None else welcome(session, now_s, config)


def out_of_order(session: Session, failed: Failed, now_s: float, config: BoothConfig) -> Transition:
    """Return the session of a booth that a device keeps from working: the sitter's data are wiped.

    An accepted photo that may not have been printed is kept for its sitter, who can look into the tray. Nobody leaves
    without being shown what becomes of the money. Whoever needs no camera any more is let finish, and the booth closes
    afterwards.
    """
    fault = (failed.sentence, failed.next_step)
    fate = SHEET_FATES.get(failed.key) if session.state == "printing" else None
    if session.fate is not None or _may_finish(session, failed.key):
        return replace(session, news=failed), ()
    if session.state == "paying":
        return end_payment(replace(session, news=failed), now_s)
    if session.state == "money_back":
        return replace(session, news=failed), ()
    if session.state == "out_of_order":
        return replace(session, fault=fault, fault_key=failed.key), ()
    if session.state == "unprinted":
        state = "failed" if session.print_state == "ready" else session.print_state
        return replace(session, fault=fault, fault_key=failed.key, news=failed, print_state=state), ()
    if fate is not None and session.still is not None and session.guest is None:
        state = "unknown" if fate == "sheet_unknown" else "failed"
        kept = enter(session, "unprinted", now_s)
        return replace(kept, fault=fault, fault_key=failed.key, news=failed, print_state=state), ()
    if session.account.credit > 0:
        owing = replace(session, news=failed)
        return money_back(owing, now_s) if session.state in SHEET_OUT else leave(owing, now_s, config, "fault")
    wipe: tuple[Command, ...] = () if session.state in ("welcome", *SHEET_OUT) else (Wipe("fault"),)
    return replace(closed(session, failed, now_s), fate=fate), (Look(False), *wipe)
