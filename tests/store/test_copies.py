"""The ledger's daily copies, and the way back: on files, a full disk, and with kills at every change of a file."""

import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from kiosk.cli import main
from kiosk.core.session.facts import SessionBegan
from kiosk.errors import BadCommand, CannotWrite, CopyDamaged, LedgerDamaged, LedgerFault, LedgerShared
from kiosk.store.ledger import Bookkeeper, copies
from kiosk.store.ledger.copier import copied_daily
from kiosk.store.ledger.copies import checked_copy, copies_in, copy_ledger, restore
from kiosk.store.ledger.file import set_aside_files
from tests.support.manual_clock import ManualClock
from tests.support.page_lab import eventually

ROOT = Path(__file__).parents[2]
DAY = date(2026, 3, 1)
NOW = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture
def ledger(tmp_path):
    return tmp_path / "state" / "ledger.sqlite3"


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "second medium"
    made.mkdir()
    return made


class WallClock(ManualClock):
    """A clock whose calendar goes with it."""

    def today(self):
        return self.now().date()


def opened(path):
    return Bookkeeper(path, ManualClock(3600.0, DAY), lambda key: "unknown", retry_s=0.01)


def trade(path, language, times=1):
    with closing(opened(path)) as ledger:
        for _ in range(times):
            ledger.put(SessionBegan(language))


def languages(path):
    with closing(sqlite3.connect(path)) as connection:
        return [language for (language,) in connection.execute("SELECT language FROM session")]


def test_a_copy_has_what_is_still_in_the_write_ahead_log(ledger, folder):
    with closing(opened(ledger)) as booth:
        booth.put(SessionBegan("de"))
        assert booth.flush(limit_s=60.0)
        assert ledger.with_name("ledger.sqlite3-wal").stat().st_size
        copy = copy_ledger(ledger, folder, DAY, 30)
    assert list(folder.iterdir()) == [copy], "one file, and nothing beside it"
    assert copy.stat().st_mode & 0o777 == 0o600
    with closing(sqlite3.connect(f"{copy.as_uri()}?mode=ro", uri=True)) as connection:
        assert connection.execute("SELECT language FROM session").fetchall() == [("de",)]


def test_one_copy_a_day_and_the_newest_are_kept(ledger, folder):
    for number in range(5):
        trade(ledger, "en")
        copy_ledger(ledger, folder, DAY + timedelta(days=number), 3)
        trade(ledger, "fr")
        copy_ledger(ledger, folder, DAY + timedelta(days=number), 3)
    assert [copies.day_of(copy).day for copy in copies_in(folder)] == [3, 4, 5]
    restore(copies_in(folder)[-1], ledger, NOW)
    assert len(languages(ledger)) == 10


def test_a_ledger_that_was_begun_anew_drives_out_no_copy_of_the_lost_one(ledger, folder, tmp_path, capsys):
    """A new disk: the booth is opened once before anybody thinks of the copies, and stays open for weeks."""
    trade(ledger, "de")
    lost = copy_ledger(ledger, folder, DAY, 3)
    ledger.write_bytes(b"")
    with closing(Bookkeeper(ledger, ManualClock(7200.0, DAY), lambda key: "unknown")) as booth:
        assert booth.flush(limit_s=60.0)
        copy_ledger(ledger, folder, DAY, 3)
        assert lost in copies_in(folder), "also before the new one has a session"
        for number in range(6):
            booth.put(SessionBegan("fr"))
            assert booth.flush(limit_s=60.0)
            copy_ledger(ledger, folder, DAY + timedelta(days=number), 3)
    assert [copies.day_of(copy).day for copy in copies_in(folder)] == [1, 4, 5, 6]
    with pytest.raises(CopyDamaged, match=f"another ledger than {lost.name}; name the copy"):
        copies.newest_in(folder)
    restore(lost, ledger, NOW)
    assert languages(ledger) == ["de"]


def test_a_calendar_that_jumps_back_and_forth_loses_no_older_copy_at_once(ledger, folder):
    trade(ledger, "en")
    for day in (DAY, DAY + timedelta(days=1), date(2099, 1, 1), DAY + timedelta(days=2)):
        copy_ledger(ledger, folder, day, 4)
    assert len(copies_in(folder)) == 4


