"""The office's report against the booths' own ledgers, which were counted by other queries in another database."""

import csv
import io
import json
import statistics
from contextlib import closing
from dataclasses import fields
from datetime import date, timedelta
from decimal import Decimal

import pytest
import sqlalchemy as sa

from kiosk.cli import main
from kiosk.core.session.business_report import Day, Period, Takings
from kiosk.core.session.facts import SessionBegan, SessionEnded, SheetBegun, SheetEnded
from kiosk.core.session.payment_facts import BillSettled, PaymentAsked, PaymentRefunded, PaymentTaken
from kiosk.errors import NoSuchBooth
from kiosk.store.fleet.office import BoothStanding, Office, SupplyLeft
from kiosk.store.fleet.reading import read_fleet
from kiosk.store.ledger import Bookkeeper
from kiosk.store.ledger.outbox import Outbox
from kiosk.store.ledger.reading import read_trade
from tests.ready.test_ledger import SETTINGS
from tests.store.made_up import REQUIREMENTS, Shop
from tests.support.fleet_lab import office_of
from tests.support.manual_clock import ManualClock

JANUARY = Period.parse("2026-01")
BOOTHS = {"north 1": ("north", 60), "north 2": ("north", 45), "south 1": ("south", 30)}
STANDING = {
    "north 1": BoothStanding("north", 7, 10),
    "north 2": BoothStanding("north", 400, 10, (SupplyLeft("ribbon", 12, 20), SupplyLeft("laminate", 90, 20))),
    "south 1": BoothStanding("south", None, 10),
}


def nothing(_document):
    return None


@pytest.fixture(scope="module")
def paths(tmp_path_factory):
    return {booth: tmp_path_factory.mktemp("booth") / "ledger.sqlite3" for booth in BOOTHS}


@pytest.fixture(scope="module")
def office(server, paths):
    """Make an office that has the facts of three booths."""
    lab = office_of(server)
    for seed, (booth, (_, sessions)) in enumerate(BOOTHS.items()):
        Shop(paths[booth], seed=seed, outbox=Outbox()).trade(sessions, a_day=20)
        with closing(Bookkeeper(paths[booth], ManualClock(), lambda key: "unknown", is_sent=True)) as ledger:
            Office(lab.add_booth(booth)).take(booth, ledger.oldest_unsent(100_000), STANDING[booth])
    return lab


@pytest.fixture
def reader(office):
    return office.add_reader("reader")


@pytest.mark.parametrize("booth", BOOTHS)
def test_a_booth_is_the_same_at_the_office_as_in_its_own_ledger(reader, paths, booth):
    own = read_trade(paths[booth], JANUARY)
    total = read_fleet(Office(reader), JANUARY, nothing, "", booth=booth).total
    assert [day.day for day in total.days] == [day.day for day in own.days]
    for there, here in zip(total.days, own.days, strict=True):
        for what in {field.name for field in fields(Day)} - {"minutes"}:
            assert getattr(there, what) == getattr(here, what), what
    assert sum(day.files for day in total.days) > 0
    assert total.documents == own.documents
    assert set(total.requirements) == set(own.requirements)
    assert (total.reasons, total.acts) == (own.reasons, own.acts)
    assert set(total.faults) == set(own.faults)
    for key, (count, minutes) in own.faults.items():
        assert total.faults[key] == (count, pytest.approx(minutes, abs=1e-3))
    assert total.median_minutes == pytest.approx(own.median_minutes, abs=0.1), "kept by tenths of a minute"


def test_all_booths_are_the_sum_and_a_region_is_its_own(reader, paths):
    whole = read_fleet(Office(reader), JANUARY, nothing, "")
    assert whole.total.sessions == sum(sessions for _, sessions in BOOTHS.values())
    assert {one.booth: one.sitters for one in whole.booths} == {name: count for name, (_, count) in BOOTHS.items()}
    north = read_fleet(Office(reader), JANUARY, nothing, "", region="north")
    assert [one.booth for one in north.booths] == ["north 1", "north 2"]
    own = [read_trade(paths[booth], JANUARY) for booth in ("north 1", "north 2")]
    assert north.total.sheets("printed") == sum(each.sheets("printed") for each in own)
    minutes = [minute for each in own for minute in each.minutes]
    assert north.total.median_minutes == pytest.approx(statistics.median(minutes), abs=0.1)
    with pytest.raises(NoSuchBooth, match="the region west"):
        read_fleet(Office(reader), JANUARY, nothing, "", region="west")


