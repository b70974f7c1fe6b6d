"""The report on a day, a month or a year as text and as CSV."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

from babel.numbers import get_currency_precision

from kiosk.core.judging.override import REASONS
from kiosk.core.session.business_report import ENDINGS, BusinessReport, Takings
from kiosk.core.session.facts import SheetEnd
from kiosk.i18n import Words

ENDING_WORDS = {
    "printed": "printed",
    "abandoned": "left before the end",
    "gave_up": "nobody held still",
    "fault": "a device failed",
    "interrupted": "power cut or crash",
    "open": "going on now",
}
_REASON_WORDS: dict[str, str] = {reason: words.split(";")[0] for reason, words in REASONS.items()}
_ACT_WORDS = {
    "prints_released": "prints released",
    "paper_changed": "paper changed",
    "closed": "booth closed",
    "opened": "booth opened",
    "sitter_helped": "sitters helped",
    "test_shot": "test shots",
    "reprinted": "sheets printed again",
    "signed_in": "sign-ins",
    "pin_wrong": "wrong PINs",
    "ended": "program ended",
}


def figures(trade: BusinessReport) -> dict[str, str]:
    """Return the key figures by name."""
    typical = trade.median_minutes
    shots, files = sum(day.shots for day in trade.days), sum(day.files for day in trade.days)
    return {
        "sitters": f"{trade.sessions:,}",
        "of them printed": f"{trade.endings['printed'] / trade.sessions:.0%}" if trade.sessions else "–",
        "sheets printed": f"{trade.sheets('printed'):,}",
        "photos on them": f"{sum(day.photos for day in trade.days):,}",
        **({"photos taken away as files": f"{files:,}"} if files else {}),
        "shots a sitter": f"{shots / trade.sessions:.1f}" if trade.sessions else "–",
        "minutes, median of those who printed": "–" if typical is None else f"{typical:.1f}",
    }


def incidents(trade: BusinessReport) -> list[str]:
    """Return the incidents that an owner should look into, one sentence each."""
    lines = []
    unknown, not_printed = trade.sheets("unknown"), trade.sheets("not_printed")
    if unknown:
        lines.append(f"{_many(unknown, 'sheet')}: it is not known whether printed. Count the paper.")
    if not_printed:
        lines.append(f"{_many(not_printed, 'sheet')} not printed because of a fault.")
    again = sum(day.reprints for day in trade.days)
    if again:
        lines.append(f"{_many(again, 'sheet')} printed again by the attendant, counted among those printed.")
    doubtful = sum(day.not_certain for day in trade.days)
    if doubtful:
        lines.append(f"{_many(doubtful, 'sheet')} printed as not certain, which the sitter accepted.")
    lines += [_money(takings) for takings in trade.takings]
    for key, (count, minutes) in trade.faults.items():
        lines.append(f"{key.replace('_', ' ').capitalize()}: {_many(count, 'time')}, {minutes:.0f} minutes in all.")
    for reason, count in trade.reasons.items():
        lines.append(f"Passed by attendant ({_REASON_WORDS.get(reason, reason).lower()}): {_many(count, 'time')}.")
    if trade.acts:
        acts = ", ".join(f"{_ACT_WORDS.get(act, act)} {count}" for act, count in trade.acts.items())
        lines.append(f"The attendant: {acts}.")
    if trade.kept_aside:
        names = ", ".join(trade.kept_aside)
        lines.append(f"Older ledgers lie beside this one; copies are counted here, set aside ones are not: {names}.")
    return lines


def _money(takings: Takings) -> str:
    """Return the sums of one currency; they balance."""
    digits = get_currency_precision(takings.currency)

    def amount(minor: int) -> str:
        return f"{Decimal(minor).scaleb(-digits):,}"

    return (
        f"{takings.currency} {amount(takings.paid)} taken: {amount(takings.spent)} for printed sheets, "
        f"{amount(takings.refunded)} paid back by the unit, {amount(takings.settled)} paid out by the attendant, "
        f"{amount(takings.owed)} still owed."
    )


def trade_text(trade: BusinessReport, booth: str) -> str:
    """Return the report as text for a terminal."""
    lines = [f"{booth or 'Booth'}: {trade.period.text}", ""]
    lines += [f"{value:>10}  {name}" for name, value in figures(trade).items()]
    lines += _block("How sessions ended", {ENDING_WORDS[name]: trade.endings[name] for name in ENDINGS})
    lines += _block("Documents", {name or "none chosen": count for name, count in trade.documents.items()})
    words = Words.load("en")
    failing = [one for one in trade.requirements if one.failed or one.referred]
    if failing:
        lines += ["", "What fails most (shots failed, left to a person, judged)"]
        lines += [
            f"{one.failed:>10} {one.referred:>7} {one.judged:>7}  {words.tr(f'requirement.{one.name}')}"
            for one in failing
        ]
    if incidents(trade):
        lines += ["", "To look into", *(f"  {line}" for line in incidents(trade))]
    return "\n".join(lines)


def trade_csv(trade: BusinessReport) -> str:
    """Return the report as CSV (RFC 4180), with a row for each day on which something happened."""
    file = io.StringIO(newline="")
    table = csv.writer(file)
    sheets: tuple[SheetEnd, ...] = ("printed", "not_printed", "unknown")
    table.writerow(
        [
            "day",
            *(f"sessions_{ending}" for ending in ENDINGS),
            "shots",
            *(f"sheets_{end}" for end in sheets),
            "sheets_printed_again",
            "sheets_not_certain",
            "photos_printed",
            "minutes_of_printed_sessions",
            "overrides",
            "faults",
            "files_taken_away",
        ]
    )
    for day in trade.days:
        table.writerow(
            [
                day.day.isoformat(),
                *(day.endings.get(ending, 0) for ending in ENDINGS),
                day.shots,
                *(day.sheets.get(end, 0) for end in sheets),
                day.reprints,
                day.not_certain,
                day.photos,
                f"{sum(day.minutes):.1f}",
                day.overrides,
                day.faults,
                day.files,
            ]
        )
    return file.getvalue()


def _block(heading: str, counts: dict[str, int]) -> list[str]:
    shown = {name: count for name, count in counts.items() if count}
    return ["", heading, *(f"{count:>10}  {name}" for name, count in shown.items())] if shown else []


def _many(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"
