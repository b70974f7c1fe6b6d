"""Write facts as rows of the ledger, and close the rows that a crash has left open.

Where there is an outbox, each change of the rows enters a fact there, in the same transaction.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, insert, select, update

from kiosk.core.session.facts import (
    Attended,
    ConsentGiven,
    DocumentChosen,
    Fact,
    FaultBegan,
    FaultsMended,
    FileHanded,
    LanguageChosen,
    SessionBegan,
    SessionEnded,
    SheetBegun,
    SheetEnd,
    SheetEnded,
    ShotJudged,
    ShotLost,
    Stamped,
    VerdictOverridden,
)
from kiosk.core.session.payment_facts import BillSettled, PaymentAsked, PaymentEnded, PaymentRefunded, PaymentTaken
from kiosk.store.ledger.outbox import Outbox, enter
from kiosk.store.ledger.payments import write_payment
from kiosk.store.ledger.tables import ATTENDED, FAULT, FINDING, HANDED, OVERRIDE, PAYMENT, SESSION, SHEET, SHOT

INTERRUPTED = "interrupted"
"""The ending of a session that a crash or a power cut ended."""

HowItEnded = Callable[[str], SheetEnd]
"""Returns the outcome of the sheet with a given key, from the journal of print jobs."""


@dataclass(frozen=True, slots=True)
class OpenSession:
    """The current session: the id and the day of its row, and the monotonic time at which it began."""

    id: int
    day: date
    began_s: float


def close_open_rows(
    connection: Connection, at: datetime, how_it_ended: HowItEnded, outbox: Outbox | None = None
) -> None:
    """End all sessions, faults and sheets that have no end; sheets by the journal of print jobs."""
    at_utc = _utc(at)
    for (session,) in connection.execute(select(SESSION.c.id).where(SESSION.c.ending.is_(None))).all():
        connection.execute(update(SESSION).where(SESSION.c.id == session).values(ending=INTERRUPTED))
        _send_end_of_session(connection, session, at_utc, outbox)
    end_faults(connection, at, outbox)
    for (key,) in connection.execute(select(SHEET.c.key).where(SHEET.c.ended.is_(None))).all():
        _end_sheet(connection, SheetEnded(key, how_it_ended(key)), at_utc, outbox)


def end_faults(connection: Connection, at: datetime, outbox: Outbox | None = None) -> None:
    """Record the end of all open faults."""
    at_utc = _utc(at)
    if outbox is not None:
        is_open = select(FAULT.c.day, FAULT.c.began_at, FAULT.c.key).where(FAULT.c.mended_at.is_(None))
        for day, began_at, key in connection.execute(is_open.order_by(FAULT.c.id)).all():
            duration_s = (at_utc - began_at).total_seconds()
            outbox.put(connection, "fault_mended", at_utc, day, fault=key, duration_s=duration_s)
    connection.execute(update(FAULT).where(FAULT.c.mended_at.is_(None)).values(mended_at=at_utc))


def write(
    connection: Connection, stamped: Stamped, session: OpenSession | None, outbox: Outbox | None = None
) -> OpenSession | None:
    """Write one fact, and return the session that is open afterwards."""
    at, day = _utc(stamped.at), stamped.at.date()
    row: dict[str, Any] = {"session_id": session.id if session else None, "day": day}
    match stamped.fact:
        case SessionBegan(language):
            began = connection.execute(insert(SESSION).values(day=day, began_at=at, language=language))
            session = OpenSession(_key(began.inserted_primary_key), day, stamped.at_s)
            enter(connection, outbox, "session_began", at, day, session=session.id, language=language)
            return session
        case SessionEnded(ending):
            if session is not None:
                duration_s = round(stamped.at_s - session.began_s, 3)
                _change(connection, session, ended_at=at, ending=ending, duration_s=duration_s)
                _send_end_of_session(connection, session.id, at, outbox)
            return None
        case SheetEnded() as ended:
            _end_sheet(connection, ended, at, outbox)
        case PaymentAsked() | PaymentTaken() | PaymentEnded() | PaymentRefunded() | BillSettled() as money:
            write_payment(connection, money, row, at, outbox)
        case FaultBegan(key):
            connection.execute(insert(FAULT).values(day=day, began_at=at, key=key))
            enter(connection, outbox, "fault_began", at, day, fault=key)
        case FaultsMended():
            end_faults(connection, stamped.at, outbox)
        case _ as fact:
            if session is not None:
                _write_of_sitter(connection, fact, session, at, outbox)
            _write_of_day(connection, fact, row, at, outbox)
    return session


def _write_of_sitter(
    connection: Connection, fact: Fact, session: OpenSession, at: datetime, outbox: Outbox | None
) -> None:
    """Write a fact that makes sense only while a session is open; others are ignored."""

    def send(kind: str, **columns: object) -> None:
        enter(connection, outbox, kind, at, session.day, session=session.id, **columns)

    match fact:
        case LanguageChosen(language):
            _change(connection, session, language=language)
            send("language_chosen", language=language)
        case DocumentChosen(document):
            _change(connection, session, document=document)
            send("document_chosen", document=document)
        case ConsentGiven():
            _change(connection, session, consented_at=at)
            send("consent_given")
        case ShotJudged(number, verdict, words):
            shot = _shot(connection, session, number, at, verdict)
            rows = [{"shot_id": shot, "requirement": name, "word": word} for name, word in words]
            if rows:
                connection.execute(insert(FINDING), rows)
            send("shot_judged", shot=number, verdict=verdict, words=dict(words))
        case ShotLost(number):
            _shot(connection, session, number, at, "lost")
            send("shot_lost", shot=number, verdict="lost")


def _write_of_day(connection: Connection, fact: Fact, row: dict[str, Any], at: datetime, outbox: Outbox | None) -> None:
    """Write a fact that may also occur outside a session; others are ignored."""
    match fact:
        case SheetBegun(key, document, medium, photos, sheets, reprint_of, not_certain, bill, price):
            row |= {"key": key, "document": document, "medium": medium, "photos": photos, "sheets": sheets}
            row |= {"not_certain": " ".join(not_certain) or None}
            if bill:
                row |= {"bill": bill, "price": price}
            if reprint_of:
                first = select(SHEET.c.session_id).where(SHEET.c.key == reprint_of)
                row |= {"reprint_of": reprint_of, "session_id": connection.scalar(first)}
            connection.execute(insert(SHEET).values(begun_at=at, **row))
            _send_sheet(connection, key, "sheet_begun", at, outbox)
        case FileHanded(document, way):
            connection.execute(insert(HANDED).values(at=at, document=document, way=way, **row))
            enter(connection, outbox, "file_handed", at, row["day"], session=row["session_id"], document=document)
        case VerdictOverridden(reason):
            connection.execute(insert(OVERRIDE).values(at=at, reason=reason, **row))
            enter(connection, outbox, "verdict_overridden", at, row["day"], session=row["session_id"], reason=reason)
        case Attended(act):
            connection.execute(insert(ATTENDED).values(at=at, act=act, **row))
            enter(connection, outbox, "attended", at, row["day"], session=row["session_id"], act=act)


def _end_sheet(connection: Connection, ended: SheetEnded, at: datetime, outbox: Outbox | None) -> None:
    """Record how a sheet ended; the outbox has its first end only, so that no sheet is counted twice."""
    this = SHEET.c.key == ended.key
    is_first = connection.scalar(select(SHEET.c.key).where(this, SHEET.c.ended.is_(None))) is not None
    connection.execute(update(SHEET).where(this).values(ended=ended.end, ended_at=at))
    if is_first:
        _send_sheet(connection, ended.key, "sheet_ended", at, outbox)


def _send_end_of_session(connection: Connection, session: int, at: datetime, outbox: Outbox | None) -> None:
    said = SESSION.c.ending, SESSION.c.duration_s, SESSION.c.language, SESSION.c.document
    row = select(SESSION.c.id.label("session"), SESSION.c.day, *said).where(SESSION.c.id == session)
    _send_row(connection, row, "session_ended", at, outbox)


def _send_sheet(connection: Connection, key: str, kind: str, at: datetime, outbox: Outbox | None) -> None:
    said = SHEET.c.document, SHEET.c.medium, SHEET.c.photos, SHEET.c.sheets, SHEET.c.reprint_of, SHEET.c.not_certain
    known = SHEET.c.day, SHEET.c.session_id.label("session"), SHEET.c.key.label("sheet"), SHEET.c.ended
    with_bill = SHEET.outerjoin(PAYMENT, PAYMENT.c.key == SHEET.c.bill)
    row = select(*known, *said, SHEET.c.price, PAYMENT.c.currency).select_from(with_bill).where(SHEET.c.key == key)
    _send_row(connection, row, kind, at, outbox)


def _send_row(connection: Connection, query: Select[Any], kind: str, at: datetime, outbox: Outbox | None) -> None:
    """Enter the one row of a query; its `day` is the fact's."""
    if outbox is not None:
        outbox.put(connection, kind, at, **connection.execute(query).one()._mapping)


def _change(connection: Connection, session: OpenSession, **values: object) -> None:
    connection.execute(update(SESSION).where(SESSION.c.id == session.id).values(values))


def _shot(connection: Connection, session: OpenSession, number: int, at: datetime, verdict: str) -> int:
    row = {"session_id": session.id, "number": number, "judged_at": at, "verdict": verdict}
    return _key(connection.execute(insert(SHOT).values(row)).inserted_primary_key)


def _key(row: Row[Any] | None) -> int:
    assert row is not None
    return int(row[0])


def _utc(at: datetime) -> datetime:
    return at.astimezone(UTC).replace(tzinfo=None)