def test_a_damaged_ledger_is_not_copied_over_anything(ledger, folder):
    trade(ledger, "en", 200)
    good = copy_ledger(ledger, folder, DAY, 2)
    whole = ledger.read_bytes()
    ledger.write_bytes(whole[:4096] + b"\xa5" * 4096 + whole[8192:])
    for number in range(1, 4):
        with pytest.raises(LedgerDamaged):
            copy_ledger(ledger, folder, DAY + timedelta(days=number), 2)
    assert list(folder.iterdir()) == [good]


def test_a_missing_folder_is_not_made(ledger, folder):
    trade(ledger, "en")
    folder.rmdir()
    with pytest.raises(CannotWrite):
        copy_ledger(ledger, folder, DAY, 30)
    assert not folder.exists()
    with pytest.raises(LedgerFault, match="no such file"):
        copy_ledger(ledger.with_name("other.sqlite3"), folder, DAY, 30)


def test_a_medium_that_hands_back_something_else_is_noticed(ledger, folder, monkeypatch):
    trade(ledger, "en")
    monkeypatch.setattr(copies, "_from_the_medium", lambda path: path.read_bytes()[:-1] + b"?")
    with pytest.raises(CannotWrite, match="does not hand back"):
        copy_ledger(ledger, folder, DAY, 30)
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("at", [20, 100, 5000, -1], ids=["header", "schema", "page", "last byte"])
def test_a_copy_with_one_bit_turned_is_refused_and_the_ledger_stays(ledger, folder, at):
    trade(ledger, "en")
    copy = copy_ledger(ledger, folder, DAY, 30)
    trade(ledger, "fr")
    content = bytearray(copy.read_bytes())
    content[at] ^= 1
    copy.write_bytes(content)
    with pytest.raises(CopyDamaged, match="checksum"):
        restore(copy, ledger, NOW)
    assert languages(ledger) == ["en", "fr"]
    assert set_aside_files(ledger) == []


def test_a_copy_cut_short_one_of_another_name_and_none_are_refused(ledger, folder):
    trade(ledger, "en")
    copy = copy_ledger(ledger, folder, DAY, 30)
    renamed = copy.with_name("mine.sqlite3")
    renamed.write_bytes(copy.read_bytes())
    copy.write_bytes(copy.read_bytes()[:-4096])
    for bad in (copy, renamed, copy.with_name("ledger.2026-03-01.0123456789abcdef.sqlite3")):
        with pytest.raises(CopyDamaged):
            restore(bad, ledger, NOW)


def test_a_restored_copy_replaces_the_ledger_which_is_kept_whole(ledger, folder):
    trade(ledger, "en")
    copy = copy_ledger(ledger, folder, DAY, 30)
    trade(ledger, "fr")
    kept = restore(copy, ledger, NOW)
    assert languages(ledger) == ["en"]
    assert languages(kept) == ["en", "fr"]
    trade(ledger, "de")
    assert languages(ledger) == ["en", "de"]


def test_a_ledger_that_is_lost_or_spoilt_comes_back(ledger, folder):
    trade(ledger, "en")
    copy = copy_ledger(ledger, folder, DAY, 30)
    ledger.write_bytes(b"\xa5" * 9000)
    kept = restore(copy, ledger, NOW)
    assert kept.read_bytes() == b"\xa5" * 9000
    assert languages(ledger) == ["en"]
    ledger.unlink()
    assert restore(copy, ledger, NOW) is None
    assert languages(ledger) == ["en"]


def test_nothing_is_restored_under_a_running_booth(ledger, folder):
    trade(ledger, "en")
    copy = copy_ledger(ledger, folder, DAY, 30)
    with closing(opened(ledger)), pytest.raises(LedgerShared):
        restore(copy, ledger, NOW)


def test_a_booth_copies_at_its_start_on_each_new_day_and_at_its_end(ledger, folder, caplog):
    trade(ledger, "en")
    clock = WallClock(3600.0, DAY)
    with copied_daily(ledger, folder, 30, clock, look_s=0.01):
        assert eventually(lambda: len(copies_in(folder)) == 1)
        clock.sleep(24 * 3600.0)
        assert eventually(lambda: len(copies_in(folder)) == 2)
        trade(ledger, "fr")
    assert len(copies_in(folder)) == 2
    ledger.unlink()
    restore(copies_in(folder)[-1], ledger, NOW)
    assert languages(ledger) == ["en", "fr"]
    assert caplog.records == []


def test_a_medium_that_is_away_is_logged_once_and_used_when_it_is_back(ledger, folder, caplog):
    trade(ledger, "en")
    folder.rmdir()
    with copied_daily(ledger, folder, 30, ManualClock(3600.0, DAY), look_s=0.001):
        assert eventually(lambda: caplog.records)
        folder.mkdir()
        assert eventually(lambda: copies_in(folder))
    assert len(caplog.records) == 1
    assert caplog.records[0].getMessage().startswith("The ledger was not copied. ")