def test_takings_are_the_printed_sheets_at_their_prices(reader, paths, office):
    prices = {"us-passport-print": Decimal("11"), "schengen-visa": Decimal("9.50")}
    report = read_fleet(Office(reader), JANUARY, prices.get, "EUR")
    sold = office.rows(
        "SELECT day, sum(sheets * CASE document WHEN 'us-passport-print' THEN 11 WHEN 'schengen-visa' THEN 9.5 END) "
        "FROM fact WHERE kind = 'sheet_ended' AND ended = 'printed' GROUP BY day ORDER BY day"
    )
    assert dict(report.takings) == dict(sold)
    assert sum(one.takings for one in report.booths) == sum(report.takings.values()) > 0


def test_money_that_was_taken_is_counted_as_at_the_booth(server, tmp_path):
    """A booth with a payment unit beside one without: its printed sheet is not counted again at a price."""
    lab = office_of(server)
    paid = (
        PaymentAsked("p1", "p1", 1100, "EUR"),
        PaymentTaken("p1", 1500),
        SheetBegun("s1", "gb-passport-print", "na_index-4x6_4x6in", 4, bill="p1", price=1100),
        SheetEnded("s1", "printed"),
        PaymentRefunded("p1", 300),
        BillSettled("p1", 100),
    )
    free = (SheetBegun("s2", "gb-passport-print", "na_index-4x6_4x6in", 4), SheetEnded("s2", "printed"))
    for booth, facts in (("paid", paid), ("free", free)):
        path = tmp_path / booth / "ledger.sqlite3"
        clock = ManualClock(60.0, date(2026, 1, 5))
        with closing(Bookkeeper(path, clock, lambda key: "unknown", is_sent=True)) as ledger:
            for fact in (SessionBegan("en"), *facts, SessionEnded("printed")):
                ledger.put(fact)
            assert ledger.flush(20.0)
            Office(lab.add_booth(booth)).take(booth, ledger.oldest_unsent(100), BoothStanding())
    report = read_fleet(Office(lab.add_reader("reader")), JANUARY, lambda document: Decimal("9.50"), "EUR")
    own = read_trade(tmp_path / "paid" / "ledger.sqlite3", JANUARY)
    assert report.total.takings == own.takings == (Takings("EUR", 1500, 300, 100, 1100),)
    assert {one.booth: one.takings for one in report.booths} == {"paid": Decimal("11"), "free": Decimal("9.50")}
    assert dict(report.takings) == {date(2026, 1, 5): Decimal("20.50")}


def test_what_runs_out_is_listed_and_the_least_comes_first(reader):
    report = read_fleet(Office(reader), JANUARY, nothing, "")
    assert [(one.booth, one.what, one.left) for one in report.refills] == [
        ("north 2", "ribbon", 12),
        ("north 1", "sheets", 7),
    ]


def weekly(office, booth, shares):
    """Send 200 shots a week of which so many per cent fail in their light."""
    name, generation, number, facts = booth, Outbox().generation, 0, []
    for week, share in enumerate(shares):
        for shot in range(200):
            number += 1
            day = date(2026, 3, 1) + timedelta(days=7 * week + shot % 7)
            words = {"illumination": "fail" if shot % 100 < share else "pass", "yaw": "pass"}
            said = {"generation": generation, "number": number, "at": f"{day}T12:00:00+00:00", "day": str(day)}
            facts.append({**said, "kind": "shot_judged", "session": shot, "shot": 1, "verdict": "pass", "words": words})
    Office(office.add_booth(name)).take(name, facts, BoothStanding("west"))


def test_a_lamp_that_ages_shows_before_anybody_complains(server):
    """One booth's light gets worse by the week, another one's was always bad, and the others are as they should be."""
    lab = office_of(server)
    weekly(lab, "ageing", (2, 2, 2, 4, 9, 14))
    weekly(lab, "dark", (30, 30, 30, 30, 30, 30))
    for number in range(6):
        weekly(lab, f"good {number}", (2, 3, 2, 1, 2, 3))
    report = read_fleet(Office(lab.add_reader("reader")), Period.parse("2026"), nothing, "")
    (drift,) = report.drifts
    assert (drift.booth, drift.requirement) == ("ageing", "illumination")
    assert [round(week.share, 2) for week in drift.weeks] == [0.02, 0.02, 0.02, 0.04, 0.09, 0.14]
    assert drift.weeks[0].first == date(2026, 3, 1)
    (outlier,) = report.outliers
    assert (outlier.booth, outlier.requirement, round(outlier.share, 2)) == ("dark", "illumination", 0.3)
    march = read_fleet(Office(lab.add_reader("reader")), Period.parse("2026-03-14"), nothing, "")
    assert march.drifts == [], "two weeks that are alike"


