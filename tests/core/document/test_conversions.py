"""Every number in the files that was computed, computed again from the source's own figures.

Inches are 25.4 mm exactly. Shares are kept to four digits, so that 1e-4 is the tolerance; a range that was narrowed to
fewer digits says so here.
"""

import math

import pytest

from kiosk.core.base.units import MM_PER_INCH, px_from_mm
from tests.support.shipped import CATALOGUE

BREADTH_OF_HEIGHT = 0.605
"""Bizygomatic breadth over the height of the head: ANSUR II, means of men and women (0.605 and 0.604)."""

COMPUTED = [
    # 31 to 36 mm in 35 x 45 mm (quoted: the authority's digital rules).
    ("ca-visa-pr-digital", "head_height", 31 / 45, 36 / 45, 1e-4),
    # 331 to 390 px high, 230 to 283 px wide in 354 x 472 px (quoted: the specification for passports and permits).
    ("cn-passport-domestic", "head_height", 331 / 472, 390 / 472, 1e-4),
    ("cn-passport-domestic", "head_width", 230 / 354, 283 / 354, 1e-4),
    # A face of 205 px, 14 either way; at least 256 px to the eyes; 10 to 70 px above, in 354 x 472 px (quoted).
    ("cn-visa-digital", "head_width", (205 - 14) / 354, (205 + 14) / 354, 1e-4),
    ("cn-visa-digital", "head_height", 191 / BREADTH_OF_HEIGHT / 472, 219 / BREADTH_OF_HEIGHT / 472, 1e-3),
    ("cn-visa-digital", "eye_line", 256 / 472, None, 1e-4),
    ("cn-visa-digital", "margin_above", 10 / 472, 70 / 472, 1e-4),
    # 1 to 1 3/8 in and 1 1/8 to 1 3/8 in, on 2 in (quoted: the visa's upload page).
    ("in-visa-digital", "head_height", 1 / 2, (1 + 3 / 8) / 2, 1e-9),
    ("in-visa-digital", "eye_line", (1 + 1 / 8) / 2, (1 + 3 / 8) / 2, 1e-9),
    # 3.2 to 3.6 cm of 4.5 cm (quoted: the ministry's rule).
    ("kr-passport-online", "head_height", 32 / 45, 36 / 45, 2e-4),
    # Half of a 4 : 5 picture's width, over breadths of 0.727 and 0.598 of the height (ANSUR II, 5th and 95th).
    ("us-le-mugshot", "head_height", 0.5 * 4 / 5 / 0.727, 0.5 * 4 / 5 / 0.598, 2e-3),
]


@pytest.mark.parametrize(("document_id", "key", "low", "high", "tolerance"), COMPUTED)
def test_a_share(document_id, key, low, high, tolerance):
    rule = getattr(CATALOGUE.get(document_id), key)
    assert rule.evidence == "computed"
    for own, again in ((rule.min, low), (rule.max, high)):
        assert own is again is None or own == pytest.approx(again, abs=tolerance)


def test_no_computed_number_is_left_out():
    """A resolution counts the upload's own pixels; `upload.pixels` stands below."""
    own = {(d.id, key) for d in CATALOGUE.all() for key, rule in d.rules() if rule.evidence == "computed"}
    left = {(name, key) for name, key in own if key not in ("resolution", "upload.pixels")}
    assert left == {(name, key) for name, key, *_ in COMPUTED}
    assert {name for name, key in own if key == "upload.pixels"} == {"it-cie"}


@pytest.mark.parametrize(("document_id", "size_mm", "dpi", "rounded"), [
    # Primary: 400 dpi at 35 x 45 mm, rounded up so that no pixel is missing.
    ("it-cie", (35, 45), 400, math.ceil),
    # Quoted: 25 x 35 mm at 200 px per inch.
    ("in-pan", (25, 35), 200, round),
    # Quoted: 30 x 40 mm and 35 x 45 mm at 300 px per inch.
    ("cn-passport-domestic", (30, 40), 300, round),
    ("kr-passport-online", (35, 45), 300, round),
    # Primary: 2 in at 300 px per inch.
    ("us-visa-digital", (50.8, 50.8), 300, round),
])  # fmt: skip
def test_pixels_from_millimetres(document_id, size_mm, dpi, rounded):
    rule = CATALOGUE.get(document_id).upload.pixels
    assert (rule.min_width, rule.min_height) == tuple(rounded(px_from_mm(side, dpi)) for side in size_mm)


def test_the_finnish_print_and_file_are_one_rule():
    """Primary: finlex.fi gives both: 445 to 500 px of 653 and 32 to 36 mm of 47, 21 px of 500 and 1.5 mm of 36."""
    document = CATALOGUE.get("fi-passport-id")
    per_mm = 653 / 47
    for own_mm, px in ((document.head_height_mm, (445, 500)), (document.margin_above_mm, (56, 84)),
                       (document.margin_below_mm, (96, 124))):  # fmt: skip
        assert [own_mm.low * per_mm, own_mm.high * per_mm] == pytest.approx(px, abs=1.5)
    off = document.face_centre_share.high - 0.5
    assert off * 500 == pytest.approx(21, abs=0.5)


@pytest.mark.parametrize("document_id", ["us-passport-print", "in-oci"])
def test_inches(document_id):
    """Primary: US Embassy Berlin. Quoted: immihelp.com. Published beside the inches: 51, 25 to 35 and 28 to 35 mm."""
    document = CATALOGUE.get(document_id)
    assert document.size_mm.width == 2 * MM_PER_INCH
    assert (document.head_height_mm.low, document.head_height_mm.high) == (MM_PER_INCH, 1.375 * MM_PER_INCH)
    assert (document.eye_line_mm.low, document.eye_line_mm.high) == (1.125 * MM_PER_INCH, 1.375 * MM_PER_INCH)
    for own_mm, rounded_mm in ((document.size_mm.width, 51), (document.head_height_mm.low, 25),
                               (document.head_height_mm.high, 35), (document.eye_line_mm.low, 28)):  # fmt: skip
        assert own_mm == pytest.approx(rounded_mm, abs=0.6)


@pytest.mark.parametrize("document_id", sorted(
    d.id for d in CATALOGUE.all() if d.size is not None and d.head_height.unit == "fraction"
))  # fmt: skip
def test_per_cent(document_id):
    document = CATALOGUE.get(document_id)
    share, height_mm = document.head_height.published, document.size_mm.height
    own = document.head_height_mm
    assert (own.low, own.high) == pytest.approx((share.low * height_mm, share.high * height_mm))


@pytest.mark.parametrize(("document_id", "share"), [
    # Sources that give the same head twice, in per cent and in millimetres.
    ("de-passport-id", (0.7, 0.8)), ("schengen-visa-de", (0.7, 0.8)), ("jp-passport-print", (0.7, 0.8)),
    ("nz-passport-print", (0.7, 0.8)),
])  # fmt: skip
def test_millimetres_beside_per_cent(document_id, share):
    """Primary: Nicosia, 70 to 80 %. Quoted: the German chart, a Japanese studio, the New Zealand text: 32 to 36 mm."""
    document = CATALOGUE.get(document_id)
    heights = [part * document.size_mm.height for part in share]
    assert [document.head_height.published.low, document.head_height.published.high] == pytest.approx(heights, abs=0.51)
