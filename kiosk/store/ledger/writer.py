"""Write facts as rows of the ledger, and close the rows that a crash has left open."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from kiosk.core.session.facts import (
    Attended,
    ConsentGiven,
    DocumentChosen,
    Fact,
    FaultBegan,
    FaultsMended,
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
from kiosk.store.ledger.tables import ATTENDED, FAULT, FINDING, OVERRIDE, SESSION, SHEET, SHOT

INTERRUPTED = "interrupted"
"""The ending of a session that a crash or a power cut ended."""

HowItEnded = Callable[[str], SheetEnd]
"""Returns the outcome of the sheet with a given key, from the journal of print jobs."""


@dataclass(frozen=True, slots=True)
class OpenSession:
    """The current session: the id of its row, and the monotonic time at which it began."""

    id: int
    began_s: float


def close_open_rows(connection: Connection, at: datetime, how_it_ended: HowItEnded) -> dict[str, int]:
    """End all sessions, faults and sheets that have no end; sheets by the journal of print jobs.

    Returns
    -------
    dict
        The sheets of each medium that came out after the count of the paper had stopped.
    """
    at_utc, came_out = _utc(at), dict[str, int]()
    connection.execute(update(SESSION).where(SESSION.c.ending.is_(None)).values(ending=INTERRUPTED))
    end_faults(connection, at)
    left = select(SHEET.c.key, SHEET.c.medium, SHEET.c.sheets).where(SHEET.c.ended.is_(None))
    for key, medium, sheets in connection.execute(left).all():
        ended = how_it_ended(key)
        connection.execute(update(SHEET).where(SHEET.c.key == key).values(ended=ended, ended_at=at_utc))
        if ended == "printed":
            came_out[medium] = came_out.get(medium, 0) + sheets
    return came_out


def end_faults(connection: Connection, at: datetime) -> None:
    """Record the end of all open faults."""
    connection.execute(update(FAULT).where(FAULT.c.mended_at.is_(None)).values(mended_at=_utc(at)))


def write(connection: Connection, stamped: Stamped, session: OpenSession | None) -> OpenSession | None:
    """Write one fact, and return the session that is open afterwards."""
    at, day = _utc(stamped.at), stamped.at.date()
    match stamped.fact:
        case SessionBegan(language):
            began = connection.execute(insert(SESSION).values(day=day, began_at=at, language=language))
            return OpenSession(_key(began.inserted_primary_key), stamped.at_s)
        case SessionEnded(ending):
            if session is not None:
                duration_s = round(stamped.at_s - session.began_s, 3)
                _change(connection, session, ended_at=at, ending=ending, duration_s=duration_s)
            return None
        case SheetEnded(key, end):
            connection.execute(update(SHEET).where(SHEET.c.key == key).values(ended=end, ended_at=at))
        case FaultBegan(key):
            connection.execute(insert(FAULT).values(day=day, began_at=at, key=key))
        case FaultsMended():
            end_faults(connection, stamped.at)
        case _ as fact:
            if session is not None:
                _write_of_sitter(connection, fact, session, at)
            _write_of_day(connection, fact, {"session_id": session.id if session else None, "day": day}, at)
    return session


def _write_of_sitter(connection: Connection, fact: Fact, session: OpenSession, at: datetime) -> None:
    """Write a fact that makes sense only while a session is open; others are ignored."""
    match fact:
        case LanguageChosen(language):
            _change(connection, session, language=language)
        case DocumentChosen(document):
            _change(connection, session, document=document)
        case ConsentGiven():
            _change(connection, session, consented_at=at)
        case ShotJudged(number, verdict, words):
            shot = _shot(connection, session, number, at, verdict)
            rows = [{"shot_id": shot, "requirement": name, "word": word} for name, word in words]
            if rows:
                connection.execute(insert(FINDING), rows)
        case ShotLost(number):
            _shot(connection, session, number, at, "lost")


def _write_of_day(connection: Connection, fact: Fact, row: dict[str, object], at: datetime) -> None:
    """Write a fact that may also occur outside a session; others are ignored."""
    match fact:
        case SheetBegun(key, document, medium, photos, sheets, reprint_of, not_certain):
            row |= {"key": key, "document": document, "medium": medium, "photos": photos, "sheets": sheets}
            row |= {"not_certain": " ".join(not_certain) or None}
            if reprint_of:
                first = select(SHEET.c.session_id).where(SHEET.c.key == reprint_of)
                row |= {"reprint_of": reprint_of, "session_id": connection.scalar(first)}
            connection.execute(insert(SHEET).values(begun_at=at, **row))
        case VerdictOverridden(reason):
            connection.execute(insert(OVERRIDE).values(at=at, reason=reason, **row))
        case Attended(act):
            connection.execute(insert(ATTENDED).values(at=at, act=act, **row))


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
