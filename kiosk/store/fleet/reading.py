"""Queries of an office's database for a report; they count tallies by booth and day, never single facts."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from statistics import median
from typing import Any

import sqlalchemy as sa
from babel.numbers import get_currency_precision

from kiosk.core.session.business_report import BusinessReport, Day, Period, Requirement, Takings
from kiosk.core.session.facts import SheetEnd
from kiosk.core.session.fleet_report import WEEKS, BoothFigures, FleetReport, Refill, Week
from kiosk.errors import NoSuchBooth
from kiosk.store.fleet.office import Office

REPORT_S = 120
"""How long a report may take, which nobody's sitter waits for."""
PriceOf = Callable[[str], Decimal | None]
"""Returns what a sheet of a document costs, by the document's id; None where no price is known."""
_Tally = Counter[tuple[str, str]]
"""Amounts by subject and name, as `hardware/fleet/ledger.sql` counts them."""
_SHEET_ENDS: tuple[SheetEnd, ...] = ("printed", "not_printed", "unknown")

_BOOTHS = sa.text(
    "SELECT name, region, heard_at, sheets_left, few_sheets, supplies FROM booth "
    "WHERE name = coalesce(:booth, name) AND region = coalesce(:region, region) ORDER BY name"
)
_OF = "FROM tally WHERE booth = ANY(:booths) AND day BETWEEN :first AND :last"
_BY_DAY = sa.text(f"SELECT day, subject, name, sum(amount) {_OF} GROUP BY day, subject, name")
_BY_BOOTH = sa.text(f"SELECT booth, subject, name, sum(amount) {_OF} GROUP BY booth, subject, name")
_BY_WEEK = sa.text(
    "SELECT booth, name, (CAST(:last AS date) - day) / 7 AS ago, sum(amount),"
    " coalesce(sum(amount) FILTER (WHERE subject IN ('requirement fail', 'requirement refer')), 0) "
    f"{_OF} AND subject LIKE 'requirement %' GROUP BY booth, name, ago ORDER BY booth, name, ago DESC"
)


