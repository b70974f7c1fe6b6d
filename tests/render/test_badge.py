"""Badges measured in what an independent renderer (poppler) makes of the file: size, ink in its box, codes read back.

Codes are read by zxing-cpp, which shares no code with segno, the library that writes them.
"""

import io
import subprocess
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from kiosk.catalogue.badge_designs import read_design
from kiosk.core.event.badge_boxes import Code
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.fonts.collection import unwritable
from kiosk.render.badge import badge
from kiosk.render.badge.badge import misfits, text_set
from kiosk.render.badge.badge_preview import preview_pdf
from kiosk.render.badge.badge_sheet import BadgeOrder, badge_sheets, card_pages, is_card
from kiosk.render.drawing.qr_code import least_module_mm, module_mm
from kiosk.render.drawing.text import set_words, surely_fits
from tests.support.invented_names import invented_names

DESIGNS = Path(__file__).parents[2] / "specs" / "badges"
MM_PER_INCH = 25.4
NAMES = {
    "Latin": "Zoë Ağça-Müller",
    "Greek": "Ελένη Παπαδάκη",
    "Cyrillic": "Оксана Щербак",
    "Arabic": "محمد عبد الله الزهراني (ضيف)",
    "Hebrew": "שרה כהן",
    "Devanagari": "लक्ष्मी श्रीनिवासन",
    "Bengali": "নমিতা চট্টোপাধ্যায়",
    "Gurmukhi": "ਹਰਪ੍ਰੀਤ ਸਿੰਘ",
    "Tamil": "தமிழ்ச்செல்வி",
    "Thai": "สมชาย ใจดี",
    "Georgian": "ნინო ბერიძე",
    "Armenian": "Անահիտ Հակոբյան",
    "Han": "龘 王芳",
    "Kana": "さくら サトウ",
    "Hangul": "김서연",
}
"""Invented, one a script (ISO 15924)."""
LONG = "Wolfeschlegelsteinhausenbergerdorff-Featherstonehaugh Maximiliane Konstanze Adelheid"


@pytest.fixture(scope="module")
def card():
    return read_design(DESIGNS / "card-photo-left.toml")


def person(name, number=1):
    return {"id": f"EV26-{number:05d}", "name": name, "organisation": "Harbour Works", "role": "visitor"}


def rendered(pdf, tmp_path, dpi, page=1):
    """Return a page as grey pixels, as poppler paints it."""
    (tmp_path / "badge.pdf").write_bytes(pdf)
    command = ["pdftoppm", "-r", str(dpi), "-f", str(page), "-l", str(page), "-singlefile", "-gray", "-png"]
    subprocess.run([*command, "badge.pdf", "badge"], cwd=tmp_path, check=True)
    return np.asarray(Image.open(tmp_path / "badge.png").convert("L"))


def test_a_card_is_a_page_of_its_exact_size(card):
    page = PdfReader(io.BytesIO(card_pages(card, [BadgeOrder(person("Ada"))]))).pages[0]
    size_mm = [float(side) / 72 * MM_PER_INCH for side in page.mediabox[2:]]
    assert size_mm == pytest.approx([85.60, 53.98], abs=1e-4)  # ISO/IEC 7810:2019, ID-1
    assert page.trimbox == page.mediabox


@pytest.mark.parametrize("script", NAMES)
def test_a_name_in_any_script_is_set_inside_its_box(card, tmp_path, script):
    name = NAMES[script]
    assert unwritable(name) == ""
    assert misfits(card, person(name)) == ()
    dpi = 200
    grey = rendered(card_pages(card, [BadgeOrder(person(name))]), tmp_path, dpi)
    without = rendered(card_pages(card, [BadgeOrder(person(""))]), tmp_path, dpi)
    rows, columns = np.nonzero(grey != without)
    box = card.front.texts[1].rect_mm
    assert rows.size > 200
    px = dpi / MM_PER_INCH
    assert columns.min() >= box.x * px - 1
    assert columns.max() <= box.right * px + 1
    assert rows.min() >= box.y * px - 1
    assert rows.max() <= box.bottom * px + 1


