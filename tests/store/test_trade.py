"""Reports from the ledger against the same days counted by plain Python."""

import csv
import io
import sqlite3
import statistics
import subprocess
from contextlib import closing
from datetime import UTC, date, datetime

import pytest

from kiosk.cli import main
from kiosk.core.session.business_report import Period
from kiosk.core.session.facts import SessionBegan, SheetBegun
from kiosk.errors import LedgerDamaged, LedgerFault, LedgerForeign, LedgerNewer
from kiosk.render.report.business import trade_csv, trade_text
from kiosk.render.report.business_pdf import trade_pdf
from kiosk.store.ledger.reading import read_trade
from kiosk.store.ledger.versions import VERSIONS
from tests.store.made_up import REQUIREMENTS, Shop, multiply
from tests.store.test_ledger import of_version

JANUARY = Period.parse("2026-01")


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return tmp_path_factory.mktemp("ledger") / "ledger.sqlite3"


@pytest.fixture(scope="module")
def shop(path):
    return Shop(path).trade(60, a_day=20)


def test_the_month_counts_what_was_done(shop, path):
    trade = read_trade(path, JANUARY)
    assert trade.sessions == 60
    assert {ending: count for ending, count in trade.endings.items() if count} == {
        ending: shop.counted[ending] for ending in ("printed", "abandoned", "gave_up", "fault")
    }
    assert trade.sheets("printed") == shop.counted["sheets"] == sum(day.photos for day in trade.days) / 8
    assert sum(day.reprints for day in trade.days) == shop.counted["reprints"] > 0
    assert f"{shop.counted['reprints']} sheets printed again by the attendant" in trade_text(trade, "")
    assert sum(day.not_certain for day in trade.days) == shop.counted["not_certain"] > 0
    assert f"{shop.counted['not_certain']} sheets printed as not certain" in trade_text(trade, "")
    assert sum(day.files for day in trade.days) == shop.counted["files"] > 0
    assert f"{shop.counted['files']}  photos taken away as files" in trade_text(trade, "")
    assert sum(day.shots for day in trade.days) == shop.counted["shots"]
    assert trade.median_minutes == pytest.approx(statistics.median(shop.minutes), abs=1e-4)
    assert trade.faults["camera_fault"][0] == shop.counted["faults"]
    assert trade.faults["camera_fault"][1] == pytest.approx(shop.counted["faults"] * 10 / 60, abs=1e-3)


def test_what_fails_most_comes_first(shop, path):
    found = read_trade(path, JANUARY).requirements
    assert {one.name for one in found} == set(REQUIREMENTS)
    for one in found:
        counts = [shop.counted[f"{one.name} {word}"] for word in ("fail", "refer", "pass")]
        assert (one.failed, one.referred, one.judged) == (counts[0], counts[1], sum(counts))
    assert [one.failed for one in found] == sorted((one.failed for one in found), reverse=True)


def test_a_day_holds_its_own_sessions_only(shop, path):
    assert [read_trade(path, Period.parse(f"2026-01-0{day}")).sessions for day in (1, 2, 3, 4)] == [20, 20, 20, 0]


def test_the_table_for_a_spreadsheet_adds_up(shop, path):
    """Read by Python's csv module, which follows RFC 4180."""
    lines = list(csv.DictReader(io.StringIO(trade_csv(read_trade(path, JANUARY)), newline="")))
    assert [line["day"] for line in lines] == ["2026-01-01", "2026-01-02", "2026-01-03"]
    assert sum(int(line["sheets_printed"]) for line in lines) == shop.counted["sheets"]
    assert sum(int(line["sheets_not_certain"]) for line in lines) == shop.counted["not_certain"]
    assert sum(int(line["sheets_printed_again"]) for line in lines) == shop.counted["reprints"]
    assert sum(int(line["files_taken_away"]) for line in lines) == shop.counted["files"]
    assert sum(float(line["minutes_of_printed_sessions"]) for line in lines) == pytest.approx(
        sum(shop.minutes), abs=0.2
    )


