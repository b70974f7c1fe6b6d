"""What the settings say of receipts: off by default, only of sheets with a price, and never on a queue of sheets."""

import pytest

from kiosk.booth.receipt_assembly import shop_on_sheets
from kiosk.devices.print_backends import make_slip_printer
from kiosk.errors import SettingsRefused
from kiosk.settings import read_settings
from kiosk.system.clock import SystemClock
from tests.settings.test_settings import GOOD, written

PRICES = "[prices]\nsheet = 9.50\n"
LINES = 'lines = ["Foto Müller"]'


def read(folder, lines, prices=PRICES):
    return read_settings(written(folder, f"{GOOD}\n{prices}[receipt]\n{lines}\n"))


def test_without_the_section_there_is_no_receipt(tmp_path):
    settings = read_settings(written(tmp_path, GOOD))
    assert shop_on_sheets(settings) == ()
    assert make_slip_printer(settings, SystemClock()) is None


def test_a_receipt_is_on_the_sheet_or_from_a_printer(tmp_path):
    on_sheet = read(tmp_path, f'by = "sheet"\n{LINES}')
    assert (shop_on_sheets(on_sheet), make_slip_printer(on_sheet, SystemClock())) == (("Foto Müller",), None)
    slip = read(tmp_path, f'by = "queue"\nqueue = "receipt"\n{LINES}')
    assert (shop_on_sheets(slip), make_slip_printer(slip, SystemClock()).name) == ((), "receipt")


@pytest.mark.parametrize(
    ("lines", "detail"),
    [
        (LINES, "by"),
        (f'by = "email"\n{LINES}', "'sheet' or 'queue'"),
        (f'by = "queue"\n{LINES}', "a queue goes with"),
        (f'by = "sheet"\nqueue = "receipt"\n{LINES}', "a queue goes with"),
        ('by = "sheet"', "lines"),
        ('by = "sheet"\nlines = []', "at least 1"),
        ('by = "sheet"\nlines = ["a", "b", "c", "d", "e", "f", "g"]', "at most 6"),
        (f'by = "sheet"\nlines = ["{"x" * 61}"]', "at most 60"),
        ('by = "sheet"\nlines = ["a\\nb"]', "one line of text"),
        ('by = "sheet"\nlines = [" "]', "one line of text"),
        (f'by = "queue"\nqueue = "receipt"\nwidth_mm = 20.0\n{LINES}', "greater than or equal to 48"),
        (f'by = "sheet"\nvat = 19\n{LINES}', "unknown key"),
    ],
)
def test_what_cannot_be_meant_is_refused(tmp_path, lines, detail):
    with pytest.raises(SettingsRefused, match=detail):
        read(tmp_path, lines)


def test_a_receipt_of_what_costs_nothing_is_refused(tmp_path):
    with pytest.raises(SettingsRefused, match=r"set prices\.sheet"):
        read(tmp_path, f'by = "sheet"\n{LINES}', prices="")


@pytest.mark.parametrize("queue", ["photo", "spare", "large"])
def test_a_queue_of_sheets_prints_no_receipts(tmp_path, queue):
    text = f"""[booth]
documents = ["gb-passport-print"]
[camera]
backend = "uvc"
[printer]
backend = "cups"
queue = "photo"
second = {{ queue = "spare" }}
[[paper.more]]
medium = "a5"
queue = "large"
{PRICES}[receipt]
by = "queue"
queue = "{queue}"
{LINES}
"""
    with pytest.raises(SettingsRefused, match="a receipt printer has a queue of its own"):
        read_settings(written(tmp_path, text))
