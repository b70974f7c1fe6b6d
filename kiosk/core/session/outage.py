"""A booth that is out of order: what became of the sitter's sheet, and the way back to welcome."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.commands import Command, Look, Wipe
from kiosk.core.session.events import Failed, Mended
from kiosk.core.session.state import Session, Transition, welcome
from kiosk.core.view.sitter import SheetFate

SHEET_FATES: Mapping[str, SheetFate] = {
    "sheet_unknown": "sheet_unknown",
    "printer_fault": "sheet_not_printed",
    "scale_unproven": "sheet_not_printed",
}
"""What has become of the sheet that a sitter waits for, by the key of the error that ends the wait."""


def read(session: Session, now_s: float, config: BoothConfig) -> Transition:
    """Return the session after somebody has read what became of the sheet: what was said meanwhile counts now."""
    cleared = replace(session, fate=None, news=None)
    match session.news:
        case Failed() as failed:
            return out_of_order(cleared, failed, now_s)
        case Mended():
            return welcome(cleared, now_s, config)
    return cleared, ()


def mended(session: Session, event: Mended, now_s: float, config: BoothConfig) -> Transition:
    """Return the session once every device answers; news waits until a sheet's fate has been read."""
    return (replace(session, news=event), ()) if session.fate is not None else welcome(session, now_s, config)


def out_of_order(session: Session, failed: Failed, now_s: float) -> Transition:
    """Return the session of a booth that a device keeps from working, after the sitter's data are wiped."""
    fault = (failed.sentence, failed.next_step)
    if session.fate is not None:
        return replace(session, news=failed), ()
    if session.state == "out_of_order":
        return replace(session, fault=fault, fault_key=failed.key), ()
    down = Session(
        state="out_of_order",
        since_s=now_s,
        active_s=now_s,
        language=session.language,
        ease=session.ease,
        volume=session.volume,
        ticket=session.ticket,
        fault=fault,
        fault_key=failed.key,
        fate=SHEET_FATES.get(failed.key) if session.state == "printing" else None,
    )
    wipe: tuple[Command, ...] = () if session.state in ("welcome", "collect") else (Wipe("fault"),)
    return down, (Look(False), *wipe)
