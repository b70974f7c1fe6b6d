"""Scales read back from pictures of the calibration page that are turned, at a slant, blurred and noisy.

The page is the real one, rasterised by poppler at 600 dpi; a printer's error, the scanner and the camera are affine and
projective maps whose true scales are known in closed form.
"""

import subprocess

import cv2
import numpy as np
import pytest

from kiosk.core.base.geometry import Size
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.errors import UnreadableRuler
from kiosk.render.sheet.ruler import ruler_pdf
from kiosk.vision.targets.ruler_page import CARD_MM, scale_from_photo, scale_from_scan

PAGE_DPI = 600
PAPERS = ["4x6in", "10x15cm", "5x7in", "a4"]
TABLE = 120.0


def page_of(paper, folder):
    """Return a paper's ruler with its page as poppler draws it, grey."""
    ruler = ruler_for(medium(paper).size_mm, Margins())
    (folder / "ruler.pdf").write_bytes(ruler_pdf(ruler, ["photo printer", "2026-11-25"]))
    command = ["pdftoppm", "-r", str(PAGE_DPI), "-gray", "-singlefile", folder / "ruler.pdf", folder / "ruler"]
    subprocess.run(command, check=True)
    return ruler, cv2.imread(str(folder / "ruler.pgm"), cv2.IMREAD_GRAYSCALE)


def scanned(page, size_mm, scale, dpi, turn_deg, seed):
    """Return what a scanner sees of a page that was printed at a scale in x and y and lies turned."""
    turn, px_mm = np.deg2rad(turn_deg), dpi / 25.4
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    linear = px_mm * rotation @ np.diag(scale) * 25.4 / PAGE_DPI
    side = int(np.hypot(size_mm.width, size_mm.height) * px_mm * 1.1)
    middle = np.array([page.shape[1], page.shape[0]]) / 2
    matrix = np.column_stack([linear, side / 2 - linear @ middle])
    smooth = cv2.GaussianBlur(page, (0, 0), 0.5 * PAGE_DPI / dpi)
    seen = cv2.warpAffine(smooth, matrix, (side, side), flags=cv2.INTER_LINEAR, borderValue=TABLE)
    return noisy(seen, seed)


def noisy(picture, seed):
    noise = np.random.default_rng(seed).normal(0, 6, picture.shape)
    return np.clip(picture * 0.85 + 15 + noise, 0, 255).astype(np.uint8)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("scale", "turn_deg"), [((1.0, 1.0), 1.5), ((0.985, 1.002), -88.0), ((1.035, 1.02), 176.0)])
def test_the_scale_is_read_from_a_turned_noisy_scan_within_a_thousandth(tmp_path, paper, scale, turn_deg):
    ruler, page = page_of(paper, tmp_path)
    grey = scanned(page, ruler.page_mm, scale, 300, turn_deg, seed=7)
    found = scale_from_scan(grey, ruler, (300.0, 300.0))
    assert found.x.scale == pytest.approx(scale[0], rel=1e-3)
    assert found.y.scale == pytest.approx(scale[1], rel=1e-3)
    assert 0 < found.error - max(abs(found.x.scale - 1), abs(found.y.scale - 1)) < 2e-3


