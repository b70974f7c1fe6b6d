"""Lists as offices save them: separators, encodings, workbooks, and what is refused with the line."""

import datetime

import openpyxl
import pytest

from kiosk.errors import RosterRefused
from kiosk.store.roster.list_file import read_roster


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
    import zipfile

    with zipfile.ZipFile(tmp_path / "list.xlsx", "w") as archive:
        archive.writestr("readme.txt", "hello")
    with pytest.raises(RosterRefused, match="damaged workbook"):
        read_roster(tmp_path / "list.xlsx")


def test_a_missing_list_is_refused(tmp_path):
    with pytest.raises(RosterRefused, match="no such file"):
        read_roster(tmp_path / "none.csv")
