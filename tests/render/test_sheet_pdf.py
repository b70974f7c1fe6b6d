"""The sheet under a ruler: rendered by an independent reader (poppler), every photo measured.

Millimetres from pixels: one inch is 25.4 mm, at 1200 px per inch one pixel is 0.021 mm.
"""

import subprocess
from dataclasses import replace
from datetime import date
from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image, ImageCms

from kiosk.core.base.geometry import Size
from kiosk.core.sheet.imposition import Margins, Sheet, impose
from kiosk.core.sheet.media import medium
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.render.sheet.json import sheet_json
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.photo import Photo
from kiosk.render.sheet.strip import SheetStrip
from tests.support.printed import stands_in
from tests.support.shipped import CATALOGUE

DPI = 1200
MM_PER_PX = 25.4 / DPI
NEAR_PX = round(0.4 / MM_PER_PX)
PASSPORT = Size(35.0, 45.0)
STRIP = SheetStrip(("de-passport-id",), date(2026, 11, 25))
SIMULATED = SheetStrip(("de-passport-id",), date(2026, 11, 25), simulated=True)
SHEETS = [
    ("4x6in", PASSPORT, 3.0, 2.0, None, 8),
    ("10x15cm", PASSPORT, 3.0, 2.0, None, 6),
    ("5x7in", PASSPORT, 3.0, 2.0, None, 10),
    ("hagaki", Size(33.0, 48.0), 4.2, 3.0, 3, 3),
]


