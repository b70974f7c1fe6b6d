"""What is looked at of receipts in the margins of sheets; the printer of slips is looked at in `tests/faults`."""

import pytest

from kiosk.pipeline.offering import layout_of
from kiosk.ready.receipt import receipt_findings
from kiosk.settings import read_settings
from kiosk.system.clock import SystemClock
from tests.ready.test_booth import written
from tests.support.shipped import CATALOGUE

DOCUMENTS = [CATALOGUE.get("gb-passport-print")]


def findings(tmp_path, more, paper="4x6in"):
    path = written(tmp_path, paper=paper)
    path.write_text(f"{path.read_text()}\n{more}\n")
    settings = read_settings(path)
    return [
        (found.name, found.grade) for found in receipt_findings(settings, DOCUMENTS, layout_of(settings), SystemClock())
    ]


RECEIPT = '[receipt]\nby = "sheet"\nlines = ["Foto Müller"]\n'


def test_without_receipts_nothing_is_looked_at(tmp_path):
    assert findings(tmp_path, "") == []


@pytest.mark.parametrize(
    ("paper", "count", "grade"), [("4x6in", "", "warn"), ("4x6in", "photos = 6", "ok"), ("5x7in", "", "ok")]
)
def test_a_sheet_without_room_for_a_receipt_is_said(tmp_path, paper, count, grade):
    more = f"{count}\n[prices]\nsheet = 9.50\n{RECEIPT}"
    assert findings(tmp_path, more, paper) == [("receipt", grade)]


def test_a_sheet_that_costs_nothing_needs_no_room(tmp_path):
    assert findings(tmp_path, f"[prices]\ndocuments = {{ us-passport-print = 11 }}\n{RECEIPT}") == [("receipt", "ok")]