def one_page_of_a4(pdf, tmp_path):
    """Poppler's pdfinfo, an independent reader; A4 is 595.276 x 841.89 pt (ISO 216)."""
    (tmp_path / "page.pdf").write_bytes(pdf)
    told = subprocess.run(["pdfinfo", tmp_path / "page.pdf"], check=True, capture_output=True, text=True).stdout
    assert "Pages:           1" in told
    assert "(A4)" in told


@pytest.mark.parametrize("text", ["2026", "2026-01", "2026-01-02", "2031", "2031-02", "2031-02-28"])
def test_a_page_is_made_of_any_period_also_an_empty_one(shop, path, tmp_path, text):
    trade = read_trade(path, Period.parse(text))
    one_page_of_a4(trade_pdf(trade, "till 2", date(2026, 11, 25)), tmp_path)
    assert trade_text(trade, "till 2").startswith(f"till 2: {text}\n")


def test_one_session_that_is_still_going_on_is_told(tmp_path):
    shop = Shop(tmp_path / "ledger.sqlite3", datetime(2026, 1, 31, 23, 59, 58, tzinfo=UTC))
    with shop._engine.begin() as shop._connection:
        shop._tell(SessionBegan("en"))
        shop._tell(SheetBegun("k", "d", "m", 4))
    shop._engine.dispose()
    trade = read_trade(tmp_path / "ledger.sqlite3", JANUARY)
    assert (trade.sessions, trade.endings["open"], trade.median_minutes) == (1, 1, None)
    one_page_of_a4(trade_pdf(trade, "", date(2026, 2, 1)), tmp_path)
    assert "going on now" in trade_text(trade, "")
    assert read_trade(tmp_path / "ledger.sqlite3", Period.parse("2026-02")).sheets("unknown") == 1


def test_an_older_ledger_is_read_without_being_changed(tmp_path):
    path = tmp_path / "made" / "ledger.sqlite3"
    of_version(path, 1)
    before = path.read_bytes()
    assert read_trade(path, Period.parse("2026-02")).sessions == 1
    assert path.read_bytes() == before


def test_a_ledger_that_cannot_be_read_is_said(tmp_path):
    path = tmp_path / "ledger.sqlite3"
    with pytest.raises(LedgerFault, match="there is no such file"):
        read_trade(path, JANUARY)
    path.write_bytes(b"\xa5" * 8192)
    with pytest.raises(LedgerDamaged, match="file is not a database"):
        read_trade(path, JANUARY)
    path.unlink()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE session (id INTEGER)")
    with pytest.raises(LedgerForeign):
        read_trade(path, JANUARY)
    path.unlink()
    Shop(path).trade(0)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"PRAGMA user_version = {len(VERSIONS) + 1}")
    with pytest.raises(LedgerNewer):
        read_trade(path, JANUARY)


def test_the_command_prints_and_writes_all_three(shop, path, tmp_path, capsys):
    files = ["--csv", str(tmp_path / "t.csv"), "--pdf", str(tmp_path / "t.pdf")]
    assert main(["ledger", "2026-01", "--file", str(path), *files]) == 0
    assert f"{shop.counted['sheets']:>10}  sheets printed" in capsys.readouterr().out
    assert (tmp_path / "t.csv").read_text().startswith("day,sessions_printed,")
    assert (tmp_path / "t.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("period", ["2026-13", "november", "2026-2-1", "2026-02-30", "2026-11-25 "])
def test_a_period_that_is_none_is_said(path, period, capsys):
    assert main(["ledger", period, "--file", str(path)]) == 2
    assert "This command cannot be carried out" in capsys.readouterr().err


@pytest.mark.slow
def test_a_year_of_fifty_thousand_sessions(tmp_path):
    path = tmp_path / "ledger.sqlite3"
    shop = Shop(path).trade(500, a_day=170)
    multiply(path, times=100, days_apart=3)
    trade = read_trade(path, Period.parse("2026"))
    assert trade.sessions == 50_000
    assert trade.sheets("printed") == 100 * shop.counted["sheets"]
    assert sum(one.failed for one in trade.requirements) == 100 * sum(shop.counted[f"{n} fail"] for n in REQUIREMENTS)
    one_page_of_a4(trade_pdf(trade, "", date(2027, 1, 1)), tmp_path)