def read_fleet(
    office: Office,
    period: Period,
    price_of: PriceOf,
    currency: str,
    booth: str | None = None,
    region: str | None = None,
) -> FleetReport:
    """Return the report on a period of one booth, of a region or, without either, of all.

    Raises
    ------
    NoSuchBooth
        No such booth or region was ever heard of.
    OfficeUnreachable
        The database does not respond, or refuses.
    """
    with office.transaction(REPORT_S) as transaction:
        transaction.execute(sa.text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY"))
        transaction.execute(sa.text(f"SET LOCAL statement_timeout = '{REPORT_S}s'"))
        asked_at: datetime = transaction.execute(sa.text("SELECT now()")).scalar_one().astimezone(UTC)
        known = transaction.execute(_BOOTHS, {"booth": booth, "region": region}).all()
        if not known:
            raise NoSuchBooth(what=f"the booth {booth}" if booth else f"the region {region}" if region else "any booth")
        of = {"booths": [row.name for row in known], "first": period.first, "last": period.last}
        by_day, by_booth = defaultdict[date, _Tally](Counter), defaultdict[str, _Tally](Counter)
        for day, subject, name, amount in transaction.execute(_BY_DAY, of):
            by_day[day][subject, name] = amount
        for name, subject, what, amount in transaction.execute(_BY_BOOTH, of):
            by_booth[name][subject, what] = amount
        last = max(by_day, default=period.last)
        eight = of | {"first": last - timedelta(days=7 * WEEKS - 1), "last": last}
        weeks = _weeks(transaction.execute(_BY_WEEK, eight), last)
    return FleetReport(
        who=f"Booth {booth}" if booth else f"Region {region}" if region else "All booths",
        total=_total(by_day, period),
        booths=tuple(_booth(row, by_booth[row.name], price_of, currency) for row in known),
        weeks=weeks,
        takings={
            day: takings
            for day, tally in sorted(by_day.items())
            if (takings := _takings(tally, price_of, currency)) is not None
        },
        currency=currency,
        refills=tuple(sorted(_refills(known), key=lambda one: (one.left / max(one.few, 1), one.booth))),
        asked_at=asked_at,
    )


def _named(tally: _Tally, subject: str) -> dict[str, int]:
    """Return the whole amounts of a subject by name, the largest first."""
    found = [(name, round(amount)) for (of, name), amount in tally.items() if of == subject]
    return dict(sorted(found, key=lambda one: (-one[1], one[0])))


def _count(tally: _Tally, subject: str) -> int:
    return sum(_named(tally, subject).values())


def _minutes(tally: _Tally) -> tuple[float, ...]:
    """Return the minutes of each session that ended in a print, in the middle of their tenth."""
    tenths = _named(tally, "printed in tenths of a minute")
    return tuple((int(tenth) + 0.5) / 10 for tenth, count in tenths.items() for _ in range(count))


def _requirements(tally: _Tally) -> list[Requirement]:
    """Return the requirements, sorted by the share of shots that failed them, the largest first."""
    judged = Counter[str]()
    for (subject, name), amount in tally.items():
        if subject.startswith("requirement "):
            judged[name] += round(amount)
    found = [
        Requirement(name, count, round(tally["requirement fail", name]), round(tally["requirement refer", name]))
        for name, count in judged.items()
    ]
    return sorted(found, key=lambda one: (-one.failed / one.judged, -one.referred / one.judged, one.name))


def _total(by_day: dict[date, _Tally], period: Period) -> BusinessReport:
    whole: _Tally = Counter()
    for tally in by_day.values():
        whole.update(tally)
    minutes = {name: whole["fault minutes", name] for name in _named(whole, "fault")}
    return BusinessReport(
        period=period,
        days=tuple(_day(day, tally) for day, tally in sorted(by_day.items())),
        documents=_named(whole, "document"),
        requirements=tuple(_requirements(whole)),
        reasons=_named(whole, "override"),
        acts=_named(whole, "act"),
        faults={name: (count, minutes[name]) for name, count in _named(whole, "fault").items()},
        takings=tuple(_money(whole)),
    )


def _day(day: date, tally: _Tally) -> Day:
    endings = _named(tally, "ending")
    is_open = round(tally["fact", "session_began"]) - sum(endings.values())
    return Day(
        day=day,
        endings=endings | ({"open": is_open} if is_open > 0 else {}),
        shots=_count(tally, "shot"),
        sheets={end: count for end in _SHEET_ENDS if (count := _count(tally, f"sheets {end}"))},
        photos=_count(tally, "photos"),
        minutes=_minutes(tally),
        overrides=_count(tally, "override"),
        faults=_count(tally, "fault"),
        reprints=_count(tally, "sheets again"),
        not_certain=_count(tally, "sheets not certain"),
        files=round(tally["fact", "file_handed"]),
    )


def _booth(row: Any, tally: _Tally, price_of: PriceOf, currency: str) -> BoothFigures:
    minutes = _minutes(tally)
    return BoothFigures(
        booth=row.name,
        region=row.region,
        heard_at=row.heard_at.astimezone(UTC),
        sitters=_count(tally, "ending"),
        printed=round(tally["ending", "printed"]),
        shots=_count(tally, "shot"),
        sheets=_count(tally, "sheets printed"),
        median_minutes=median(minutes) if minutes else None,
        faults=_count(tally, "fault"),
        fault_minutes=sum(amount for (subject, _), amount in tally.items() if subject == "fault minutes"),
        requirements={one.name: one for one in _requirements(tally)},
        takings=_takings(tally, price_of, currency),
    )


def _money(tally: _Tally) -> Iterator[Takings]:
    """Yield the money that payment units took, by currency."""
    for currency in sorted({name for subject, name in tally if subject == "money payment_taken"}):
        paid, refunded, settled, spent = (
            round(tally[f"money {what}", currency])
            for what in ("payment_taken", "payment_refunded", "bill_settled", "spent")
        )
        yield Takings(currency, paid, refunded, settled, spent)


def _takings(tally: _Tally, price_of: PriceOf, currency: str) -> Decimal | None:
    """Return the money that was kept, and what the sheets of booths without a payment unit cost; None if neither."""
    priced = [
        price * count
        for document, count in _named(tally, "sheets of document").items()
        if (price := price_of(document)) is not None
    ]
    digits = get_currency_precision(currency) if currency else 0
    kept = [
        Decimal(one.paid - one.refunded - one.settled).scaleb(-digits)
        for one in _money(tally)
        if one.currency == currency
    ]
    return sum((*priced, *kept), Decimal(0)) if priced or kept else None


def _weeks(rows: Iterable[Sequence[Any]], last: date) -> dict[tuple[str, str], tuple[Week, ...]]:
    found = defaultdict[tuple[str, str], list[Week]](list)
    for booth, name, ago, judged, unfit in rows:
        found[booth, name].append(Week(last - timedelta(days=7 * ago + 6), round(judged), round(unfit)))
    return {key: tuple(weeks) for key, weeks in found.items() if weeks[-1].first == last - timedelta(days=6)}


def _refills(rows: Iterable[Any]) -> Iterator[Refill]:
    for row in rows:
        if row.sheets_left is not None and row.sheets_left <= row.few_sheets:
            yield Refill(row.name, "sheets", row.sheets_left, row.few_sheets, "")
        for supply in row.supplies:
            if supply["percent"] <= supply["few_percent"]:
                yield Refill(row.name, supply["name"], supply["percent"], supply["few_percent"], "%")
