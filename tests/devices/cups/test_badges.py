"""Badges as a printer received them: a card on a card printer, a sheet with cut marks on an office printer."""

import io
import itertools
import secrets
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from pypdf import PdfReader

from kiosk.catalogue.badge_designs import read_design
from kiosk.core.sheet.media import medium
from kiosk.devices.base import PrintJob
from kiosk.render.badge.badge_sheet import BadgeOrder, badge_sheets, card_pages
from tests.devices.cups.test_true_scale import PLACE_MM, TARGET_MM, lab  # noqa: F401
from tests.render.test_badge import rendered
from tests.support.printed import read_page
from tests.support.printer_lab import A4, EVEN, NO_MARGINS
from tests.support.true_scale import station

DESIGNS = Path(__file__).parents[3] / "specs" / "badges"
DESIGN = read_design(DESIGNS / "card-photo-left.toml")
PHOTO = (200, 30, 30)
WIDTH_MM, HEIGHT_MM = 85.60, 53.98  # ISO/IEC 7810, ID-1


def guest(number):
    values = {"id": f"EV{number:05d}", "name": "Ada Lind", "role": "visitor", "organisation": "Works"}
    return BadgeOrder(values, np.full((378, 295, 3), PHOTO, np.uint8))


def received(at, pdf):
    at.printer.print_sheet(PrintJob(secrets.token_hex(4), pdf, at.paper.name))
    return read_page(at.device.received()[-1])


@pytest.mark.parametrize("name", ["om_card_54x86mm", "custom_id-1_53.98x85.6mm"])
def test_a_card_arrives_at_its_size_with_a_code_that_is_read(lab, tmp_path, name):  # noqa: F811
    with station(lab, tmp_path, name, NO_MARGINS, "image/pwg-raster") as at:
        page = received(at, card_pages(DESIGN, [guest(7)], upright=True))
    assert page.size_mm == pytest.approx((HEIGHT_MM, WIDTH_MM), abs=0.45)
    left, top, width, height = page.box_mm(PHOTO)
    window = DESIGN.photo
    assert (width, height) == pytest.approx((window.height_mm, window.width_mm), abs=TARGET_MM)
    spare = page.size_mm[0] - HEIGHT_MM, page.size_mm[1] - WIDTH_MM
    below = page.size_mm[1] - top - height
    at_mm = (window.y_mm + spare[0] / 2, window.x_mm + spare[1] / 2)
    assert (left, below) == pytest.approx(at_mm, abs=PLACE_MM)
    assert [code.text for code in zxingcpp.read_barcodes(page.pixels)] == ["EV00007"]


def test_a_sheet_of_cards_arrives_at_its_size_with_marks_where_it_is_cut(lab, tmp_path):  # noqa: F811
    with station(lab, tmp_path, A4, EVEN, "image/pwg-raster") as at:
        paper, margins = medium(A4), at.printing.margins
        page = received(at, badge_sheets(DESIGN, [guest(number) for number in range(8)], paper, margins))
    codes = {code.text for code in zxingcpp.read_barcodes(page.pixels)}
    assert len(codes) == 8
    lines = dark_lines_mm(page)
    spans = {round(b - a, 2) for a, b in itertools.combinations(lines, 2)}
    cut = min(spans, key=lambda span: abs(span - WIDTH_MM))
    assert cut == pytest.approx(WIDTH_MM, abs=2 * 25.4 / page.dpi)


def dark_lines_mm(page):
    """Return where upright cut marks lie: lines in the strip above the badges."""
    grey = page.pixels.min(axis=2)
    rows = np.flatnonzero((grey < 128).any(axis=1))
    strip = grey[rows[0] + 4 : rows[0] + 12]
    columns = np.flatnonzero((strip < 160).all(axis=0))
    groups = np.split(columns, np.flatnonzero(np.diff(columns) > 1) + 1)
    return [float(group.mean() + 0.5) / page.dpi * 25.4 for group in groups]


@pytest.mark.parametrize("sides", [("one-sided",), ("one-sided", "two-sided-long-edge")])
def test_a_badge_with_a_back_arrives_with_both_sides_or_as_two_sheets(lab, tmp_path, sides):  # noqa: F811
    design = read_design(DESIGNS / "lanyard-a6.toml")
    with station(lab, tmp_path, "iso_a6_105x148mm", NO_MARGINS, "application/pdf", sides) as at:
        assert at.printer.scale.set_up().driver.is_duplex is (len(sides) > 1)
        at.printer.print_sheet(PrintJob(secrets.token_hex(4), card_pages(design, [guest(7)]), at.paper.name))
        pdf = at.device.received()[-1].read_bytes()
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 2
    (code,) = zxingcpp.read_barcodes(rendered(pdf, tmp_path, 150, 2))
    assert code.text == "EV00007"
