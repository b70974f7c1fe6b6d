"""A sheet fitted to a printer: measured in what poppler makes of it."""

import io
import subprocess

import cv2
import numpy as np
import pikepdf
import pytest

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.print_scale.scale import Axis, Counter, Scale
from kiosk.devices.cups.fitted import fit_sheet
from kiosk.errors import PrinterFault
from kiosk.render.drawing.pdf import PdfPage

PAGE = Size(101.6, 152.4)
PHOTO = Rect(25.43, 31.27, 35.0, 45.0)


def sheet(size=PAGE):
    page = PdfPage(size)
    page.draw_picture(page.add_picture(np.zeros((1063, 827, 3), np.uint8)), PHOTO)
    return page.finish()


def box_px(pdf, folder, dpi=600):
    """Return left, top, right and bottom of what is black."""
    (folder / "sheet.pdf").write_bytes(pdf)
    command = ["pdftoppm", "-r", str(dpi), "-gray", "-singlefile", folder / "sheet.pdf", folder / "sheet"]
    subprocess.run(command, check=True)
    dark = cv2.imread(str(folder / "sheet.pgm"), cv2.IMREAD_GRAYSCALE) < 128
    rows, columns = np.flatnonzero(dark.any(axis=1)), np.flatnonzero(dark.any(axis=0))
    return columns[0], rows[0], columns[-1] + 1, rows[-1] + 1


def test_a_photo_between_pixels_covers_whole_ones_and_keeps_its_size(tmp_path):
    left, top, right, bottom = box_px(fit_sheet(sheet(), PAGE, Counter(), (600, 600)), tmp_path)
    assert (right - left, bottom - top) == (round(35 / 25.4 * 600), round(45 / 25.4 * 600))
    assert abs(left - PHOTO.x / 25.4 * 600) <= 0.5
    assert abs(top - PHOTO.y / 25.4 * 600) <= 0.5


@pytest.mark.parametrize("printer", [Scale(Axis(1.015, 0, 0.4), Axis(0.99, 0, -0.6)), Scale(Axis(0.97), Axis(1.03))])
def test_what_is_sent_comes_out_true_on_a_printer_of_that_scale(tmp_path, printer):
    left, top, right, bottom = box_px(fit_sheet(sheet(), PAGE, printer.counter(PAGE), (600, 600)), tmp_path)
    x, y = printer.x, printer.y
    out = [(PAGE.width / 2 + x.scale * (px / 600 * 25.4 - PAGE.width / 2) + (x.offset_mm or 0)) for px in (left, right)]
    down = [
        (PAGE.height / 2 + y.scale * (px / 600 * 25.4 - PAGE.height / 2) + (y.offset_mm or 0)) for px in (top, bottom)
    ]
    assert out == pytest.approx([PHOTO.x, PHOTO.right], abs=0.05)
    assert down == pytest.approx([PHOTO.y, PHOTO.bottom], abs=0.05)


def test_a_page_is_widened_about_its_middle_to_a_medium_in_whole_points(tmp_path):
    # 100 x 150 mm is 283 x 425 points in many drivers.
    points = Size(283 / 72 * 25.4, 425 / 72 * 25.4)
    fitted = fit_sheet(sheet(Size(100, 150)), points, Counter(), (600, 600))
    with pikepdf.open(io.BytesIO(fitted)) as pdf:
        assert [float(edge) for edge in pdf.pages[0].mediabox] == pytest.approx([0, 0, 283, 425], abs=1e-4)
    left, top, right, bottom = box_px(fitted, tmp_path)
    assert (right - left, bottom - top) == (round(35 / 25.4 * 600), round(45 / 25.4 * 600))
    assert left / 600 * 25.4 == pytest.approx(PHOTO.x + (points.width - 100) / 2, abs=0.03)
    assert top / 600 * 25.4 == pytest.approx(PHOTO.y + (points.height - 150) / 2, abs=0.03)


def test_a_sheet_lies_in_the_middle_of_a_page_that_is_printed_over_its_edges(tmp_path):
    page = Size(105.6, 162.4)
    left, top, right, bottom = box_px(fit_sheet(sheet(), page, Counter(), (600, 600), sheet_mm=PAGE), tmp_path)
    assert (right - left, bottom - top) == (round(35 / 25.4 * 600), round(45 / 25.4 * 600))
    assert left / 600 * 25.4 == pytest.approx(PHOTO.x + 2.0, abs=0.03)
    assert top / 600 * 25.4 == pytest.approx(PHOTO.y + 5.0, abs=0.03)
    with pytest.raises(PrinterFault, match=r"the paper 100\.0 x 148\.0 mm"):
        fit_sheet(sheet(), page, Counter(), (600, 600), sheet_mm=Size(100, 148))


def test_another_size_or_no_single_page_is_refused():
    with pytest.raises(PrinterFault, match=r"the sheet is 101\.6 x 152\.4 mm and the paper 105\.0 x 148\.0 mm"):
        fit_sheet(sheet(), Size(105, 148), Counter(), (600, 600))
    with pytest.raises(PrinterFault, match="no PDF"):
        fit_sheet(b"%PNG", PAGE, Counter(), (600, 600))
