"""The rules against worked figures: 112 of them, computed apart from this project (tests/data/oracles.json).

ISO 216, ISO/IEC 7810 and PWG 5101.1 sizes are those of the standards, quoted where the data names them.
"""

import json
import re
from pathlib import Path

import pytest

from kiosk.core.base.geometry import Range, Size
from kiosk.core.base.units import MM_PER_INCH, px_from_mm
from kiosk.core.document.compatibility import share
from kiosk.core.document.head_fit import VerticalLimits, possible_chins_mm
from kiosk.core.sheet.imposition import Margins, impose
from kiosk.core.sheet.media import MEDIA, medium
from tests.support.shipped import CATALOGUE

ORACLES = json.loads((Path(__file__).parents[2] / "data" / "oracles.json").read_text(encoding="utf-8"))
BY_NAME = {oracle["name"]: oracle["value"] for oracle in ORACLES}
IED_OF_HEAD = 0.275
"""Inter-eye distance over head height: ANSUR II, between the means of men and women."""


def oracles(pattern: str) -> list:
    found = [pytest.param(oracle, id=oracle["name"]) for oracle in ORACLES if re.search(pattern, oracle["name"])]
    assert found, pattern
    return found


def shares(document_id: str, limit: str) -> list[float]:
    """Return a limit of a document as shares of the photo's height."""
    document = CATALOGUE.get(document_id)
    band = getattr(document, limit).scaled(1 / document.size_mm.height)
    return [band.low, band.high]


def test_all_oracles_are_here():
    assert len(ORACLES) == 112
    assert {oracle["evidence"] for oracle in ORACLES} == {"computed"}


@pytest.mark.parametrize("oracle", oracles(r"(mm|in) at \d00 dpi$"))
def test_millimetres_to_pixels(oracle):
    dpi = oracle["input"]["dpi"]
    found = [px_from_mm(side, dpi) for side in oracle["input"]["mm"]]
    assert found == pytest.approx(oracle["value"], abs=5e-5)


@pytest.mark.parametrize("oracle", oracles(r"^media "))
def test_media_of_pwg_5101_1(oracle):
    """Sizes by their registered names; ISO 216 for A4, A5 and A6."""
    size = medium(oracle["name"].split()[1]).size_mm
    assert [size.width, size.height] == pytest.approx(oracle["input"]["mm"])
    assert [px_from_mm(side, 300) for side in (size.width, size.height)] == pytest.approx(oracle["value"], abs=5e-5)


@pytest.mark.parametrize(
    ("name", "documents", "limit"),
    [
        ("US head 1 to 1 3/8 in on 2 in", ("us-passport-print", "in-oci"), "head_height_mm"),
        ("US eye line 1 1/8 to 1 3/8 in on 2 in", ("us-passport-print",), "eye_line_mm"),
        ("UK head 29-34 on 45", ("gb-passport-print",), "head_height_mm"),
        (
            "DE/FR/JP/KR/AU head 32-36 on 45",
            ("de-passport-id", "fr-passport-id", "jp-passport-print", "au-passport", "schengen-visa-de"),
            "head_height_mm",
        ),
        ("NL head 26-30 on 45", ("nl-passport-id",), "head_height_mm"),
        ("HK head 32-36 on 50", ("hk-passport",), "head_height_mm"),
        ("CA head 31-36 on 70", ("ca-passport",), "head_height_mm"),
        ("CN head 28-33 on 48", ("cn-visa-print",), "head_height_mm"),
        ("IT eye line 23-31 on 45", ("it-cie",), "eye_line_mm"),
        ("DE template eye line 22-32 on 45", ("de-passport-id", "kr-passport"), "eye_line_mm"),
    ],
)
def test_share_of_the_photo(name, documents, limit):
    for document_id in documents:
        assert shares(document_id, limit) == pytest.approx(BY_NAME[name], abs=5e-7), document_id


def test_a_turkish_head_is_no_smaller_on_the_higher_print():
    assert shares("tr-passport", "head_height_mm") == pytest.approx(BY_NAME["TR head 32-36 on 60"], abs=5e-7)


def test_shares_to_millimetres():
    for document_id in ("icao-generic", "za-passport-id", "pl-eu-residence"):
        band = CATALOGUE.get(document_id).head_height_mm
        assert [band.low, band.high] == pytest.approx(BY_NAME["70-80 % of 45 mm"])


def test_inches_are_not_their_rounded_millimetres():
    document = CATALOGUE.get("us-passport-print")
    assert document.size_mm == Size(50.8, 50.8)
    assert shares("us-passport-print", "head_height_mm") != pytest.approx(
        BY_NAME["US head using the rounded mm figures 25-35 on 51"], abs=1e-3
    )
    assert shares("us-passport-print", "eye_line_mm") != pytest.approx(
        BY_NAME["US eyes using the rounded mm figures 28-35 on 51"], abs=1e-3
    )