def flat(size_mm: Size) -> Photo:
    """Return a blue photo with a green band along its top."""
    pixels = np.full((round(size_mm.height * 4), round(size_mm.width * 4), 3), (0, 0, 255), np.uint8)
    pixels[: len(pixels) // 5] = (0, 200, 0)
    return Photo(pixels, size_mm)


def laid(paper: str, photo_mm: Size, margin: float, gutter: float, count: int | None = None) -> Sheet:
    return impose(medium(paper), photo_mm, Margins(margin, margin, margin, margin), gutter, count)


def blank(size_mm: Size) -> Photo:
    """Return a photo as white as the paper, so that all ink on the page is marks and words."""
    return Photo(np.full((90, 70, 3), 255, np.uint8), size_mm)


def rendered(pdf: bytes, folder: Path, dpi: int, *options: str) -> np.ndarray:
    path = folder / "sheet.pdf"
    path.write_bytes(pdf)
    subprocess.run(["pdftoppm", *options, "-r", str(dpi), "-singlefile", path, folder / "page"], check=True)
    (page,) = folder.glob("page.p?m")
    return np.asarray(Image.open(page))


@pytest.mark.parametrize(("paper", "photo_mm", "margin", "gutter", "count", "expected"), SHEETS)
def test_every_photo_measures_true_and_lies_in_its_place(
    paper: str, photo_mm: Size, margin: float, gutter: float, count: int | None, expected: int, tmp_path: Path
) -> None:
    sheet = laid(paper, photo_mm, margin, gutter, count)
    page = rendered(sheet_pdf(sheet, [flat(photo_mm)], STRIP), tmp_path, DPI, "-gray")
    size = sheet.medium.size_mm
    assert page.shape == (np.ceil(size.height / MM_PER_PX - 0.01), np.ceil(size.width / MM_PER_PX - 0.01))
    assert len(sheet.photos) == expected
    for place in sheet.photos:
        rect, centre = place.rect_mm, place.rect_mm.centre
        left, top, right, foot = (round(edge / MM_PER_PX) for edge in (rect.x, rect.y, rect.right, rect.bottom))
        row = page[round(centre.y / MM_PER_PX), left - NEAR_PX : right + NEAR_PX]
        column = page[top - NEAR_PX : foot + NEAR_PX, round(centre.x / MM_PER_PX)]
        for line, at_px, start_mm, length_mm in ((row, left, rect.x, rect.width), (column, top, rect.y, rect.height)):
            (inked,) = np.nonzero(line < 250)
            assert (inked[-1] + 1 - inked[0]) * MM_PER_PX == pytest.approx(length_mm, abs=0.05)
            assert (at_px - NEAR_PX + inked[0]) * MM_PER_PX == pytest.approx(start_mm, abs=0.05)


@pytest.mark.parametrize(("paper", "dpi"), [("4x6in", 300), ("4x6in", 600), ("10x15cm", 600), ("hagaki", 300)])
def test_photos_fill_whole_pixels_of_a_printer_and_no_pixel_more(paper: str, dpi: int, tmp_path: Path) -> None:
    sheet = laid(paper, PASSPORT, 3.0, 2.0)
    page = rendered(sheet_pdf(sheet, [flat(PASSPORT)], STRIP), tmp_path, dpi, "-gray")
    for place in sheet.photos:
        x, y = round(place.x_mm / 25.4 * dpi), round(place.y_mm / 25.4 * dpi)
        width, height = (np.ceil(side / 25.4 * dpi) for side in (place.width_mm, place.height_mm))
        across, down = (np.flatnonzero(line < 250) for line in (page[y + 20, x - 3 : x + 1200], page[y - 3 :, x + 20]))
        assert (across[0], down[0]) == (3, 3)
        assert page[y + 20, x + int(width) - 1] < 250 <= page[y + 20, x + int(width)]
        assert page[y + int(height) - 1, x + 20] < 250 <= page[y + int(height), x + 20]


def test_photos_without_gutters_meet_where_they_should(tmp_path: Path) -> None:
    sheet = laid("4x6in", Size(50.8, 50.8), 0.0, 0.0)
    page = rendered(sheet_pdf(sheet, [flat(Size(50.8, 50.8))], STRIP), tmp_path, 600)
    green = page[:, 400, 1].astype(int) - page[:, 400, 2] > 100
    starts = np.nonzero(green & ~np.roll(green, 1))[0] * 25.4 / 600
    assert starts == pytest.approx([0.0, 50.8, 101.6], abs=0.05)


def test_a_turned_photo_has_its_top_to_the_right(tmp_path: Path) -> None:
    sheet = laid("5x7in", PASSPORT, 3.0, 2.0)
    page = rendered(sheet_pdf(sheet, [flat(PASSPORT)], STRIP), tmp_path, 100)

    def colour_at(x_mm: float, y_mm: float) -> tuple[int, ...]:
        return tuple(page[round(y_mm / 0.254), round(x_mm / 0.254)])

    assert {place.turned for place in sheet.photos} == {True, False}
    for place in sheet.photos:
        rect = place.rect_mm
        top = (rect.right - 3, rect.centre.y) if place.turned else (rect.centre.x, rect.y + 3)
        foot = (rect.x + 3, rect.centre.y) if place.turned else (rect.centre.x, rect.bottom - 3)
        assert colour_at(*top) == (0, 200, 0)
        assert colour_at(*foot) == (0, 0, 255)


@pytest.mark.parametrize("strip", [STRIP, SIMULATED])
@pytest.mark.parametrize(("paper", "count"), [("4x6in", None), ("5x7in", None), ("a5", 4), ("10x15cm", 5)])
def test_no_mark_and_no_word_touches_a_photo_or_leaves_the_printable_area(
    paper: str, count: int | None, strip: SheetStrip, tmp_path: Path
) -> None:
    sheet = laid(paper, PASSPORT, 3.0, 2.0, count)
    page = rendered(sheet_pdf(sheet, [blank(PASSPORT)], strip), tmp_path, 300, "-gray")
    ink = page < 250
    assert ink.any()
    y, x = (np.nonzero(ink) + np.array([[0.5], [0.5]])) * 25.4 / 300
    for rect in (place.rect_mm for place in sheet.photos):
        near = (x > rect.x - 0.3) & (x < rect.right + 0.3) & (y > rect.y - 0.3) & (y < rect.bottom + 0.3)
        assert not near.any()
    area = sheet.printable_mm
    assert x.min() > area.x - 0.2
    assert x.max() < area.right + 0.2
    assert y.min() > area.y - 0.2
    assert y.max() < area.bottom + 0.2


@pytest.mark.parametrize(
    ("paper", "size", "margin", "gutter", "over_photos"),
    [
        ("4x6in", PASSPORT, 3.0, 2.0, False),
        ("10x15cm", PASSPORT, 3.0, 2.0, False),
        ("a5", PASSPORT, 3.0, 2.0, False),
        ("4x6in", Size(50.8, 50.8), 0.0, 0.0, True),
        ("card", Size(54.0, 86.0), 0.0, 0.0, True),
    ],
)
def test_every_simulated_sheet_says_so(
    paper: str, size: Size, margin: float, gutter: float, over_photos: bool, tmp_path: Path
) -> None:
    sheet = laid(paper, size, margin, gutter)
    real, simulated = (rendered(sheet_pdf(sheet, [flat(size)], strip), tmp_path, 200) for strip in (STRIP, SIMULATED))
    colour = (real != simulated).any(axis=2)
    assert colour.sum() > 300
    covered = np.zeros(colour.shape, bool)
    for rect in (place.rect_mm for place in sheet.photos):
        edges = [round(edge / 0.127) for edge in (rect.y, rect.bottom, rect.x, rect.right)]
        covered[edges[0] : edges[1], edges[2] : edges[3]] = True
    assert (colour & covered).any() == over_photos


def test_where_the_warning_must_be_small_it_is_repeated_along_the_photos(tmp_path: Path) -> None:
    sheet = laid("4x6in", PASSPORT, 3.0, 2.0)
    real, simulated = (
        rendered(sheet_pdf(sheet, [blank(PASSPORT)], strip), tmp_path, 200, "-gray") for strip in (STRIP, SIMULATED)
    )
    added = simulated.astype(int) < real.astype(int) - 50
    rows = {(round(place.y_mm / 0.127), round((place.y_mm + place.height_mm) / 0.127)) for place in sheet.photos}
    assert sum(added[top:foot].any() for top, foot in rows) >= 3


def test_a_sheet_that_an_attendant_passed_says_so_beside_the_photos(tmp_path: Path) -> None:
    sheet = laid("4x6in", PASSPORT, 3.0, 2.0)
    passed = replace(STRIP, passed_by_attendant=True)
    assert "passed by attendant" in passed.notes
    assert "passed by attendant" not in STRIP.notes
    plain, said = (
        rendered(sheet_pdf(sheet, [blank(PASSPORT)], each), tmp_path, 200, "-gray") for each in (STRIP, passed)
    )
    changed = plain != said
    assert changed.sum() > 100
    for place in (photo.rect_mm for photo in sheet.photos):
        top, foot, left, right = (round(edge / 0.127) for edge in (place.y, place.bottom, place.x, place.right))
        assert not changed[top:foot, left:right].any()


DOUBTFUL = ("eyes_open", "eyes_visible", "lens_glare", "expression_neutrality", "background_uniformity", "head_share")
LABELS = (
    "eyes open",
    "eyes visible",
    "no glare on glasses",
    "neutral expression",
    "even background",
    "head size in the picture",
)
"""As the booth's English catalogue names them."""


@pytest.mark.parametrize("count", [1, 3, 6])
@pytest.mark.parametrize("simulated", [False, True])
@pytest.mark.parametrize(
    ("paper", "size", "margin", "gutter"),
    [
        ("4x6in", PASSPORT, 3.0, 2.0),
        ("4x6in", PASSPORT, 0.0, 0.0),
        ("10x15cm", PASSPORT, 3.0, 2.0),
        ("hagaki", Size(33.0, 48.0), 4.2, 3.0),
        ("4x6in", Size(50.8, 50.8), 0.0, 2.0),
    ],
)
def test_whatever_is_not_certain_is_said_beside_the_photos(
    paper: str, size: Size, margin: float, gutter: float, simulated: bool, count: int
) -> None:
    """In one row with all the words, or point by point where there is less room."""
    strip = replace(STRIP, simulated=simulated, not_certain=DOUBTFUL[:count])
    assert ", ".join(LABELS[:count]) in strip.notes[2]
    pdf = sheet_pdf(laid(paper, size, margin, gutter), [blank(size)], strip)
    each = all(stands_in(pdf, f"not certain: {label}") for label in LABELS[:count])
    assert stands_in(pdf, " · ".join(strip.notes)) or each


def test_a_sheet_that_is_wholly_certain_does_not_speak_of_doubt() -> None:
    sheet = laid("10x15cm", PASSPORT, 3.0, 2.0)
    row = "de-passport-id · 2026-11-25 · {}print at 100 %"
    for strip, words in (
        (STRIP, ""),
        (replace(STRIP, not_certain=("eyes_open", "lens_glare")), "not certain: eyes open, no glare on glasses · "),
        (replace(STRIP, passed_by_attendant=True), "passed by attendant · "),
    ):
        assert stands_in(sheet_pdf(sheet, [blank(PASSPORT)], strip), row.format(words))


def test_a_photo_is_left_out_where_all_of_them_would_leave_no_room_for_the_words() -> None:
    """Six photos of 2 x 2 in are 4 x 6 in; eight of 35 x 45 mm leave 11 mm of it in width and 12 mm in height."""
    borderless = SheetLayout(medium("4x6in"), Margins(0.0, 0.0, 0.0, 0.0), 0.0)
    for name, all_of_them, marked in (("us-passport-print", 6, 5), ("gb-passport-print", 8, 8)):
        document = CATALOGUE.get(name)
        assert len(borderless.impose(document).photos) == all_of_them
        assert len(borderless.impose(document, marked=True).photos) == marked
        strip, sheet = replace(STRIP, not_certain=DOUBTFUL[-1:]), borderless.impose(document, marked=True)
        pdf = sheet_pdf(sheet, [blank(document.size_mm)], strip)
        assert stands_in(pdf, "not certain: head size in the picture") or stands_in(pdf, " · ".join(strip.notes))


def test_the_scale_bar_is_fifty_millimetres_long(tmp_path: Path) -> None:
    sheet = laid("a5", PASSPORT, 10.0, 2.0, 2)
    page = rendered(sheet_pdf(sheet, [blank(PASSPORT)], STRIP), tmp_path, 600, "-gray")
    dark = page < 128
    longest = 0
    for line in (*dark, *dark.T):
        edges = np.flatnonzero(np.diff(np.concatenate([[0], line.astype(np.int8), [0]])))
        longest = max([longest, *(edges[1::2] - edges[::2])])
    assert longest * 25.4 / 600 == pytest.approx(50.0 + 0.15, abs=0.05)


@pytest.mark.parametrize("paper", ["4x6in", "10x15cm", "a4", "hagaki"])
def test_the_page_is_the_medium(paper: str, tmp_path: Path) -> None:
    sheet = laid(paper, PASSPORT, 3.0, 2.0)
    path = tmp_path / "sheet.pdf"
    path.write_bytes(sheet_pdf(sheet, [flat(PASSPORT)], STRIP))
    size = sheet.medium.size_mm
    points = (0.0, 0.0, size.width / 25.4 * 72, size.height / 25.4 * 72)
    with pikepdf.open(path) as pdf:
        (page,) = pdf.pages
        for box in (page.MediaBox, page.TrimBox):
            assert [float(edge) for edge in box] == pytest.approx(points, abs=1e-6)
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
    said = subprocess.run(["pdfinfo", "-box", path], check=True, capture_output=True, text=True).stdout
    boxes = {line.split(":")[0]: [float(n) for n in line.split()[1:]] for line in said.splitlines() if "Box:" in line}
    assert boxes["MediaBox"] == boxes["TrimBox"] == pytest.approx(points, abs=0.006)


def test_the_photo_is_stored_once_without_loss_at_its_own_resolution(tmp_path: Path) -> None:
    pixels = np.random.default_rng(5).integers(0, 256, (225, 175, 3), dtype=np.uint8)
    path = tmp_path / "sheet.pdf"
    path.write_bytes(sheet_pdf(laid("4x6in", PASSPORT, 3.0, 2.0), [Photo(pixels, PASSPORT)], STRIP))
    with pikepdf.open(path) as pdf:
        pictures = [thing for thing in pdf.objects if isinstance(thing, pikepdf.Stream)]
        assert sum(thing.get("/Subtype") == "/Image" for thing in pictures) == 1
    subprocess.run(["pdfimages", "-png", path, tmp_path / "image"], check=True)
    stored = sorted(tmp_path.glob("image-*.png"))
    assert len(stored) == 8
    assert np.array_equal(np.asarray(Image.open(stored[0]).convert("RGB")), pixels)
    listed = subprocess.run(["pdfimages", "-list", path], check=True, capture_output=True, text=True).stdout
    assert {tuple(line.split()[12:14]) for line in listed.splitlines()[2:]} == {("127", "127")}


def test_colour_is_srgb_by_profile_and_output_intent() -> None:
    with pikepdf.open(BytesIO(sheet_pdf(laid("4x6in", PASSPORT, 3.0, 2.0), [flat(PASSPORT)], STRIP))) as pdf:
        (intent,) = pdf.Root.OutputIntents
        image = pdf.pages[0].Resources.XObject.P0
        profiles = [bytes(p.read_bytes()) for p in (intent.DestOutputProfile, image.ColorSpace[1])]
    assert profiles[0] == profiles[1]
    ours = ImageCms.ImageCmsProfile(BytesIO(profiles[0]))
    to_reference = ImageCms.buildTransform(ours, ImageCms.createProfile("sRGB"), "RGB", "RGB")
    swatch = Image.fromarray(np.random.default_rng(2).integers(0, 256, (20, 20, 3), dtype=np.uint8))
    changed = ImageCms.applyTransform(swatch, to_reference)
    assert np.abs(np.asarray(changed).astype(int) - np.asarray(swatch)).max() <= 1


def test_equal_sheets_are_equal_bytes_and_tell_nothing_more() -> None:
    sheet = laid("4x6in", PASSPORT, 3.0, 2.0)
    pdf = sheet_pdf(sheet, [flat(PASSPORT)], STRIP)
    assert pdf == sheet_pdf(sheet, [flat(PASSPORT)], STRIP)
    with pikepdf.open(BytesIO(pdf)) as opened:
        assert dict(opened.docinfo) == {"/Title": f"Identity photos: {' + '.join(STRIP.documents)}"}
        assert "/Metadata" not in opened.Root


def test_the_json_object_gives_every_place() -> None:
    sheet = laid("4x6in", Size(50.8, 50.8), 0.0, 0.0)
    assert sheet_json(sheet, [("a.jpg", "us-passport-print")]) == {
        "paper": "na_index-4x6_4x6in",
        "paper_mm": [101.6, 152.4],
        "photos": [
            {"x_mm": x, "y_mm": y, "width_mm": 50.8, "height_mm": 50.8, "turned": False}
            for y in (0.0, 50.8, 101.6)
            for x in (0.0, 50.8)
        ],
        "printable_mm": {"x": 0.0, "y": 0.0, "width": 101.6, "height": 152.4},
    }
