"""The ledger's file: what is written is there after the process, in SQLite's own reading of it."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date

import pytest

from kiosk.core.session.facts import (
    Attended,
    ConsentGiven,
    DocumentChosen,
    FaultBegan,
    FaultsMended,
    LanguageChosen,
    SessionBegan,
    SessionEnded,
    SheetBegun,
    SheetEnded,
    ShotJudged,
    ShotLost,
    VerdictOverridden,
)
from kiosk.store.ledger import Bookkeeper
from kiosk.store.ledger.file import engine_of
from kiosk.store.ledger.tables import METADATA
from kiosk.store.ledger.versions import VERSIONS, bring_up_to_date
from tests.support.manual_clock import ManualClock

SESSION = (
    SessionBegan("en"),
    LanguageChosen("de"),
    DocumentChosen("gb-passport-print"),
    ConsentGiven(),
    ShotLost(1),
    ShotJudged(2, "fail", (("yaw", "pass"), ("eyes_open", "fail"))),
    ShotJudged(3, "refer", (("yaw", "pass"), ("eyes_open", "refer"))),
    VerdictOverridden("medical"),
    SheetBegun("k1", "gb-passport-print", "na_index-4x6_4x6in", 4),
    SheetEnded("k1", "printed"),
    SessionEnded("printed"),
)


@pytest.fixture
def clock():
    return ManualClock(3600.0, date(2026, 3, 1))


@pytest.fixture
def path(tmp_path):
    return tmp_path / "made" / "ledger.sqlite3"


def keep(path, clock, *facts, how_it_ended=lambda key: "unknown", pause_s=10.0):
    with closing(Bookkeeper(path, clock, how_it_ended)) as ledger:
        for fact in facts:
            ledger.put(fact)
            clock.sleep(pause_s)
    return ledger


def rows(path, query):
    """Read with Python's own sqlite3, not with what wrote it."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(query).fetchall()


def test_a_session_is_kept_with_all_that_belongs_to_it(path, clock):
    keep(path, clock, *SESSION)
    query = "SELECT day, began_at, ended_at, duration_s, ending, language, document, consented_at FROM session"
    assert rows(path, query) == [
        (
            "2026-03-01",
            "2026-03-01 01:00:00.000000",
            "2026-03-01 01:01:40.000000",
            100.0,
            "printed",
            "de",
            "gb-passport-print",
            "2026-03-01 01:00:30.000000",
        )
    ]
    assert rows(path, "SELECT session_id, number, verdict FROM shot") == [
        (1, 1, "lost"),
        (1, 2, "fail"),
        (1, 3, "refer"),
    ]
    found = rows(path, "SELECT number, requirement, word FROM finding JOIN shot ON shot.id = shot_id ORDER BY 1, 2")
    assert found == [(2, "eyes_open", "fail"), (2, "yaw", "pass"), (3, "eyes_open", "refer"), (3, "yaw", "pass")]
    assert rows(path, "SELECT key, session_id, photos, sheets, ended FROM sheet") == [("k1", 1, 4, 1, "printed")]
    assert rows(path, "SELECT session_id, reason FROM override") == [(1, "medical")]


def test_what_happens_between_sessions_belongs_to_none(path, clock):
    keep(
        path,
        clock,
        *SESSION,
        Attended("paper_changed"),
        FaultBegan("printer_fault"),
        FaultsMended(),
        SessionBegan("en"),
    )
    assert rows(path, "SELECT session_id, act FROM attended") == [(None, "paper_changed")]
    assert rows(path, "SELECT key, mended_at > began_at FROM fault") == [("printer_fault", 1)]
    assert rows(path, "SELECT ending FROM session WHERE id = 2") == [(None,)]


def test_a_reprint_belongs_to_the_sitter_of_the_first_sheet(path, clock):
    again = SheetBegun("k2", "gb-passport-print", "na_index-4x6_4x6in", 4, 1, "k1")
    keep(path, clock, *SESSION, SessionBegan("en"), again, SheetEnded("k2", "printed"))
    told = rows(path, "SELECT key, session_id, reprint_of, ended FROM sheet ORDER BY key")
    assert told == [("k1", 1, None, "printed"), ("k2", 1, "k1", "printed")]


def test_what_the_sitter_accepted_as_doubtful_is_kept_by_its_name_and_with_each_reprint(path, clock):
    sheet = SheetBegun("k2", "gb-passport-print", "na_index-4x6_4x6in", 4, not_certain=("eyes_open", "lens_glare"))
    keep(path, clock, *SESSION, SessionBegan("en"), sheet, replace(sheet, key="k3", reprint_of="k2"))
    told = rows(path, "SELECT key, not_certain FROM sheet ORDER BY key")
    assert told == [("k1", None), ("k2", "eyes_open lens_glare"), ("k3", "eyes_open lens_glare")]


