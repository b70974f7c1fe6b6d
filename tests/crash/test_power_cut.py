"""The process is killed at its states and at its writes: no photo is left, nothing prints twice, no count is lost.

A kill leaves what the kernel had been given; whether SQLite and `write_whole` bring it to the platter is theirs
(`PRAGMA synchronous = FULL`, fsync of file and folder before the next step).
"""

import json
import os
import random
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from kiosk.core.session.state import NEXT
from kiosk.store.desk_memory import DeskMemory, Remembered
from tests.crash.booth import ATTENDED, CUT_BEFORE, CUT_TORN, EVENT, FAILING, JAMMED, SHEETS

HERE = Path(__file__).parent
PHOTO = b"\xff\xd8\xff"
"""How a JPEG begins (ISO/IEC 10918-1, B.1.1.3: SOI, then a marker)."""


PARTS = 8
"""Into how many tests the sweep of all writes is parted."""


class Server:
    """The booth that can be cut off, and the checks of what it leaves."""

    def __init__(self, folder):
        library = folder / "cut.so"
        command = ["gcc", "-O1", "-shared", "-fPIC", "-o", library, HERE / "cut.c", "-ldl"]
        subprocess.run(command, check=True)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.crash.booth"],
            cwd=HERE.parents[1],
            env={**os.environ, "LD_PRELOAD": str(library)},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def ask(self, *command):
        """Run a session in a process of its own; return whether it was killed, and its answer."""
        self.process.stdin.write(json.dumps([str(part) if isinstance(part, Path) else part for part in command]) + "\n")
        self.process.stdin.flush()
        told = json.loads(self.process.stdout.readline())
        return told["killed"], told["answer"]

    def close(self):
        self.process.stdin.close()
        self.process.wait(30.0)
        self.process.stdout.close()


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    with closing(Server(tmp_path_factory.mktemp("cut"))) as server:
        yield server


MADE = {"event.db", "event.db-shm", "event.db-wal"}


def check(server, folder, mode=ATTENDED, *, again=False):
    """Start the booth again and look at everything that is on the disk."""
    records = {path.stem for path in (folder / "prints").glob("*.json")}
    assert len(records) <= (2 if mode == ATTENDED else 1), "more was printed than somebody asked for"
    killed, answer = server.ask("restart", folder, again, mode)
    assert not killed
    assert answer == {"state": "welcome", "left": [], "kept": []}
    files = [path for path in folder.rglob("*") if path.is_file() and path.name not in MADE]
    assert {path.stem for path in (folder / "prints").iterdir() if not path.name.startswith(".")} >= records
    sheets = {path.stem for path in files if path.suffix == ".pdf"}
    kept = {path.stem for path in files if path.suffix == ".json" and path.parent.name == "prints"}
    assert sheets == kept
    assert len(kept - records) == (1 if again else 0), "a sheet was printed that nobody asked for"
    for path in files:
        assert path.parent.name in ("prints", "ledger", "session", "state"), path
        assert not path.name.startswith(".") or path.name == ".holdstill-session", path
        assert path.suffix == ".pdf" or PHOTO not in path.read_bytes(), path
    for name in MADE:
        assert not (folder / name).exists() or PHOTO not in (folder / name).read_bytes()
    with closing(sqlite3.connect(folder / "ledger" / "ledger.sqlite3")) as ledger:
        assert ledger.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert ledger.execute("PRAGMA foreign_key_check").fetchall() == []
        counted = {key for (key,) in ledger.execute("SELECT key FROM sheet WHERE ended = 'printed'")}
        assert counted == kept, "the ledger lost a sheet, or counted one that is not there"
        assert ledger.execute("SELECT count(*) FROM sheet WHERE ended IS NULL").fetchone() == (0,)
        assert ledger.execute("SELECT count(*) FROM session WHERE ending IS NULL").fetchone() == (0,)
        (sheets,) = ledger.execute("SELECT total(sheets) FROM sheet WHERE ended = 'printed'").fetchone()
    assert DeskMemory(folder / "state" / "desk.json").get() == Remembered(sheets=SHEETS - int(sheets))
    if mode == EVENT:
        with closing(sqlite3.connect(folder / "event.db")) as roster:
            badges = roster.execute("SELECT person, count(*) FROM badge GROUP BY person").fetchall()
            assert all(count == 1 for _, count in badges), "a badge was begun twice"
            assert len(badges) >= len(kept), "a badge was printed that the roster does not know of"