def photographed(page, size_mm, scale, card_turn_deg, seed):
    """Return a photo at a slant: the printed page on a table, and a pale card with round corners beside it."""
    px_mm = 12.0
    table = np.full((int((size_mm.height + 60) * px_mm), int((size_mm.width + 180) * px_mm)), TABLE, np.float32)
    printed = np.diag([scale[0], scale[1], 1.0]) * np.array([[25.4 / PAGE_DPI], [25.4 / PAGE_DPI], [1.0]])
    place = np.diag([px_mm, px_mm, 1.0]) @ np.array([[1, 0, 20], [0, 1, 20], [0, 0, 1.0]]) @ printed
    smooth = cv2.GaussianBlur(page, (0, 0), PAGE_DPI / 25.4 / px_mm / 2).astype(np.float32)
    cv2.warpPerspective(
        smooth, place, table.shape[::-1], table, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_TRANSPARENT
    )
    over, radius = 4, 3.18  # the corners of ISO/IEC 7810 ID-1
    high, wide = (round(side * px_mm * over) for side in (CARD_MM.height, CARD_MM.width))
    card, r = np.zeros((high, wide), np.float32), round(radius * px_mm * over)
    cv2.rectangle(card, (r, 0), (wide - r - 1, high - 1), 1.0, -1)
    cv2.rectangle(card, (0, r), (wide - 1, high - r - 1), 1.0, -1)
    for x in (r, wide - r - 1):
        for y in (r, high - r - 1):
            cv2.circle(card, (x, y), r, 1.0, -1)
    turn = np.deg2rad(card_turn_deg)
    linear = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]) / over
    centre = np.array([(size_mm.width + 100) * px_mm, 80 * px_mm])
    matrix = np.column_stack([linear, centre - linear @ ([wide / 2 - 0.5, high / 2 - 0.5])])
    mask = cv2.warpAffine(cv2.GaussianBlur(card, (0, 0), over / 2), matrix, table.shape[::-1], flags=cv2.INTER_LINEAR)
    table = table * (1 - mask) + 225 * mask
    high, wide = table.shape
    seen = np.float32([[60, 40], [wide - 90, 0], [wide - 20, high - 60], [0, high - 10]])
    slant = cv2.getPerspectiveTransform(np.float32([[0, 0], [wide, 0], [wide, high], [0, high]]), seen)
    return noisy(cv2.warpPerspective(table, slant, (wide, high), flags=cv2.INTER_LINEAR, borderValue=TABLE), seed)


@pytest.mark.parametrize(("scale", "turn_deg"), [((1.0, 1.0), 2.0), ((0.985, 1.01), 91.0), ((1.03, 1.02), -3.0)])
def test_the_scale_is_read_from_a_photo_beside_a_card(tmp_path, scale, turn_deg):
    ruler, page = page_of("4x6in", tmp_path)
    found = scale_from_photo(photographed(page, ruler.page_mm, scale, turn_deg, seed=3), ruler)
    assert found.x.scale == pytest.approx(scale[0], rel=1e-3)
    assert found.y.scale == pytest.approx(scale[1], rel=1e-3)


def test_a_card_that_lies_askew_is_refused_for_it_cannot_tell_x_from_y(tmp_path):
    ruler, page = page_of("4x6in", tmp_path)
    with pytest.raises(UnreadableRuler, match="askew"):
        scale_from_photo(photographed(page, ruler.page_mm, (1.0, 1.0), 43.0, seed=3), ruler)


def test_a_page_with_a_mark_missing_or_another_picture_is_refused(tmp_path):
    ruler, page = page_of("4x6in", tmp_path)
    x, y = (round(side / 25.4 * PAGE_DPI) for side in (ruler.marks[4].x, ruler.marks[4].y))
    cv2.circle(page, (x, y), 60, 255, -1)
    for grey in (page, np.full((800, 600), 255, np.uint8)):
        with pytest.raises(UnreadableRuler, match="12 round marks"):
            scale_from_scan(grey, ruler, (600.0, 600.0))


def test_a_scan_without_a_card_is_no_photo_beside_one(tmp_path):
    ruler, page = page_of("4x6in", tmp_path)
    with pytest.raises(UnreadableRuler, match="no card"):
        scale_from_photo(page, ruler)


def test_a_ruler_stays_within_the_margins_and_is_as_long_as_they_allow():
    ruler = ruler_for(Size(101.6, 152.4), Margins(3.18, 3.18, 3.18, 12.7))
    assert (ruler.frame_mm.width, ruler.frame_mm.height) == (90.0, 130.0)
    assert ruler.frame_mm.x - 2.5 >= 3.18
    assert ruler.frame_mm.bottom + 2.5 <= 152.4 - 12.7
    assert ruler_for(Size(54.0, 86.0), Margins(20.0, 3.0, 20.0, 3.0)) is None
