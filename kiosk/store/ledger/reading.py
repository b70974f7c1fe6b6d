"""Read-only queries of a ledger for a report; they neither change the file nor block the booth."""

from __future__ import annotations

import sqlite3
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Select, StaticPool, Table, case, create_engine, func, select
from sqlalchemy.exc import DatabaseError
from sqlalchemy.sql.elements import ColumnElement

from kiosk.core.session.business_report import BusinessReport, Day, Period, Requirement, Takings
from kiosk.errors import LedgerFault, LedgerForeign, LedgerNewer
from kiosk.store.ledger.file import BUSY_S, fault_of, set_aside_files
from kiosk.store.ledger.outbox import Unsent, unsent
from kiosk.store.ledger.tables import ATTENDED, FAULT, FINDING, HANDED, OVERRIDE, PAYMENT, SESSION, SHEET, SHOT
from kiosk.store.ledger.versions import APPLICATION_ID, VERSIONS, bring_up_to_date, version_of


def read_trade(path: Path, period: Period) -> BusinessReport:
    """Return the report on a period from the ledger at `path`; an older version is upgraded as a copy in memory.

    Raises
    ------
    LedgerFault
        The file is missing, damaged, newer, held by another program, or not a ledger.
    """
    try:
        with _reading(path) as connection:
            return _trade(connection, period, tuple(kept.name for kept in set_aside_files(path)))
    except (DatabaseError, sqlite3.DatabaseError, ValueError, TypeError) as error:
        raise fault_of(error, path) from error


def read_unsent(path: Path) -> Unsent:
    """Return how many facts of the ledger at `path` wait for an office's database, and since when.

    Raises
    ------
    LedgerFault
        As `read_trade` does.
    """
    try:
        with _reading(path) as connection:
            return unsent(connection)
    except (DatabaseError, sqlite3.DatabaseError, ValueError, TypeError) as error:
        raise fault_of(error, path) from error


@contextmanager
def _reading(path: Path) -> Iterator[Connection]:
    if not path.is_file():
        raise LedgerFault(path=path, detail="there is no such file")
    if not path.stat().st_size:
        raise sqlite3.DatabaseError("it is empty, and what it held is gone")

    def _open() -> sqlite3.Connection:
        return sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True, timeout=BUSY_S, check_same_thread=False)

    with closing(_open()) as file:
        (mark,) = file.execute("PRAGMA application_id").fetchone()
        (found,) = file.execute("PRAGMA user_version").fetchone()
        if mark != APPLICATION_ID:
            raise LedgerForeign(path=path)
        if found > len(VERSIONS):
            raise LedgerNewer(path=path, found=found, known=len(VERSIONS), kept=path)
        if found < len(VERSIONS):
            memory = sqlite3.connect(":memory:", check_same_thread=False)
            file.backup(memory)
    engine = create_engine(
        "sqlite://", poolclass=StaticPool, creator=_open if found == len(VERSIONS) else lambda: memory
    )
    try:
        with engine.connect() as connection:
            if version_of(connection) < len(VERSIONS):
                bring_up_to_date(connection)
            yield connection
    finally:
        engine.dispose()


def _trade(connection: Connection, period: Period, kept_aside: tuple[str, ...]) -> BusinessReport:
    tables = SESSION, SHEET, HANDED, OVERRIDE, ATTENDED, FAULT
    within = {table: table.c.day.between(period.first, period.last) for table in tables}

    def counted(table: Table, column: ColumnElement[Any]) -> dict[str, int]:
        query = select(column, func.count()).where(within[table]).group_by(column).order_by(func.count().desc(), column)
        return {name or "": int(count) for name, count in connection.execute(query)}

    minutes = (func.julianday(FAULT.c.mended_at) - func.julianday(FAULT.c.began_at)) * 24 * 60
    faults = select(FAULT.c.key, func.count(), func.coalesce(func.sum(minutes), 0.0)).where(within[FAULT])
    return BusinessReport(
        period=period,
        days=tuple(_days(connection, within)),
        documents=counted(SESSION, SESSION.c.document),
        requirements=tuple(_requirements(connection, within[SESSION])),
        reasons=counted(OVERRIDE, OVERRIDE.c.reason),
        acts=counted(ATTENDED, ATTENDED.c.act),
        faults={
            key: (int(count), float(down)) for key, count, down in connection.execute(faults.group_by(FAULT.c.key))
        },
        takings=tuple(_takings(connection, period)),
        kept_aside=kept_aside,
    )


