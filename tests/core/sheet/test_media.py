"""Papers by name and by size. Sizes: the register of PWG 5101.1 as tabled in its implementations."""

import pytest

from kiosk.core.base.geometry import Size
from kiosk.core.sheet.media import MEDIA, medium, written
from kiosk.errors import UnknownPaper

REGISTER = [
    ("na_index-4x6_4x6in", "4x6in", 101.6, 152.4),
    ("na_5x7_5x7in", "5x7in", 127.0, 177.8),
    ("oe_photo-l_3.5x5in", "3.5x5in", 88.9, 127.0),
    ("om_small-photo_100x150mm", "10x15cm", 100.0, 150.0),
    ("om_medium-photo_130x180mm", "13x18cm", 130.0, 180.0),
    ("jpn_hagaki_100x148mm", "hagaki", 100.0, 148.0),
    ("iso_a6_105x148mm", "a6", 105.0, 148.0),
    ("iso_a5_148x210mm", "a5", 148.0, 210.0),
    ("iso_a4_210x297mm", "a4", 210.0, 297.0),
    ("na_letter_8.5x11in", "letter", 215.9, 279.4),
    ("na_govt-letter_8x10in", "8x10in", 203.2, 254.0),
    ("om_card_54x86mm", "card", 54.0, 86.0),
    ("oe_square-photo_5x5in", "5x5in", 127.0, 127.0),
    ("na_index-4x6-ext_6x8in", "6x8in", 152.4, 203.2),
]


@pytest.mark.parametrize(("name", "short", "width_mm", "height_mm"), REGISTER)
def test_either_name_gives_the_size_of_the_register(name: str, short: str, width_mm: float, height_mm: float) -> None:
    paper = medium(name)
    assert paper is medium(short) is medium(short.upper())
    assert (paper.name, paper.short) == (name, short)
    assert (paper.size_mm.width, paper.size_mm.height) == pytest.approx((width_mm, height_mm), abs=1e-9)


def test_the_table_has_no_paper_beside_the_register() -> None:
    assert {paper.name for paper in MEDIA} == {name for name, *_ in REGISTER}


@pytest.mark.parametrize(
    ("spoken", "short"),
    [
        ("L", "3.5x5in"), ("2L", "5x7in"), ("KG", "4x6in"), ("10 x 15 cm", "10x15cm"), (" A4 ", "a4"),
        ("US Letter", "letter"), ("6x4in", "4x6in"), ("15x10cm", "10x15cm"), ("100x150mm", "10x15cm"),
        ("150 × 100 mm", "10x15cm"), ('6" x 4"', "4x6in"), ("6in x 4in", "4x6in"), ("4 × 6 inches", "4x6in"),
        ("102x152mm", "4x6in"), ("210x297mm", "a4"), ("29.7x21cm", "a4"), ("29,7 x 21 cm", "a4"),
        ("216x279mm", "letter"),
        ("127x178mm", "5x7in"), ("148x100mm", "hagaki"), ("14.8 x 10.5 cm", "a6"), ("85.6x54mm", "card"),
        ("3.50x5.0in", "3.5x5in"),
    ],
)  # fmt: skip
def test_the_trades_ways_of_writing(spoken: str, short: str) -> None:
    assert medium(spoken) is medium(short)


@pytest.mark.parametrize(
    ("spoken", "name", "short", "width_mm", "height_mm"),
    [
        ("120x90mm", "custom_90x120mm_90x120mm", "90x120mm", 90.0, 120.0),
        ("9x13cm", "custom_90x130mm_90x130mm", "9x13cm", 90.0, 130.0),
        ("8x4in", "custom_4x8in_4x8in", "4x8in", 101.6, 203.2),
        ("101x151mm", "custom_101x151mm_101x151mm", "101x151mm", 101.0, 151.0),
    ],
)
def test_a_size_on_no_list_is_a_paper_of_its_own(spoken: str, name: str, short: str, width_mm: float, height_mm: float):
    """Upright, under a self-describing name of class `custom` (PWG 5101.1, 5.1, from memory)."""
    paper = medium(spoken)
    assert (paper.name, paper.short) == (name, short)
    assert (paper.size_mm.width, paper.size_mm.height) == pytest.approx((width_mm, height_mm), abs=1e-9)
    assert medium(paper.name).size_mm == paper.size_mm
    assert medium(paper.short) == paper


def test_papers_that_are_sold_as_one_stay_apart() -> None:
    assert len({medium(f"{one.size_mm.width:g}x{one.size_mm.height:g}mm").name for one in MEDIA}) == len(MEDIA)


def test_names_are_written_with_their_units_apart_and_stay_on_one_line() -> None:
    """A space before the unit and a multiplication sign (SI Brochure, from memory), close set as the trade does."""
    names = [written(paper.short).replace("\N{NARROW NO-BREAK SPACE}", " ") for paper in MEDIA]
    assert names == [
        "3.5×5 in", "4×6 in", "10×15 cm", "Hagaki", "A6", "5×5 in", "5×7 in", "13×18 cm", "A5", "6×8 in",
        "8×10 in", "A4", "Letter", "Card",
    ]  # fmt: skip
    assert not any(" " in written(paper.short) for paper in MEDIA)


def test_a_printers_own_self_describing_name_is_taken_at_its_word() -> None:
    paper = medium("om_photo-10x15_100x150mm")
    assert (paper.name, paper.size_mm) == ("om_photo-10x15_100x150mm", Size(100.0, 150.0))
    assert medium("custom_strip_2x6in").size_mm == Size(50.8, 152.39999999999998)


@pytest.mark.parametrize(
    "name",
    [
        "", "a3+", "nonsense", "4x6", "na_index-4x6", "custom_x_0x10mm", "custom_x_5000x10mm", "om_x_10x15cm",
        "0x10mm", "10x5000mm", "1.2.3x4mm", "x4in", "4xin", "-4x6in", "4x6in6", "inxin", '4x"', "1e2x3mm", "4x6x8in",
    ],
)  # fmt: skip
def test_an_unknown_paper_is_refused_with_the_known_ones(name: str) -> None:
    with pytest.raises(UnknownPaper) as refusal:
        medium(name)
    assert "4x6in" in refusal.value.advice
