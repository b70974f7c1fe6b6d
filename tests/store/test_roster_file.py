"""Lists as offices save them: separators, encodings, workbooks, and what is refused with the line."""

import contextlib
import datetime
import random
import resource
import zipfile
from functools import partial

import openpyxl
import pytest

from kiosk.catalogue.badge_designs import read_design
from kiosk.devices.gphoto2.profile import CameraProfile
from kiosk.devices.profile_file import read_profile_file
from kiosk.errors import KioskError, RosterRefused
from kiosk.settings import read_settings
from kiosk.store.roster.list_file import read_roster
from kiosk.store.roster.workbook import MOST_UNPACKED_BYTES

SHEET = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
"""ECMA-376, part 1, the namespace of a sheet."""


@pytest.fixture
def read(tmp_path):
    def read(content, name="list.csv"):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_roster(path)

    return read


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("start", ["", "\ufeff"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_text_is_read_as_any_office_saves_it(read, separator, start, end):
    """RFC 4180 quoting; the mark at the start and the semicolon are what spreadsheets write (practice)."""
    rows = [("id", "name"), ("1", f'"Lind{separator} Ada ""the first"""'), ("2", '"two\nlines"')]
    file = read(start + end.join(separator.join(row) for row in rows) + end)
    assert file.headings == ("id", "name")
    assert [(row.line, dict(row.cells)) for row in file.rows] == [
        (2, {"id": "1", "name": f'Lind{separator} Ada "the first"'}),
        (3, {"id": "2", "name": "two\nlines"}),
    ]


def test_a_workbook_is_read_as_it_is_seen(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(["id", "name", "day", None])
    book.active.append([17.0, "Ada", datetime.date(2026, 3, 1), None])
    book.active.append([None, None, None, None])
    book.active.append(["018", "Grace", None, None])
    book.save(tmp_path / "list.xlsx")
    file = read_roster(tmp_path / "list.xlsx")
    assert file.headings == ("id", "name", "day")
    assert [(row.line, dict(row.cells)) for row in file.rows] == [
        (2, {"id": "17", "name": "Ada", "day": "2026-03-01"}),
        (4, {"id": "018", "name": "Grace", "day": ""}),
    ]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("", "no line of headings"),
        ("id,,name\n1,x,Ada\n", "column 2 has no heading"),
        ("id,name,id\n", "the heading 'id' is there twice"),
        ("id,name\n1,Lind, Ada\n", "line 2 has more cells than the 2 headings"),
        ("id,name\n1,Ada\n2,Ren\xe9e\n".encode("latin-1"), "line 3 is not UTF-8"),
        ('id,name\n1,"Ada"x\n', "line 2"),
        (b"id\0name\n", "neither a text nor"),
        (b"PK\x03\x04 cut off", "damaged workbook"),
    ],
)
def test_a_list_that_cannot_be_read_is_refused(read, content, words):
    with pytest.raises(RosterRefused, match=words):
        read(content)


def test_a_zip_that_is_no_workbook_is_refused(tmp_path):
    with zipfile.ZipFile(tmp_path / "list.xlsx", "w") as archive:
        archive.writestr("readme.txt", "hello")
    with pytest.raises(RosterRefused, match="damaged workbook"):
        read_roster(tmp_path / "list.xlsx")


def workbook(path, *cells):
    """Write a workbook with these cells, by their places."""
    book = openpyxl.Workbook()
    for place, value in (("A1", "id"), ("B1", "name"), *cells):
        book.active[place] = value
    book.save(path)
    return path


def test_a_cell_that_was_left_in_the_last_line_of_a_sheet_costs_nothing(tmp_path):
    """A million lines lie before it, which nobody writes out."""
    file = read_roster(workbook(tmp_path / "list.xlsx", ("A1048576", "1"), ("B1048576", "Ada")))
    assert [(row.line, dict(row.cells)) for row in file.rows] == [(1048576, {"id": "1", "name": "Ada"})]


@pytest.mark.parametrize("place", ["XFD1048576", "XFD2"])
def test_a_cell_far_beyond_the_list_is_named(tmp_path, place):
    with pytest.raises(RosterRefused, match=f"its cell {place} lies beyond 200 columns"):
        read_roster(workbook(tmp_path / "list.xlsx", (place, "x")))


def test_a_workbook_with_a_password_is_told_apart_from_text(tmp_path):
    path = tmp_path / "list.xlsx"
    path.write_bytes(bytes.fromhex("D0CF11E0A1B11AE1") + bytes(4096))
    with pytest.raises(RosterRefused, match="has a password"):
        read_roster(path)


def test_a_list_with_thousands_of_headings_is_refused_before_they_are_compared(read):
    with pytest.raises(RosterRefused, match="it has 50000 columns; 200 are the most"):
        read(",".join(map(str, range(50_000))))
    assert read(f"id,name{',' * 50_000}\n").headings == ("id", "name"), "separators that an office left behind"


def test_a_workbook_that_unpacks_to_more_than_a_list_is_refused_before_it_is_parsed(tmp_path):
    """200 MB of one letter fit into 200 kB."""
    packed = workbook(tmp_path / "list.xlsx")
    with zipfile.ZipFile(packed, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/image1.bin", b"x" * (MOST_UNPACKED_BYTES + 1))
    with pytest.raises(RosterRefused, match="larger than 200 MB when it is unpacked"):
        read_roster(packed)


def test_a_workbook_that_needs_too_much_memory_takes_its_reader_down_and_nobody_else(tmp_path):
    """One row of millions of empty cells, in 100 kB; each becomes an object twenty times as large."""
    path = workbook(tmp_path / "list.xlsx")
    cells = "<c/>" * 16_000_000
    changed = {
        "xl/worksheets/sheet1.xml": f"<worksheet xmlns='{SHEET}'><sheetData><row>{cells}</row></sheetData></worksheet>"
    }
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()} | changed
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(RosterRefused, match="needs more memory or time than a list of people"):
        read_roster(path)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 400_000, "in kilobytes, beyond the test's own"


def damaged(path, seed):
    """Spoil a part of a workbook, or the archive itself; the same for the same seed."""
    chance = random.Random(seed)
    if chance.random() < 0.3:
        content = bytearray(path.read_bytes())
        for _ in range(8):
            content[chance.randrange(len(content))] = chance.randrange(256)
        path.write_bytes(content)
        return
    with zipfile.ZipFile(path) as archive:
        parts = {name: bytearray(archive.read(name)) for name in archive.namelist()}
    spoilt = parts[chance.choice(sorted(parts))]
    for _ in range(3):
        at = chance.randrange(len(spoilt))
        spoilt[at : at + chance.choice((1, 20))] = chance.choice((b"", b"x", b"<", b"999999999999", b'"'))
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, bytes(content))


@pytest.mark.parametrize("tenth", [0, *(pytest.param(number, marks=pytest.mark.slow) for number in range(1, 12))])
def test_a_damaged_workbook_is_read_or_refused_with_a_sentence(tmp_path, tenth):
    for seed in range(10 * tenth, 10 * tenth + 10):
        path = workbook(tmp_path / f"{seed}.xlsx", ("A2", "1"), ("B2", datetime.date(2026, 3, 1)))
        damaged(path, seed)
        with contextlib.suppress(RosterRefused):
            read_roster(path)


def test_brackets_within_brackets_are_refused_in_a_sentence(tmp_path):
    nested = f"a = {'[' * 100_000}{']' * 100_000}\n"
    (tmp_path / "file.toml").write_text(nested)
    for reads in (read_settings, read_design, partial(read_profile_file, kind=CameraProfile)):
        with pytest.raises(KioskError, match="brackets"):
            reads(tmp_path / "file.toml")


def test_a_missing_list_is_refused(tmp_path):
    with pytest.raises(RosterRefused, match="no such file"):
        read_roster(tmp_path / "none.csv")
