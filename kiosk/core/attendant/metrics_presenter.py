"""Build what a monitoring server reads from desk, session and booth."""

from __future__ import annotations

from kiosk.core.attendant.state import Desk, DeskConfig
from kiosk.core.attendant.status_lines import BoothStatus
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.state import Session
from kiosk.core.view.metrics import Counts, Metrics


def present_metrics(
    desk: Desk,
    session: Session,
    config: BoothConfig,
    status: BoothStatus,
    now_s: float,
    desk_config: DeskConfig,
    counts: Counts,
) -> Metrics:
    """Return how the booth stands at `now_s`."""
    troubles = {"camera": status.camera, "printer": status.printer, "ledger": status.ledger}
    if config.payment is not None:
        troubles["payment"] = status.payment
    return Metrics(
        session.state,
        max(0.0, now_s - session.since_s),
        {part: not trouble for part, trouble in troubles.items()},
        desk.sheets,
        desk_config.few_sheets,
        status.unsent_count,
        counts,
    )