FILL = """
import sys
from datetime import date, timedelta
from pathlib import Path
from kiosk.errors import CannotWrite
from kiosk.store.ledger.copies import checked_copy, copies_in, copy_ledger, restore
ledger, folder, day = Path(sys.argv[1]), Path(sys.argv[2]), date(2026, 3, 1)
first = copy_ledger(ledger, folder, day, 30)
for number in range(1, 50):
    try:
        copy_ledger(ledger, folder, day + timedelta(days=number), 30)
    except CannotWrite as error:
        assert "no space left" in str(error), error
        break
else:
    raise SystemExit("it never filled up")
for copy in copies_in(folder):
    checked_copy(copy)
assert first in copies_in(folder)
assert not [path for path in folder.iterdir() if path not in copies_in(folder)]
try:
    restore(first, folder / "state" / "ledger.sqlite3", __import__("datetime").datetime(2026, 3, 1))
except CannotWrite:
    assert not (folder / "state" / "ledger.sqlite3").exists()
else:
    raise SystemExit("it was restored onto a full disk")
"""


@pytest.mark.skipif(os.geteuid() != 0, reason="mounts a small file system")
def test_a_full_second_medium_leaves_the_copies_it_has_and_nothing_half_written(ledger, folder):
    """On a real file system of 256 KiB, in a mount namespace of its own."""
    trade(ledger, "en")
    mounted = 'mount -t tmpfs -o size=256k none "$2" && exec "$0" -c "$3" "$1" "$2"'
    command = ["unshare", "-m", "sh", "-c", mounted, sys.executable, ledger, folder, FILL]
    run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr


def test_a_kill_at_any_change_of_a_file_loses_neither_ledger_nor_copy(ledger, folder, tmp_path):
    trade(ledger, "en")
    copy_ledger(ledger, folder, DAY, 30)
    trade(ledger, "fr")
    library, out = tmp_path / "cut.so", tmp_path / "out"
    out.mkdir()
    subprocess.run(["gcc", "-O1", "-shared", "-fPIC", "-o", library, ROOT / "tests/crash/cut.c", "-ldl"], check=True)
    environment = {**os.environ, "LD_PRELOAD": str(library)}
    command = [sys.executable, "-m", "tests.crash.copies", ledger.parent, folder, out]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    changes = json.loads(done.stdout)
    assert changes["copy"] > 6
    assert changes["restore"] > 8
    for left in sorted((out / "copy").iterdir()):
        assert languages(left / "state" / "ledger.sqlite3") == ["en", "fr"]
        found = copies_in(left / "medium")
        assert found, left
        for copy in found:
            checked_copy(copy)
        copy_ledger(left / "state" / "ledger.sqlite3", left / "medium", DAY, 30)
        assert list((left / "medium").iterdir()) == copies_in(left / "medium"), "nothing is left behind"
    for left in sorted((out / "restore").iterdir()):
        path = left / "state" / "ledger.sqlite3"
        held = [path, *set_aside_files(path)]
        assert ["en", "fr"] in [languages(each) for each in held if each.exists()], left
        assert not path.exists() or languages(path) in (["en"], ["en", "fr"])
        restore(copies_in(left / "medium")[-1], path, NOW + timedelta(seconds=1))
        assert languages(path) == ["en"]


def test_one_command_restores_the_newest_copy(ledger, folder, tmp_path, capsys):
    settings = tmp_path / "booth.toml"
    settings.write_text(
        '[booth]\ndocuments = ["gb-passport-print"]\nstate_folder = "state"\n[camera]\nbackend = "uvc"\n'
        '[printer]\nbackend = "folder"\nfolder = "prints"\n'
    )
    command = ["ledger", "--settings", str(settings), "--restore", str(folder)]
    assert main(command) == CopyDamaged.exit_code
    assert "no copy of a ledger" in capsys.readouterr().err
    trade(ledger, "en")
    copy = copy_ledger(ledger, folder, DAY, 30)
    trade(ledger, "fr")
    assert main(command) == 0
    assert capsys.readouterr().out.startswith(f"{copy} is the ledger now. The one before it is kept as ")
    assert languages(ledger) == ["en"]
    assert main([*command, "--csv", "day.csv"]) == BadCommand.exit_code
