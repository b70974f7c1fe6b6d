"""A guest of an event, with the log on: no name, picture or point of a face is in log, ledger, journal or report.

A guest is found by name, photographed and given a badge; then the printer jams, a badge is refused, and the loop ends
by an error that nobody expected, whose words hold a name. The roster and the badge itself are what may say the name.
"""

import contextlib
import io
import json
import logging
import os
import re
import sqlite3
import zipfile

import pytest

from kiosk.cli import main
from kiosk.devices.folder.printer import FolderPrinter
from kiosk.errors import PrinterFault
from kiosk.system.json_log import keep_log
from tests.crash.booth import EVENT, SightsOf, to_the_end
from tests.support.event_desk import PEOPLE, event_in
from tests.support.quick_booth import opened
from tests.support.sights import POINTS

MAGIC = (b"\xff\xd8\xff", b"\x89PNG", b"II*\x00", b"MM\x00*")  # ITU-T T.81; ISO/IEC 15948; TIFF 6.0
NAMED = ("event.db", "event.db-wal", "event.db-shm")
SETTINGS = """
[booth]
session_folder = "session"
state_folder = "ledger"
[camera]
backend = "folder"
folder = "card"
[printer]
backend = "folder"
folder = "prints"
[logs]
folder = "log"
[event]
design = "{design}"
roster = "event.db"
"""


class Jams(FolderPrinter):
    def print_sheet(self, job):
        raise PrinterFault(printer=self.name, detail="paper is jammed")


def serve(folder, printer=None):
    """Hand one guest's badge out; then end by an error whose words are a name."""
    desk, reception = event_in(folder)
    with opened(folder, sights=SightsOf(reception.document), event=(desk, reception), printer=printer) as (loop, parts):
        to_the_end(loop, parts, EVENT)
        logging.getLogger("kiosk.booth.assembly").info("what would be wrong: %s", parts.camera.newest().jpeg)
        try:
            raise LookupError(PEOPLE[0])
        except LookupError:
            logging.getLogger("kiosk.commands.booth").critical("the booth has ended by a fault", exc_info=True)


@pytest.fixture(scope="module")
def left(tmp_path_factory):
    """Return every file that such a day leaves, by its place below the booth's folder, and the report's parts."""
    folder = tmp_path_factory.mktemp("event")
    with keep_log(folder / "log", "desk"):
        serve(folder)
        serve(folder, Jams(folder / "prints"))
    design = os.path.relpath("specs/badges/card-photo-left.toml", folder)
    (folder / "booth.toml").write_text(SETTINGS.format(design=design))
    errors = io.StringIO()
    with contextlib.redirect_stderr(errors):
        assert main(["report", "--settings", str(folder / "booth.toml"), "-o", str(folder / "report.zip")]) == 0
    archive = zipfile.ZipFile(folder / "report.zip")
    files = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    parts = {f"report/{name}": archive.read(name) for name in archive.namelist()}
    del files["report.zip"]
    return {**files, **parts, "standard error": errors.getvalue().encode()}


def test_the_day_was_what_it_should_be(left):
    log = [json.loads(line) for line in left["log/holdstill.jsonl"].splitlines()]
    said = " ".join(str(line["says"]) for line in log)
    assert "find -> privacy" in said
    assert "was not printed" in said
    assert "ended by a fault" in said
    assert len([name for name in left if re.fullmatch(r"prints/.*\.pdf", name)]) == 1
    assert {"report/faults.jsonl", "report/log.jsonl", "ledger/ledger.sqlite3"} <= left.keys()


def test_no_name_is_in_anything_but_the_roster_and_the_badge(left):
    words = {word.encode() for name in PEOPLE for word in name.split() if len(word) > 2}
    assert len(words) > 5
    for name, content in left.items():
        if name not in NAMED and not name.endswith(".pdf"):
            assert [word for word in words if word in content] == [], name


def test_no_picture_is_in_anything_but_the_badge(left):
    for name, content in left.items():
        if not name.endswith(".pdf"):
            assert not any(magic in content for magic in MAGIC), name


def test_no_point_of_a_face_is_in_anything(left):
    """The points that were seen, as pixels: 470 to 1340 of them."""
    points = (POINTS.crown, POINTS.hair_top, POINTS.chin, POINTS.right_eye, POINTS.left_eye)
    numbers = {f"{point.x:g}, {point.y:g}" for point in points} | {repr(point) for point in points}
    for name, content in left.items():
        text = content.decode("latin-1")
        assert [number for number in numbers if number in text] == [], name
        assert "HeadPoints" not in text, name


def test_the_ledger_knows_guests_by_nothing_at_all(left, tmp_path):
    (tmp_path / "ledger.sqlite3").write_bytes(left["ledger/ledger.sqlite3"])
    with contextlib.closing(sqlite3.connect(tmp_path / "ledger.sqlite3")) as ledger:
        tables = [name for (name,) in ledger.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        cells = {str(cell) for table in tables for row in ledger.execute(f"SELECT * FROM {table}") for cell in row}
    assert not cells & {f"E{number}" for number in range(len(PEOPLE))}, "not even by an id"
    assert any("card-photo-left" in cell for cell in cells), "the design is what it counts"
