"""One crop, scaled once, never enlarged."""

import numpy as np
import pytest

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.bleed import NO_EDGES, Edges
from kiosk.errors import TooFewPixels
from kiosk.render.sheet.photo import check_pixels, crop_dpi, render_photo

PASSPORT = Size(35.0, 45.0)


def lanczos_weights(start: float, length: float, pixels_out: int, pixels_in: int) -> np.ndarray:
    """Return the weights of a three-lobed Lanczos filter stretched to the scale, rows summing to 1.

    Written from the formula, sinc(x) sinc(x / 3) for |x| < 3, at the centres of the pixels.
    """
    scale = length / pixels_out
    centres = start + (np.arange(pixels_out) + 0.5) * scale
    x = (np.arange(pixels_in)[None, :] + 0.5 - centres[:, None]) / max(scale, 1.0)
    weights = np.where(np.abs(x) < 3, np.sinc(x) * np.sinc(x / 3), 0.0)
    return weights / weights.sum(axis=1, keepdims=True)


@pytest.mark.parametrize(
    ("crop", "size_mm", "dpi", "size_px"),
    [
        (Rect(0, 0, 1200, 1542.9), Size(35, 45), 600, (827, 1063)),
        (Rect(0, 0, 1200, 1542.9), Size(35, 45), 300, (413, 531)),
        (Rect(0, 0, 1500, 1500), Size(50.8, 50.8), 600, (1200, 1200)),
        (Rect(0, 0, 1400, 1750), Size(40, 50), 600, (945, 1181)),
        (Rect(3, 3, 700.9, 901.2), Size(35, 45), 600, (700, 901)),
    ],
)
def test_the_print_size_in_pixels(crop: Rect, size_mm: Size, dpi: float, size_px: tuple[int, int]) -> None:
    photo = render_photo(np.zeros((1800, 1600, 3), np.uint8), crop, size_mm, dpi)
    assert (photo.width_px, photo.height_px) == size_px
    assert photo.dpi == pytest.approx(
        [px / mm * 25.4 for px, mm in zip(size_px, (size_mm.width, size_mm.height), strict=True)]
    )


def test_a_photo_is_never_enlarged() -> None:
    photo = render_photo(np.zeros((400, 400, 3), np.uint8), Rect(10.4, 20.2, 311.1, 400 - 20.2), PASSPORT)
    assert photo.width_px <= 311
    assert photo.height_px <= 379


def test_resampling_agrees_with_the_filters_formula() -> None:
    rng = np.random.default_rng(7)
    still = np.kron(rng.integers(60, 196, (30, 22, 3)), np.ones((8, 8, 1))).astype(np.uint8)
    crop = Rect(17.3, 21.8, 116.6, 149.9)
    photo = render_photo(still, crop, Size(7.0, 9.0), dpi=200)
    down = lanczos_weights(crop.y, crop.height, photo.height_px, still.shape[0])
    across = lanczos_weights(crop.x, crop.width, photo.width_px, still.shape[1])
    expected = np.einsum("yi,xj,ijc->yxc", down, across, still.astype(float), optimize=True)
    assert (photo.width_px, photo.height_px) == (55, 71)
    assert np.abs(photo.pixels - expected).max() < 1.6


def test_the_crops_edges_fall_between_pixels_where_they_must() -> None:
    ramp = np.broadcast_to((np.arange(256, dtype=np.uint8))[None, :, None], (128, 256, 3)).copy()
    crop = Rect(40.25, 10, 150.5, 96.75)
    photo = render_photo(ramp, crop, Size(35, 22.5), dpi=36)
    centres = crop.x + (np.arange(photo.width_px) + 0.5) * crop.width / photo.width_px
    assert np.abs(photo.pixels[20, :, 0] - (centres - 0.5)).max() <= 0.75


def test_detail_finer_than_the_print_turns_grey_and_not_to_moire() -> None:
    stripes = (127.5 + 120 * np.sin(2 * np.pi * np.arange(900) / 2.6))[None, :, None]
    still = np.broadcast_to(stripes.round().astype(np.uint8), (300, 900, 3)).copy()
    photo = render_photo(still, Rect(30, 30, 840, 240), Size(35, 10), dpi=210)
    assert still.std() > 80
    assert photo.pixels.std() < 1.0


def test_equal_crops_are_equal_and_the_pixels_are_kept() -> None:
    still = np.random.default_rng(3).integers(0, 256, (90, 70, 3), dtype=np.uint8)
    whole = Rect(0, 0, 70, 90)
    photo = render_photo(still, whole, PASSPORT)
    assert np.array_equal(photo.pixels, still)
    assert not photo.pixels.flags.writeable


def test_too_few_pixels_are_refused_with_the_numbers() -> None:
    crop = Rect(0, 0, 826, 1063)
    assert crop_dpi(crop, PASSPORT) == pytest.approx(599.44, abs=0.01)
    check_pixels(crop, PASSPORT, 599.4, path="a.jpg", document="de-passport-id")
    with pytest.raises(TooFewPixels, match=r"a\.jpg gives 599 pixels per inch at print size; de-passport-id needs 600"):
        check_pixels(crop, PASSPORT, 600.0, path="a.jpg", document="de-passport-id")


@pytest.mark.parametrize("dpi", [300.0, 600.0])
def test_bleed_is_whole_pixels_and_leaves_the_photo_as_it_was(dpi: float) -> None:
    still = np.random.default_rng(3).integers(0, 256, (2000, 1600, 3), dtype=np.uint8)
    crop = Rect(100.3, 201.7, 1260.5, 1260.5 * 45 / 35)
    plain, bled = render_photo(still, crop, PASSPORT, dpi), render_photo(still, crop, PASSPORT, dpi, bleed_mm=0.5)
    assert np.abs(plain.pixels.astype(int) - bled.pixels).max() <= 1  # Pillow takes the frame in single precision
    assert set(bled.bleed_px) == {12 if dpi == 600 else 6}
    assert 0.5 <= bled.bleed_mm.width < 0.5 + bled.pitch_mm.width
    edge = bled.bleed_px.left
    assert bled.bled.shape == (bled.height_px + 2 * edge, bled.width_px + 2 * edge, 3)
    assert np.array_equal(bled.bled[edge:-edge, edge:-edge], bled.pixels)
    assert not bled.bled.flags.writeable
    assert not bled.pixels.flags.writeable


def test_a_still_that_ends_at_the_frame_gives_no_bleed_there() -> None:
    still = np.zeros((1400, 1600, 3), np.uint8)
    beside = render_photo(still, Rect(200, 1400 - 1285, 1000, 1285), PASSPORT, bleed_mm=0.5)
    assert (beside.bleed_px.left > 0, beside.bleed_px.bottom) == (True, 0)
    whole = render_photo(still, Rect(0, 0, 1600, 1400), Size(40, 35), bleed_mm=0.5)
    assert (whole.bleed_px, whole.bled) == (NO_EDGES, None)
    assert render_photo(still, Rect(200, 50, 1000, 1285), PASSPORT).bleed_px == Edges(0, 0, 0, 0)