def test_right_to_left_words_keep_their_order(card):
    """Unicode Standard Annex 9: the bracket of a right-to-left name opens on its right; mirrored glyphs, same path."""
    from kiosk.core.base.geometry import Rect
    from kiosk.render.drawing.text import set_words

    box = Rect(0.0, 0.0, 80.0, 10.0)
    plain = set_words("كريم", box, largest_pt=12.0, least_pt=6.0, align="right")
    with_latin = set_words("كريم A", box, largest_pt=12.0, least_pt=6.0, align="right")
    assert extent(plain.path())[1] == pytest.approx(extent(with_latin.path())[1], abs=0.3)
    assert extent(with_latin.path())[0] < extent(plain.path())[0] - 1.0


def extent(path):
    xs = [float(line.split()[0]) for line in path.splitlines() if len(line.split()) > 1]
    return min(xs), max(xs)


def test_a_long_name_shrinks_and_then_is_told_of(card):
    assert misfits(card, person("Maximiliane Konstanze Adelheid von Hohenwalden")) == ()
    assert "too long for its place at 8 pt" in misfits(card, person(LONG))[0]


def test_a_code_too_fine_to_read_is_told_of(card):
    assert "the minimum" in misfits(card, {**person("Ada"), "id": "X" * 120})[0]


@pytest.mark.parametrize("dpi", [200, 300, 600])
def test_codes_are_read_back_at_print_resolution(card, tmp_path, dpi):
    values = person("Ada")
    found = zxingcpp.read_barcodes(rendered(card_pages(card, [BadgeOrder(values)]), tmp_path, dpi))
    assert [each.text for each in found] == [values["id"]]


def test_a_sheet_holds_as_many_badges_as_fit_and_all_their_codes(card, tmp_path):
    """2 x 5 cards of 85.6 x 53.98 mm with 4 mm between them are 175.2 x 285.9 mm: A4 less 3 mm all round takes ten."""
    orders = [BadgeOrder(person(f"Guest {number}", number)) for number in range(12)]
    pdf = badge_sheets(card, orders, medium("a4"), Margins())
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 2
    found = {each.text for page in (1, 2) for each in zxingcpp.read_barcodes(rendered(pdf, tmp_path, 200, page))}
    assert found == {order.values["id"] for order in orders}


@pytest.mark.parametrize("paper", ["a4", "8x10in", "a5", "420x297mm"])
def test_backs_lie_behind_their_fronts_and_upright(paper, tmp_path):
    """The sheet is turned over its long edge as a person would: the page behind is mirrored, then read through."""
    design = read_design(DESIGNS / "lanyard-a6.toml")
    front = design.front.model_copy(update={"code": design.back.code.model_copy(update={"text": "front {id}"})})
    front = front.model_copy(update={"photo": None, "texts": ()})
    design = design.model_copy(update={"front": front})
    name = paper if paper != "420x297mm" else "custom_wide_420x297mm"
    orders = [BadgeOrder(person(f"Guest {number}", number)) for number in range(6)]
    pdf = badge_sheets(design, orders, medium(name), Margins())
    fronts, backs = (zxingcpp.read_barcodes(rendered(pdf, tmp_path, 150, page)) for page in (1, 2))
    height, width = rendered(pdf, tmp_path, 150).shape
    seen = {each.text.removeprefix("front "): places(each) for each in fronts}
    assert len(seen) >= 1
    assert {each.text for each in backs} == set(seen)
    for each in backs:
        behind = [(width - x, y) if height >= width else (x, height - y) for x, y in places(each)]
        top_left, top_right, bottom_right, bottom_left = behind
        turned_as_the_badge_is = [top_right, top_left, bottom_left, bottom_right]
        assert np.allclose(turned_as_the_badge_is, seen[each.text], atol=12)


def places(code):
    """Return the corners of a code from its own upper left, clockwise, in px."""
    corners = (code.position.top_left, code.position.top_right, code.position.bottom_right, code.position.bottom_left)
    return [(corner.x, corner.y) for corner in corners]


def test_the_photo_fills_its_window(card, tmp_path):
    photo = np.full((378, 295, 3), 90, np.uint8)
    dpi = 600
    grey = rendered(card_pages(card, [BadgeOrder(person("Ada"), photo)]), tmp_path, dpi)
    rows, columns = np.nonzero(np.abs(grey.astype(int) - 90) <= 1)
    window = card.front.photo
    inside = (rows > 15 * dpi / MM_PER_INCH) & (columns < 30 * dpi / MM_PER_INCH)
    width_mm = (columns[inside].max() - columns[inside].min() + 1) / dpi * MM_PER_INCH
    height_mm = (rows[inside].max() - rows[inside].min() + 1) / dpi * MM_PER_INCH
    assert width_mm == pytest.approx(window.width_mm, abs=0.09)  # a renderer paints each pixel that is touched
    assert height_mm == pytest.approx(window.height_mm, abs=0.09)  # a renderer paints each pixel that is touched