@pytest.mark.parametrize("other", ["fr-passport-id", "de-passport-id", "au-passport", "schengen-visa-de"])
def test_head_ranges_that_overlap(other):
    uk, nl, asked = (CATALOGUE.get(name) for name in ("gb-passport-print", "nl-passport-id", other))
    shared = share((uk, asked)).head_mm
    assert [shared.low, shared.high] == BY_NAME["head range satisfying UK 29-34 and 32-36 together"]
    assert BY_NAME["head range satisfying NL 26-30 and 32-36 together"] is None
    assert share((nl, asked)).head_mm.is_empty


def test_indian_head_ranges_do_not_overlap():
    """The missions' heads have grown since these figures; they overlap with the card's even less."""
    assert BY_NAME["head range satisfying IN mission 35.56-40.64 and OCI 25.4-34.925"] is None
    least_mm = CATALOGUE.get("in-passport-mission").head_height.range.low * BY_NAME["70-80 % of 2 in"][1] / 0.8
    assert least_mm > CATALOGUE.get("in-oci").head_height_mm.high


@pytest.mark.parametrize("side_px", [600, 1200])
def test_us_file(side_px):
    window = CATALOGUE.get("us-visa-digital").upload.bytes_window(side_px, side_px)
    assert window.low == BY_NAME[f"{side_px} px square, 24-bit, smallest file at 20:1"]
    assert side_px**2 * 3 / window.high == BY_NAME[f"{side_px} px square, compression at 240000 bytes"]


def test_us_file_of_1200_px_has_a_narrow_window():
    assert CATALOGUE.get("us-visa-digital").upload.bytes_window(1200, 1200) == Range(216_000.0, 240_000.0)


def test_us_extreme_head_and_eye_line_leave_the_frame():
    document = CATALOGUE.get("us-passport-print")
    head_mm, eye_mm = document.head_height_mm.high, document.eye_line_mm.high
    above = ORACLES[-1]["input"]["upper_fraction"]
    crown_mm = eye_mm + above * head_mm
    assert crown_mm == pytest.approx(BY_NAME["US extreme head and eye line together leave the frame"])
    assert crown_mm > document.size_mm.height
    together = VerticalLimits(document.size_mm.height, document.head_height_mm, Range(eye_mm, eye_mm))
    assert possible_chins_mm(together, head_mm, above).is_empty
    assert not possible_chins_mm(document.vertical_limits, head_mm, above).is_empty


def test_eyes_of_an_upload():
    document = CATALOGUE.get("us-visa-digital")
    frame_px = document.upload.pixels.smallest.height
    smallest = document.head_height.range.low * frame_px * IED_OF_HEAD
    assert smallest == pytest.approx(BY_NAME["IED in px, US 600 px frame, head 50 % (IPD = 0.275 of head height)"])
    needed = document.capture["inter_eye_distance"].range.low
    assert needed / (IED_OF_HEAD * frame_px) == pytest.approx(
        BY_NAME["smallest head fraction for 90 px IED in a 600 px frame"], abs=5e-7
    )


def test_eyes_of_a_print():
    document = CATALOGUE.get("de-passport-id")
    dpi = CATALOGUE.get("icao-generic").needed_dpi
    assert IED_OF_HEAD * px_from_mm(34, dpi) == pytest.approx(BY_NAME["IED for 34 mm head on 35x45 at 300 dpi"])
    needed = document.capture["inter_eye_distance"].range.low
    assert needed * MM_PER_INCH / dpi / IED_OF_HEAD == pytest.approx(BY_NAME["smallest head for 90 px IED at 300 dpi"])


def test_file_and_print_differ_in_shape():
    def shape(size) -> float:
        return size.width / size.height

    for name, upload, printed in (
        ("SG 400x514 aspect vs 35:45", "sg-passport", "sg-passport"),
        ("CN file 354x472 aspect vs 33:48", "cn-visa-digital", "cn-visa-print"),
        ("HK 1200x1600 aspect vs 40:50", "hk-passport", "hk-passport"),
    ):
        found = [shape(CATALOGUE.get(upload).upload.pixels.smallest), shape(CATALOGUE.get(printed).size_mm)]
        assert found == pytest.approx(BY_NAME[name]), name


def written_mm(size):
    return f"{size.width:.2f} x {size.height:.2f}"


@pytest.mark.parametrize("oracle", oracles(r"gap \d, margin \d$"))
def test_photos_on_a_sheet(oracle):
    """The figures try plain grids only; a mix of upright and turned photos may hold more, never fewer."""
    asked = oracle["input"]
    paper = next(paper for paper in MEDIA if written_mm(paper.size_mm) == written_mm(Size(*asked["sheet"])))
    sheet = impose(paper, Size(*asked["photo"]), Margins(*[asked["margin"]] * 4), asked["gap"])
    assert len(sheet.photos) >= oracle["value"]
