"""The lines in words of the attendant's desk: how the booth stands, whoever sits in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kiosk.core.attendant.state import Desk, DeskConfig
from kiosk.core.document.document import Document
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.state import Session
from kiosk.core.view.attendant import Mark, StatusLine
from kiosk.core.view.finding import Finding
from kiosk.core.view.sitter import State

DOING: dict[State, str] = {
    "welcome": "Nobody is in the booth.",
    "find": "A guest looks for a name.",
    "choose": "A sitter chooses a document.",
    "prepare": "A sitter says whose photo it is.",
    "privacy": "A sitter reads the rules and agrees.",
    "align": "A sitter is led into place.",
    "shooting": "A photo is being taken.",
    "measuring": "A photo is being measured.",
    "review": "A sitter looks at the result.",
    "copies": "A sitter chooses sheets and paper.",
    "release": "A sheet waits for its release.",
    "paying": "A sitter pays.",
    "printing": "A sheet is being printed.",
    "unprinted": "A sitter's photo is kept: the printer has failed.",
    "collect": "A sitter takes the sheet.",
    "take_file": "A sitter takes the photo with them as a file.",
    "money_back": "A sitter reads what becomes of the money.",
    "thanks": "A sitter is leaving.",
    "out_of_order": "The booth is out of order.",
}
LAST_FAULTS = 3


@dataclass(frozen=True, slots=True)
class BoothStatus:
    """The state of the booth's components.

    Attributes
    ----------
    camera, printer, payment
        What is wrong with each; empty if it responds.
    ledger
        Why facts cannot be written to disk; empty if they can.
    unsent_count
        How many facts wait for the office's database.
    paper
        Short name of the paper.
    faults
        Time (monotonic seconds) and sentence of the last faults, newest first.
    camera_notices
        Warnings from a camera that still works, given since it was opened.
    printer_notice
        A warning from a printer that still works, such as of its ribbon; empty if it has none.
    page
        Why the attendant's page does not answer; empty if it does, or if there is none.
    findings
        The findings of the last check of the booth; None before the first.
    """

    camera: str = ""
    printer: str = ""
    payment: str = ""
    ledger: str = ""
    unsent_count: int = 0
    paper: str = ""
    faults: tuple[tuple[float, str], ...] = ()
    camera_notices: tuple[str, ...] = ()
    printer_notice: str = ""
    page: str = ""
    findings: tuple[Finding, ...] | None = None


def status_lines(
    desk: Desk, session: Session, config: BoothConfig, status: BoothStatus, now_s: float, desk_config: DeskConfig
) -> Iterator[StatusLine]:
    """Yield what the desk shows of sitter, devices, paper, records and faults, a line each."""
    if session.called:
        yield StatusLine("Call", "A sitter asks for you.", "look")
    yield _sitter(session)
    yield from _camera(status)
    yield _printer(status)
    if config.payment is not None:
        yield _payment(desk, status)
    yield _paper(desk, status, desk_config)
    yield StatusLine("Ledger", status.ledger or "It is written.", "bad" if status.ledger else "good")
    if status.page:
        yield StatusLine("Page", status.page, "look")
    if documents := offered(config):
        yield _rules(documents)
    yield from _findings(status.findings)
    if desk_config.columns:
        yield StatusLine("Reprint", "A guest's badge is printed again at Guests; the report counts it.")
    else:
        yield _reprint(desk, desk_config)
    for at_s, sentence in status.faults[:LAST_FAULTS]:
        yield StatusLine(f"Fault {_ago(now_s - at_s)}", sentence)


def _camera(status: BoothStatus) -> Iterator[StatusLine]:
    """Yield a line for each notice, so that many of them can go on to the next page."""
    if status.camera:
        yield StatusLine("Camera", status.camera, "bad")
    elif status.camera_notices:
        first, *others = status.camera_notices
        yield StatusLine("Camera", f"It answers. {first}", "look")
        yield from (StatusLine("Camera", notice, "look") for notice in others)
    else:
        yield StatusLine("Camera", "It answers.", "good")


def _printer(status: BoothStatus) -> StatusLine:
    if status.printer:
        return StatusLine("Printer", status.printer, "bad")
    if status.printer_notice:
        return StatusLine("Printer", f"No fault is known. {status.printer_notice}", "look")
    return StatusLine("Printer", "No fault is known.", "good")


def _sitter(session: Session) -> StatusLine:
    doing = DOING[session.state]
    if session.document is not None:
        doing = f"{doing} {session.document.title} ({session.document.id})."
    doing = f"{doing} {seat_words(session)}".rstrip()
    if session.state == "review" and session.still is not None:
        judgement = session.still.judgement
        reasons = ", ".join(name.replace("_", " ") for name in judgement.reasons[:3])
        passed = "passed by attendant" if session.still.override else judgement.verdict
        doing = f"{doing} Verdict: {passed}{f' ({reasons})' if reasons else ''}."
    if session.state == "release" and session.still is not None and session.still.not_certain:
        points = ", ".join(name.replace("_", " ") for name in session.still.not_certain)
        doing = f"{doing} The sitter accepts it as not certain: {points}."
    if session.state == "out_of_order":
        return StatusLine("Sitter", f"{doing} {session.fault[0]} {session.fault[1]}".rstrip(), "bad")
    return StatusLine("Sitter", doing, "look" if session.state == "release" else "none")


def seat_words(session: Session) -> str:
    """Return by how much the seat, or the camera, is to be moved; nothing where it need not be."""
    off_cm = session.advice.height_off_cm if session.state == "align" else 0
    if not off_cm:
        return ""
    if session.ease.seat_stays:
        return f"The camera is {abs(off_cm)} cm too {'high' if off_cm > 0 else 'low'} for the sitter's eyes: move it."
    return f"The seat is {abs(off_cm)} cm too {'low: raise' if off_cm > 0 else 'high: lower'} it."


def _payment(desk: Desk, status: BoothStatus) -> StatusLine:
    if status.payment:
        return StatusLine("Payment", status.payment, "bad")
    count = len(desk.owed)
    if count:
        return StatusLine("Payment", f"Money of {count} sitter{'s is' if count > 1 else ' is'} to be paid out.", "look")
    return StatusLine("Payment", "The unit answers; nothing is owed.", "good")


def _paper(desk: Desk, status: BoothStatus, desk_config: DeskConfig) -> StatusLine:
    if desk.sheets is None:
        return StatusLine("Paper", f"{status.paper}; nobody has counted the sheets.")
    few = desk.sheets <= desk_config.few_sheets
    mark: Mark = "bad" if desk.sheets == 0 else "look" if few else "good"
    return StatusLine("Paper", f"{status.paper}; {desk.sheets} sheets left by the count.", mark)


def _reprint(desk: Desk, desk_config: DeskConfig) -> StatusLine:
    if not desk_config.reprint_minutes:
        return StatusLine("Reprint", "Nothing is kept after a session, so that no sheet can be printed again.")
    count = len(desk.kept)
    can = f"{count} sheet{' can' if count == 1 else 's can'} be printed again" if count else "No sheet is kept now"
    return StatusLine("Reprint", f"{can}; each is kept in memory for {desk_config.reprint_minutes} minutes.")


def offered(config: BoothConfig) -> tuple[Document, ...]:
    """Return the documents by whose rules photos are judged: those on offer, and that of an event's badge."""
    badge = config.reception.document if config.reception else None
    return config.documents if badge is None else (*config.documents, badge)


def _rules(documents: tuple[Document, ...]) -> StatusLine:
    oldest = min(documents, key=lambda document: document.read_on)
    count = len(documents)
    offered = f"{count} document{'s are' if count > 1 else ' is'} offered"
    return StatusLine("Rules", f"{offered}; the oldest rules were read on {oldest.read_on} ({oldest.id}).")


def _findings(findings: tuple[Finding, ...] | None) -> Iterator[StatusLine]:
    """Yield a line for each finding that is not good, or a single line with the number of good ones."""
    if findings is None:
        yield StatusLine("Check", "The booth is being checked.")
        return
    wrong = [finding for finding in findings if not finding.good]
    for finding in wrong:
        yield StatusLine("Check", f"{finding.sentence} {finding.next_step}", "bad" if finding.stops else "look")
    if not wrong:
        yield StatusLine("Check", f"All {len(findings)} checks passed.", "good")


def _ago(age_s: float) -> str:
    minutes = int(age_s // 60)
    return "just now" if minutes < 1 else f"{minutes} min ago" if minutes < 120 else f"{minutes // 60} h ago"