def test_a_report_is_of_one_moment_although_facts_come_meanwhile(server):
    """A requirement that is judged for the first time while the report is read is in all of it, or in nothing."""
    lab = office_of(server)
    weekly(lab, "north 1", (50, 50))
    url = lab.add_reader("reader")
    report_on = Office(url)
    asked = []

    @sa.event.listens_for(report_on._engine, "before_cursor_execute")
    def judge(_connection, _cursor, statement, *_more):
        if "GROUP BY booth, subject, name" in statement:
            asked.append(statement)
            weekly(lab, "north 1", (50, 50))

    report = read_fleet(report_on, Period.parse("2026-03"), nothing, "", booth="north 1")
    assert len(asked) == 1
    assert report.booths[0].shots == sum(day.shots for day in report.total.days) == 400
    assert report.outliers == []


@pytest.fixture
def settings(tmp_path, reader):
    path = tmp_path / "office.toml"
    named = SETTINGS.replace("[booth]", '[booth]\nname = "office"')
    prices = '[prices]\ncurrency = "GBP"\nsheet = 10\n'
    path.write_text(f'{named}\n{prices}[ledger]\ndatabase = "{reader}"\n', encoding="utf-8")
    return str(path)


def test_the_command_reports_on_all_and_writes_the_files(settings, tmp_path, capsys):
    table, pdf = tmp_path / "booths.csv", tmp_path / "booths.pdf"
    command = ["ledger", "2026-01", "--all", "--settings", settings, "--csv", str(table), "--pdf", str(pdf)]
    assert main(command) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("All booths: 2026-01")
    assert "135  sitters" in shown
    assert "north 2: ribbon, 12% left" in shown
    assert " GBP" in shown
    rows = list(csv.DictReader(io.StringIO(table.read_text(), newline="")))
    assert [row["booth"] for row in rows] == list(BOOTHS)
    assert sum(int(row["sitters"]) for row in rows) == 135
    assert all(int(row[f"{name}_judged"]) > 0 for row in rows for name in REQUIREMENTS)
    assert pdf.read_bytes().startswith(b"%PDF")


def test_json_is_one_object_with_the_same_numbers(settings, capsys):
    assert main(["ledger", "2026-01", "--region", "north", "--settings", settings, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["who"], said["sitters"]) == ("Region north", 105)
    assert [one["booth"] for one in said["booths"]] == ["north 1", "north 2"]
    assert sum(day["sitters"] for day in said["days"]) == 105
    takings = sum(Decimal(day["takings"]) for day in said["days"])
    assert takings == sum(Decimal(one["takings"]) for one in said["booths"])


def test_an_office_needs_no_settings_where_it_names_the_database(reader, monkeypatch, tmp_path, capsys):
    none = tmp_path / "none.toml"
    for module in ("ledger", "ledger_of_many"):
        monkeypatch.setattr(f"kiosk.commands.{module}.SETTINGS", none)
    assert main(["ledger", "2026-01", "--booth", "south 1", "--database", reader]) == 0
    assert "Booth south 1: 2026-01" in capsys.readouterr().out


@pytest.mark.parametrize(
    "wrong",
    [
        ["--all", "--file", "x.sqlite3"],
        ["--json"],
        ["--database", "postgresql+psycopg://a@b/c"],
        ["--all", "--restore", "x"],
        ["--all", "--database", "postgresql://ada@office.example/office"],
    ],
)
def test_options_that_do_not_go_together_are_refused(wrong, settings, capsys):
    assert main(["ledger", *wrong, "--settings", settings]) == 2
    assert capsys.readouterr().out == ""


def test_a_booth_that_is_silent_is_named(server, capsys):
    lab = office_of(server)
    weekly(lab, "quiet", (2, 2))
    server.run_sql(lab.name, "UPDATE booth SET heard_at = '2026-01-05 12:00+00'")
    assert main(["ledger", "2026", "--all", "--database", lab.add_reader("reader")]) == 0
    said = capsys.readouterr().out
    assert "quiet: last heard of 2026-01-05" in said