def _days(connection: Connection, within: Mapping[Table, ColumnElement[bool]]) -> Iterator[Day]:
    endings, sheets = defaultdict[date, Counter[str]](Counter), defaultdict[date, Counter[Any]](Counter)
    minutes = defaultdict[date, list[float]](list)
    photos, reprints, not_certain = Counter[date](), Counter[date](), Counter[date]()
    others_of = {OVERRIDE: Counter[date](), FAULT: Counter[date](), HANDED: Counter[date]()}
    of_sessions = select(SESSION.c.day, SESSION.c.ending, SESSION.c.duration_s).where(within[SESSION])
    for day, ending, duration_s in connection.execute(of_sessions):
        endings[day][ending or "open"] += 1
        if ending == "printed" and duration_s is not None:
            minutes[day].append(duration_s / 60)
    of_shots = (
        select(SESSION.c.day, func.count()).join_from(SHOT, SESSION).where(within[SESSION]).group_by(SESSION.c.day)
    )
    shots = {day: int(count) for day, count in connection.execute(of_shots)}
    again, doubtful = (
        func.sum(case((column.is_not(None), SHEET.c.sheets), else_=0))
        for column in (SHEET.c.reprint_of, SHEET.c.not_certain)
    )
    laid_on = func.sum(SHEET.c.sheets * SHEET.c.photos)
    for day, ended, count, laid, repeated, uncertain in connection.execute(
        select(SHEET.c.day, SHEET.c.ended, func.sum(SHEET.c.sheets), laid_on, again, doubtful)
        .where(within[SHEET])
        .group_by(SHEET.c.day, SHEET.c.ended)
    ):
        sheets[day][ended or "unknown"] += int(count)
        photos[day] += int(laid) if ended == "printed" else 0
        reprints[day] += int(repeated) if ended == "printed" else 0
        not_certain[day] += int(uncertain) if ended == "printed" else 0
    for table, counter in others_of.items():
        by_day: Select[tuple[date, int]] = select(table.c.day, func.count()).where(within[table]).group_by(table.c.day)
        counter.update({day: int(count) for day, count in connection.execute(by_day)})
    for day in sorted({*endings, *sheets, *(day for counter in others_of.values() for day in counter)}):
        yield Day(
            day=day,
            endings=dict(endings[day]),
            shots=shots.get(day, 0),
            sheets=dict(sheets[day]),
            photos=photos[day],
            minutes=tuple(minutes[day]),
            overrides=others_of[OVERRIDE][day],
            faults=others_of[FAULT][day],
            reprints=reprints[day],
            not_certain=not_certain[day],
            files=others_of[HANDED][day],
        )


def _takings(connection: Connection, period: Period) -> Iterator[Takings]:
    """Yield the money of the bills whose first payment was asked for in the period."""
    first = PAYMENT.alias()
    began = select(first.c.key).where(first.c.key == first.c.bill, first.c.day.between(period.first, period.last))
    of_bills = PAYMENT.c.bill.in_(began)
    currency_of = select(first.c.currency).where(first.c.key == SHEET.c.bill).scalar_subquery()
    printed = select(currency_of, func.sum(SHEET.c.price)).where(SHEET.c.bill.in_(began), SHEET.c.ended == "printed")
    spent = {currency: int(price) for currency, price in connection.execute(printed.group_by(currency_of))}
    sums = [func.sum(column) for column in (PAYMENT.c.paid, PAYMENT.c.refunded, PAYMENT.c.settled)]
    money = select(PAYMENT.c.currency, *sums).where(of_bills).group_by(PAYMENT.c.currency)
    for currency, paid, refunded, settled in connection.execute(money):
        yield Takings(currency, int(paid), int(refunded), int(settled), spent.get(currency, 0))


def _requirements(connection: Connection, within: ColumnElement[bool]) -> Iterator[Requirement]:
    """Yield the requirements, sorted by the share of shots that failed them, largest first."""

    def counted(word: str) -> ColumnElement[int]:
        return func.sum(case((FINDING.c.word == word, 1), else_=0))

    query = (
        select(FINDING.c.requirement, func.count(), counted("fail"), counted("refer"))
        .join_from(FINDING, SHOT)
        .join(SESSION)
        .where(within)
        .group_by(FINDING.c.requirement)
    )
    found = [Requirement(name, *map(int, counts)) for name, *counts in connection.execute(query)]
    yield from sorted(found, key=lambda one: (-one.failed / one.judged, -one.referred / one.judged, one.name))
