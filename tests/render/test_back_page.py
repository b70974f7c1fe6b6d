"""The back page: behind each photo what its authority wants there, seen by an independent reader."""

import subprocess
from datetime import date
from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from kiosk.core.base.geometry import Size
from kiosk.core.sheet.back_side import Back, mirrored
from kiosk.core.sheet.imposition import Margins, Medium, PhotoCopies, Sheet, impose
from kiosk.core.sheet.media import medium
from kiosk.core.sheet.mixed_imposition import impose_several
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.photo import Photo
from kiosk.render.sheet.strip import SheetStrip

CANADA, PASSPORT = Size(50.0, 70.0), Size(35.0, 45.0)
STRIP = SheetStrip(("ca-passport",), date(2026, 11, 25))
STUDIO = Back("The Paper Lantern, 12 Sample Street, Anytown", ("date",))
DPI = 150


def grey(size_mm: Size) -> Photo:
    return Photo(np.full((round(size_mm.height * 4), round(size_mm.width * 4), 3), 128, np.uint8), size_mm)


def pages(pdf: bytes, folder: Path) -> list[np.ndarray]:
    (folder / "sheet.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-gray", "-r", str(DPI), folder / "sheet.pdf", folder / "page"], check=True)
    return [np.asarray(Image.open(path)) for path in sorted(folder.glob("page-*.pgm"))]


@pytest.mark.parametrize("size", [Size(127.0, 177.8), Size(177.8, 127.0)])
def test_turning_over_the_long_edge_brings_each_back_behind_its_photo(size: Size) -> None:
    """A point at x on an upright sheet lies at width - x from behind; on a level one it is the height that turns."""
    sheet = impose(Medium("custom", "custom", size), PASSPORT, Margins(3, 4, 7, 9), 2.0)
    for front, back in zip(sheet.photos, mirrored(sheet).photos, strict=True):
        if size.height > size.width:
            assert back.rect_mm.centre.x == pytest.approx(size.width - front.rect_mm.centre.x)
            assert back.y_mm == front.y_mm
        else:
            assert back.rect_mm.centre.y == pytest.approx(size.height - front.rect_mm.centre.y)
            assert back.x_mm == front.x_mm
    again = mirrored(mirrored(sheet))
    assert [photo.rect_mm.centre.x for photo in again.photos] == pytest.approx(
        [photo.rect_mm.centre.x for photo in sheet.photos]
    )


def ink_in(page: np.ndarray, sheet: Sheet, item: int) -> list[bool]:
    return [
        bool(
            (
                page[
                    round(place.y_mm / 25.4 * DPI) : round(place.rect_mm.bottom / 25.4 * DPI),
                    round(place.x_mm / 25.4 * DPI) : round(place.rect_mm.right / 25.4 * DPI),
                ]
                < 128
            ).any()
        )
        for place in mirrored(sheet).photos
        if place.item == item
    ]


def test_only_the_photos_that_need_it_have_a_back(tmp_path: Path) -> None:
    sheet = impose_several(medium("a4"), [PhotoCopies(CANADA, 3), PhotoCopies(PASSPORT, 3)], Margins(3, 3, 30, 3))
    front, back = pages(sheet_pdf(sheet, [grey(CANADA), grey(PASSPORT)], STRIP, [STUDIO, None]), tmp_path)
    assert front.shape == back.shape
    assert ink_in(back, sheet, 0) == [True] * 3
    assert ink_in(back, sheet, 1) == [False] * 3
    behind = [(place.rect_mm.x, place.rect_mm.right) for place in mirrored(sheet).photos]
    assert [(place.rect_mm.x, place.rect_mm.right) for place in sheet.photos] != behind


def test_words_keep_clear_of_the_cut(tmp_path: Path) -> None:
    sheet = impose(medium("5x7in"), CANADA, Margins())
    _, back = pages(sheet_pdf(sheet, [grey(CANADA)], STRIP, [STUDIO]), tmp_path)
    for place in mirrored(sheet).photos:
        rect = place.rect_mm
        x0, x1 = (round(x / 25.4 * DPI) for x in (rect.x, rect.right))
        y0, y1 = (round(y / 25.4 * DPI) for y in (rect.y, rect.bottom))
        ink_y, ink_x = np.nonzero(back[y0:y1, x0:x1] < 128)
        edge = 2.7 / 25.4 * DPI
        assert ink_x.min() > edge
        assert ink_x.max() < x1 - x0 - edge
        assert ink_y.max() < y1 - y0 - edge


def test_the_file_asks_for_both_sides_over_the_long_edge() -> None:
    """ISO 32000-1, table 150."""
    sheet = impose(medium("5x7in"), CANADA, Margins())
    with pikepdf.open(BytesIO(sheet_pdf(sheet, [grey(CANADA)], STRIP, [STUDIO]))) as pdf:
        assert len(pdf.pages) == 2
        assert pdf.Root.ViewerPreferences.Duplex == "/DuplexFlipLongEdge"
        assert pdf.pages[0].MediaBox == pdf.pages[1].MediaBox
    with pikepdf.open(BytesIO(sheet_pdf(sheet, [grey(CANADA)], STRIP))) as pdf:
        assert len(pdf.pages) == 1
        assert "/Duplex" not in pdf.Root.ViewerPreferences
