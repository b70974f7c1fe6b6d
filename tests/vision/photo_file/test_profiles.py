"""Every colour becomes sRGB by the profile that its file carries."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from kiosk.vision.pictures.photo_file import decode_still, read_photo
from tests.vision.photo_file.pictures import (
    ADOBE_RGB_PRIMARIES,
    BLUE,
    GREEN,
    HEIGHT,
    RED,
    WHITE,
    WIDTH,
    corners,
    noisy,
    quarters,
    wide_gamut_profile,
)


def test_embedded_profile_is_converted(tmp_path: Path) -> None:
    """A grey-green in the wide space, converted by hand with the matrices of both spaces."""
    code = np.array((100, 150, 100)) / 255
    d65 = np.array((0.9505, 1.0, 1.0890))

    def matrix(primaries: tuple[tuple[float, float], ...]) -> np.ndarray:
        xyz = np.array([(x / y, 1.0, (1 - x - y) / y) for x, y in primaries]).T
        return xyz * np.linalg.solve(xyz, d65)

    srgb = matrix(((0.64, 0.33), (0.30, 0.60), (0.15, 0.06)))
    linear = np.linalg.solve(srgb, matrix(ADOBE_RGB_PRIMARIES) @ code ** (563 / 256))
    expected = 255 * np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.clip(linear, 0, 1) ** (1 / 2.4) - 0.055)
    for kind in ("PNG", "JPEG", "TIFF"):
        path = tmp_path / kind
        options = {"quality": 100, "subsampling": 0} if kind == "JPEG" else {}
        Image.new("RGB", (WIDTH, HEIGHT), (100, 150, 100)).save(path, kind, icc_profile=wide_gamut_profile(), **options)
        assert np.abs(read_photo(path).rgb[5, 5] - expected).max() <= 2, kind
    assert np.abs(decode_still((tmp_path / "JPEG").read_bytes())[5, 5] - expected).max() <= 2


def test_a_still_in_srgb_is_not_touched() -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    tagged, bare = io.BytesIO(), io.BytesIO()
    noisy().save(tagged, "JPEG", icc_profile=profile)
    noisy().save(bare, "JPEG")
    assert (decode_still(tagged.getvalue()) == decode_still(bare.getvalue())).all()


def test_srgb_profile_changes_nothing(tmp_path: Path) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    path = tmp_path / "tagged.png"
    pixels = np.random.default_rng(1).integers(0, 256, (HEIGHT, WIDTH, 3), np.uint8)
    Image.fromarray(pixels).save(path, icc_profile=profile)
    assert np.abs(read_photo(path).rgb.astype(int) - pixels).max() <= 1


def test_broken_profile_counts_as_srgb(tmp_path: Path) -> None:
    path = tmp_path / "broken.png"
    quarters().save(path, icc_profile=b"not a profile" * 20)
    assert corners(read_photo(path).rgb) == [RED, GREEN, BLUE, WHITE]


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_broken_profile_is_remarked(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "broken"
    quarters().save(path, kind, icc_profile=b"no profile at all")
    photo = read_photo(path)
    assert corners(photo.rgb) == [RED, GREEN, BLUE, WHITE]
    assert photo.remarks == ("has a broken colour profile, and was taken to be in sRGB",)