def test_a_reprint_is_counted_also_where_its_first_sheet_is_in_an_older_ledger(path, clock):
    keep(path, clock, SheetBegun("k2", "gb-passport-print", "na_index-4x6_4x6in", 4, 1, "k1"))
    assert rows(path, "SELECT key, session_id, reprint_of FROM sheet") == [("k2", None, "k1")]


def test_the_day_is_the_shops_and_the_time_is_utc(path, clock, monkeypatch):
    """Half past midnight in Paris is still the day before in UTC (IANA zone data, by the standard library)."""
    from datetime import datetime
    from zoneinfo import ZoneInfo

    monkeypatch.setattr(clock, "now", lambda: datetime(2026, 7, 2, 0, 30, tzinfo=ZoneInfo("Europe/Paris")))
    keep(path, clock, SessionBegan("fr"))
    assert rows(path, "SELECT day, began_at FROM session") == [("2026-07-02", "2026-07-01 22:30:00.000000")]


def test_what_a_crash_left_open_is_settled_by_what_the_printer_remembers(path, clock):
    for key in ("k1", "k2", "k3"):
        keep(path, clock, SessionBegan("en"), SheetBegun(key, "d", "m", 4), FaultBegan("printer_fault"))
        rows(path, "SELECT 1")
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("UPDATE sheet SET ended = NULL")
        connection.execute("UPDATE session SET ending = NULL")
    ends = {"k1": "printed", "k2": "not_printed", "k3": "unknown"}
    keep(path, clock, how_it_ended=ends.__getitem__)
    assert dict(rows(path, "SELECT key, ended FROM sheet")) == ends
    assert rows(path, "SELECT DISTINCT ending, duration_s FROM session") == [("interrupted", None)]
    assert rows(path, "SELECT count(*) FROM fault WHERE mended_at IS NULL") == [(0,)]


def test_the_statements_make_the_tables_that_the_program_names(path, clock):
    """SQLAlchemy's own CREATE TABLE in an empty database gives the same columns."""
    keep(path, clock)
    blank = path.with_name("blank.sqlite3")
    METADATA.create_all(engine_of(blank))
    columns = "SELECT m.name, i.name, i.type, i.[notnull], i.pk FROM sqlite_schema m, pragma_table_info(m.name) i"
    shape = f"{columns} WHERE m.type = 'table' ORDER BY 1, 2"
    assert rows(path, shape) == rows(blank, shape)


def test_only_the_owner_may_read_it(path, clock):
    keep(path, clock, *SESSION)
    assert path.stat().st_mode & 0o777 == 0o600
    assert path.parent.stat().st_mode & 0o777 == 0o700


def of_version(path, version):
    path.parent.mkdir(parents=True)
    engine = engine_of(path)
    with engine.begin() as connection:
        bring_up_to_date(connection, version)
        connection.exec_driver_sql(
            "INSERT INTO session (day, began_at, language) VALUES ('2026-02-01', '2026-02-01 10:00:00', 'pl')"
        )
    engine.dispose()


@pytest.mark.parametrize("version", range(1, len(VERSIONS)))
def test_an_older_ledger_is_copied_and_brought_up_to_date(path, clock, version):
    of_version(path, version)
    keep(path, clock, *SESSION)
    assert rows(path, "PRAGMA user_version") == [(len(VERSIONS),)]
    assert rows(path, "SELECT language FROM session") == [("pl",), ("de",)]
    assert rows(path, "PRAGMA foreign_key_check") == []
    copy = path.with_name(f"ledger.version-{version}-20260301T010000.sqlite3")
    assert rows(copy, "PRAGMA user_version") == [(version,)]
    assert rows(copy, "SELECT language FROM session") == [("pl",)]


def test_a_ledger_that_cannot_be_brought_up_to_date_is_set_aside_as_it_was(path, clock):
    of_version(path, 1)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE attended (id INTEGER)")
    keep(path, clock, SessionBegan("en"))
    kept = path.with_name("ledger.damaged-20260301T010000.sqlite3")
    assert rows(kept, "PRAGMA user_version") == [(1,)]
    assert rows(kept, "SELECT language FROM session") == [("pl",)]
    assert rows(kept, "SELECT count(*) FROM sqlite_schema WHERE name = 'override'") == [(0,)]
    assert rows(path, "SELECT language FROM session") == [("en",)]
