"""What is drawn beside the trim: the bleed outside it, a border inside it; in pixels of independent readers."""

import subprocess
from datetime import date
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.bleed import Edges
from kiosk.core.sheet.imposition import Margins, Placement, Sheet, impose
from kiosk.core.sheet.media import medium
from kiosk.render.sheet.lab_file import lab_file
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.photo import Photo, render_photo
from kiosk.render.sheet.strip import SheetStrip

PASSPORT = Size(35.0, 45.0)
STRIP = SheetStrip(("event-badge-id1",), date(2026, 11, 25))
STILL = np.random.default_rng(4).integers(0, 200, (1600, 1300, 3), dtype=np.uint8)
CROP = Rect(130.4, 140.6, 1000, 1000 * 45 / 35)
LEFT, TOP, RIGHT, FOOT = (255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 0, 255)


def laid(paper: str, count: int | None = None) -> Sheet:
    return impose(medium(paper), PASSPORT, Margins(), 2.0, count)


def page_of(pdf: bytes, folder: Path, dpi: int) -> np.ndarray:
    (folder / "sheet.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(dpi), "-singlefile", folder / "sheet.pdf", folder / "page"], check=True)
    return np.asarray(Image.open(folder / "page.ppm"))


def edges_px(place: Placement, dpi: int) -> tuple[int, int, int, int]:
    rect = place.rect_mm
    x, y = round(rect.x / 25.4 * dpi), round(rect.y / 25.4 * dpi)
    return x, y, x + round(rect.width / 25.4 * dpi), y + round(rect.height / 25.4 * dpi)


def framed() -> Photo:
    """Return a grey photo whose bleed has a colour of its own on each side."""
    bled = np.full((1063 + 24, 827 + 24, 3), 128, np.uint8)
    bled[:12], bled[-12:], bled[:, :12], bled[:, -12:] = TOP, FOOT, LEFT, RIGHT
    return Photo(bled[12:-12, 12:-12], PASSPORT, bled, Edges(12, 12, 12, 12))


def test_every_trimmed_pixel_is_printed_as_without_bleed(tmp_path: Path) -> None:
    sheet = laid("3.5x5in", 2)
    bled = render_photo(STILL, CROP, PASSPORT, 600, bleed_mm=0.5)
    plain = Photo(bled.pixels, PASSPORT)
    pages = [page_of(sheet_pdf(sheet, [photo], STRIP), tmp_path, 600).astype(int) for photo in (bled, plain)]
    seen = 0
    for place in sheet.photos:
        x, y, right, foot = edges_px(place, 600)
        assert np.array_equal(pages[0][y:foot, x:right], pages[1][y:foot, x:right])
        seen += int((pages[0][y + 100, x - 11] < 250).all()) + int((pages[0][y + 100, right + 10] < 250).all())
    assert seen >= len(sheet.photos)


def test_each_side_bleeds_its_own_colour_for_half_a_millimetre(tmp_path: Path) -> None:
    sheet = laid("5x7in")
    page = page_of(sheet_pdf(sheet, [framed()], STRIP), tmp_path, 600)
    checked = set()
    for place in sheet.photos:
        x, y, right, foot = edges_px(place, 600)
        middle_x, middle_y = (x + right) // 2, (y + foot) // 2
        beside = page[middle_y, x - 6], page[y - 6, middle_x], page[middle_y, right + 6], page[foot + 6, middle_x]
        wanted = (FOOT, LEFT, TOP, RIGHT) if place.turned else (LEFT, TOP, RIGHT, FOOT)
        for side, (found, colour) in enumerate(zip(beside, wanted, strict=True)):
            if tuple(found) != (255, 255, 255):
                assert tuple(found) == colour
                checked.add((place.turned, side))
        assert tuple(page[middle_y, right + 14]) == (255, 255, 255)
    assert len(checked) >= 7


def test_a_laboratorys_file_bleeds_around_the_same_pixels() -> None:
    sheet = laid("5x7in")
    bled = render_photo(STILL, CROP, PASSPORT, 300, bleed_mm=0.5)
    plain = Photo(bled.pixels, PASSPORT)
    pages = [
        np.asarray(Image.open(BytesIO(lab_file(sheet, [photo], STRIP, "tiff").content))) for photo in (bled, plain)
    ]
    for place in sheet.photos:
        x, y, right, foot = edges_px(place, 300)
        assert np.array_equal(pages[0][y:foot, x:right], pages[1][y:foot, x:right])
        assert (pages[0][y + 50, right + 4] < 250).all()
        assert (pages[1][y + 50, right + 4] == 255).all()


def test_a_border_is_a_hairline_inside_the_trim_and_only_where_it_is_allowed(tmp_path: Path) -> None:
    sheet = laid("4x6in", 2)
    grey = np.full((1063, 827, 3), 170, np.uint8)
    pages = [
        page_of(sheet_pdf(sheet, [Photo(grey, PASSPORT, border=border)], STRIP), tmp_path, 600)[..., 0]
        for border in (True, False)
    ]
    for place in sheet.photos:
        rect = place.rect_mm
        row = round(rect.centre.y / 25.4 * 600)
        x = round(rect.x / 25.4 * 600)
        for page, has_border in zip(pages, (True, False), strict=True):
            line = page[row, x - 30 : x + 30]
            dark = np.flatnonzero(line < 120)
            assert (line[:29] == 255).all()
            if has_border:
                assert dark[0] * 25.4 / 600 == pytest.approx(30 * 25.4 / 600, abs=0.05)
                assert dark.size * 25.4 / 600 == pytest.approx(0.15, abs=0.05)
            else:
                assert dark.size == 0


@pytest.mark.parametrize("dpi", [300, 600])
def test_the_print_chains_own_renderer_puts_every_pixel_of_the_photo_in_its_place(dpi: int, tmp_path: Path) -> None:
    """Ghostscript is what CUPS draws PDF with; on whole pixels of the printer it has nothing to scale or to shift."""
    sheet = laid("5x7in")
    photo = render_photo(STILL, CROP, PASSPORT, dpi, bleed_mm=0.5)
    (tmp_path / "sheet.pdf").write_bytes(sheet_pdf(sheet, [photo], STRIP))
    device = ["-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=ppmraw", f"-r{dpi}", f"-sOutputFile={tmp_path / 'page.ppm'}"]
    subprocess.run(["gs", *device, tmp_path / "sheet.pdf"], check=True)
    page = np.asarray(Image.open(tmp_path / "page.ppm"))
    for place in sheet.photos:
        x, y, *_ = edges_px(place, dpi)
        wanted = np.rot90(photo.pixels, -1) if place.turned else photo.pixels
        height, width = wanted.shape[:2]
        assert np.array_equal(page[y : y + height, x : x + width], wanted)