def test_colour_reaches_into_the_bleed(card, tmp_path):
    pdf = badge_sheets(card, [BadgeOrder(person("Ada"))], medium("6x8in"), Margins())
    dpi = 300
    dark = rendered(pdf, tmp_path, dpi) < 110
    runs_mm = np.array([longest_run(line) for line in (*dark, *dark.T)]) / dpi * MM_PER_INCH
    across_the_badge = np.median(runs_mm[runs_mm > card.width_mm - 1])
    assert across_the_badge == pytest.approx(card.width_mm + 2 * card.bleed_mm, abs=0.2)


def longest_run(line):
    edges = np.flatnonzero(np.diff(np.r_[False, line, False].astype(int)))
    return (edges[1::2] - edges[::2]).max(initial=0)


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.toml")), ids=lambda path: path.stem)
def test_what_surely_fits_by_its_letters_fits_when_it_is_set(path):
    """Names in fifteen scripts, in places made so narrow that about half of them do not fit."""
    narrow = 0.4
    design, outcomes = read_design(path), Counter()
    for text in (text for _, side in design.sides() for text in side.texts):
        for _, name in invented_names(450):
            box, size = replace(text.rect_mm, width=text.rect_mm.width * narrow), text.least_pt
            sure = surely_fits(name, box, size, bold=text.bold)
            fits = set_words(
                name, box, largest_pt=text.largest_pt, least_pt=size, lines=text.lines, bold=text.bold
            ).fits
            outcomes[sure, fits] += 1
    assert outcomes[True, False] == 0
    assert outcomes[True, True] > 100


@pytest.mark.parametrize("words", ["1234567", "HTTPS://EXAMPLE", "Zoë Ağça", "王芳", "x" * 300])
def test_a_code_is_never_denser_than_the_bound_for_its_length(words):
    code = Code(text="{id}", x_mm=0.0, y_mm=0.0, width_mm=20.0, height_mm=20.0)
    assert 0 < least_module_mm(code, words) <= module_mm(code, words)


def test_a_long_list_is_checked_without_setting_its_names(card, monkeypatch):
    """A hundred thousand names took a hundred seconds: each was set, for every place on the badge."""
    set_for = []
    monkeypatch.setattr(badge, "text_set", lambda text, values: set_for.append(values) or text_set(text, values))
    latin = [name for script, name in invented_names(3000) if script in ("Latin", "Greek", "Han", "Kana")]
    for name in latin:
        values = {"id": "G1", "name": name, "organisation": "Example Ltd", "role": "visitor"}
        assert list(badge.unprintable(values, card)) == []
    assert len(set_for) <= len(latin) / 50


def test_a_card_printer_is_known_by_its_medium(card):
    assert is_card(medium("card"), card)
    assert not is_card(medium("4x6in"), card)


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_preview_shows_every_role_twice(path):
    design = read_design(path)
    pdf = preview_pdf(design)
    assert len(PdfReader(io.BytesIO(pdf)).pages) >= 1
    assert preview_pdf(design) == pdf


@pytest.mark.parametrize(
    "name",
    [
        pytest.param("سلمار", id="the tail of a final reh reaches left of the line"),
        pytest.param("কামরমর ত্রশীনূ", id="a full line of Bengali is wider than its letters claim"),
    ],
)
def test_ink_stays_in_its_place_also_where_it_is_wider_than_its_letters(card, tmp_path, name):
    """As set in the Noto typefaces that come with the program, and drawn by poppler."""
    field = next(text for text in card.front.texts if "name" in text.columns)
    grey = rendered(card_pages(card, [BadgeOrder({"name": name})]), tmp_path, 600)
    blank = rendered(card_pages(card, [BadgeOrder({})]), tmp_path, 600)
    columns = np.flatnonzero((np.abs(grey.astype(int) - blank) > 64).any(axis=0))
    assert columns[0] >= field.x_mm / 25.4 * 600 - 1
    assert columns[-1] <= (field.x_mm + field.width_mm) / 25.4 * 600 + 1