@pytest.mark.parametrize("mode", [ATTENDED, EVENT])
def test_a_session_that_nothing_cuts_off_leaves_its_sheets_and_is_counted(server, tmp_path, mode):
    killed, writes = server.ask("cut_at_write", tmp_path, 0, CUT_BEFORE, mode)
    assert not killed
    assert writes > 50
    assert len(list((tmp_path / "prints").glob("*.pdf"))) == (2 if mode == ATTENDED else 1)
    check(server, tmp_path, mode, again=True)


@pytest.mark.parametrize("state", ["measuring", "release"])
def test_cut_off_with_a_photo_in_the_booth(server, tmp_path, state):
    killed, _ = server.ask("cut_at_state", tmp_path, state, ATTENDED)
    assert killed
    assert (tmp_path / "session" / "still-1.jpg").read_bytes().startswith(PHOTO)
    check(server, tmp_path, again=True)


def test_cut_off_in_a_reprint_nothing_of_it_is_left_and_none_comes_by_itself(server, tmp_path):
    killed, _ = server.ask("cut_in_reprint", tmp_path)
    assert killed
    check(server, tmp_path)
    assert len(list((tmp_path / "prints").glob("*.pdf"))) == 1
    with closing(sqlite3.connect(tmp_path / "ledger" / "ledger.sqlite3")) as ledger:
        told = ledger.execute("SELECT ended, reprint_of IS NOT NULL FROM sheet ORDER BY rowid").fetchall()
    assert told == [("printed", 0), ("not_printed", 1)]


@pytest.mark.parametrize("how", [CUT_BEFORE, CUT_TORN])
def test_cut_off_at_some_writes(server, tmp_path, how):
    _, writes = server.ask("cut_at_write", tmp_path / "whole", 0, CUT_BEFORE, ATTENDED)
    for nth in random.Random(how).sample(range(writes // 2, writes), 3):
        folder = tmp_path / str(nth)
        server.ask("cut_at_write", folder, nth, how, ATTENDED)
        check(server, folder)


@pytest.mark.slow
@pytest.mark.parametrize("state", [state for state in NEXT if state not in ("paying", "take_file", "money_back")])
def test_cut_off_in_every_state(server, tmp_path, state):
    """All but those of money and of files, of which this booth takes and hands over none."""
    mode = {"find": EVENT, "out_of_order": FAILING, "unprinted": JAMMED}.get(state, ATTENDED)
    killed, _ = server.ask("cut_at_state", tmp_path, state, mode)
    assert killed
    check(server, tmp_path, mode if mode == EVENT else ATTENDED, again=True)


@pytest.mark.slow
@pytest.mark.parametrize("state", ["privacy", "align", "shooting", "measuring", "printing", "collect"])
def test_cut_off_in_every_state_of_an_event(server, tmp_path, state):
    killed, _ = server.ask("cut_at_state", tmp_path, state, EVENT)
    assert killed
    check(server, tmp_path, EVENT, again=True)


@pytest.mark.slow
@pytest.mark.parametrize("part", range(PARTS))
@pytest.mark.parametrize("how", [CUT_TORN, CUT_BEFORE])
@pytest.mark.parametrize("mode", [ATTENDED, EVENT])
def test_cut_off_at_every_write(server, tmp_path, mode, how, part):
    _, writes = server.ask("cut_at_write", tmp_path / "whole", 0, CUT_BEFORE, mode)
    due = range(1 + part, writes + 1, PARTS)
    killed = 0
    for nth in due:
        folder = tmp_path / str(nth)
        killed += server.ask("cut_at_write", folder, nth, how, mode)[0]
        check(server, folder, mode)
    assert killed >= len(due) - 3  # threads take turns a little differently each time


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(60))
def test_cut_off_again_and_again(server, tmp_path, seed):
    """Each start may be cut off too, while it puts in order what the one before has left."""
    chance = random.Random(seed)
    folder, mode = tmp_path / "booth", (ATTENDED, EVENT)[seed % 2]
    server.ask("cut_at_write", folder, chance.randint(60, 160), chance.choice((CUT_BEFORE, CUT_TORN)), mode)
    for _ in range(3):
        server.ask("cut_at_start", folder, chance.randint(1, 40), chance.choice((CUT_BEFORE, CUT_TORN)), mode)
    check(server, folder, mode)
