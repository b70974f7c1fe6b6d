"""HEIC as phones write it: turned, clear, one of several, wide, or too bright to be shown."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import ExifTags, Image

from kiosk.errors import UnreadablePhoto
from kiosk.vision.pictures.photo_file import read_photo
from tests.vision.photo_file.pictures import (
    BLUE,
    GREEN,
    HEIGHT,
    RED,
    WHITE,
    WIDTH,
    corners,
    encoded,
    quarters,
    wide_gamut_profile,
)

SITTERS = Path(__file__).parents[2] / "data" / "sitters" / "images"


def test_a_portrait_in_heic_is_nearly_the_jpeg_it_was_made_of(tmp_path: Path) -> None:
    """Colours at half the resolution, as phones write them; the loss is measured as PSNR (ITU-T J.340, from memory)."""
    sitter = next(iter(sorted(SITTERS.glob("*.jpg"))))
    path = tmp_path / "phone.heic"
    Image.open(sitter).save(path, "HEIF", quality=90, chroma=420)
    assert pillow_heif.open_heif(path).info["chroma"] == 420
    photo, original = read_photo(path), read_photo(sitter).rgb
    assert photo.format == "HEIF"
    assert photo.rgb.shape == original.shape
    error = float(((photo.rgb.astype(float) - original) ** 2).mean())
    assert 10 * np.log10(255**2 / error) > 35


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_a_turned_heic(tmp_path: Path, orientation: int) -> None:
    """The turn stands in the file's own irot box, and its EXIF orientation must not turn the picture once more."""
    stored = {3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}
    exif = Image.Exif()
    exif[274] = orientation
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = 50
    path = tmp_path / "turned.heic"
    quarters().transpose(stored[orientation]).save(path, "HEIF", quality=95, exif=exif.tobytes())
    photo = read_photo(path)
    assert photo.rgb.shape == (HEIGHT, WIDTH, 3)
    assert corners(photo.rgb) == [RED, GREEN, BLUE, WHITE]
    assert photo.focal_length_px == pytest.approx(50 / 43.267 * np.hypot(WIDTH, HEIGHT), rel=1e-4)


@pytest.mark.parametrize(("mode", "chroma"), [("L", 420), ("RGBA", 444), ("LA", 420)])
def test_grey_and_transparent_heic(tmp_path: Path, mode: str, chroma: int) -> None:
    image = Image.new("L", (WIDTH, HEIGHT), 0).convert(mode)
    if mode != "L":
        image.putalpha(Image.fromarray(np.repeat(np.uint8([[0], [255]]), HEIGHT // 2, axis=0).repeat(WIDTH, axis=1)))
    path = tmp_path / "clear.heic"
    image.save(path, "HEIF", quality=95, chroma=chroma)
    rgb = read_photo(path).rgb
    assert rgb[-5].max() <= 3
    assert (rgb[5].max() <= 3) if mode == "L" else (rgb[5].min() >= 252)


def test_the_primary_of_several_pictures_in_a_heic(tmp_path: Path) -> None:
    file = pillow_heif.from_pillow(Image.new("RGB", (WIDTH, HEIGHT), "black"))
    file.add_from_pillow(quarters())
    path = tmp_path / "burst.heic"
    file.save(path, quality=95, primary_index=1)
    assert corners(read_photo(path).rgb) == [RED, GREEN, BLUE, WHITE]


def test_a_wide_gamut_told_by_code_points_alone(tmp_path: Path) -> None:
    """Primaries of SMPTE EG 432-1 (code point 12 of ITU-T H.273, from memory), white D65: converted by hand."""
    d65 = (0.3127, 0.3290)

    def matrix(primaries: tuple[tuple[float, float], ...]) -> np.ndarray:
        xyz, white = (np.array([(x / y, 1.0, (1 - x - y) / y) for x, y in places]).T for places in (primaries, (d65,)))
        return xyz * np.linalg.solve(xyz, white[:, 0])

    code = np.array((100, 150, 100)) / 255
    srgb = matrix(((0.64, 0.33), (0.30, 0.60), (0.15, 0.06)))
    linear = np.linalg.solve(
        srgb, matrix(((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))) @ ((code + 0.055) / 1.055) ** 2.4
    )
    expected = 255 * (1.055 * linear ** (1 / 2.4) - 0.055)
    path = tmp_path / "wide.heic"
    image = Image.new("RGB", (WIDTH, HEIGHT), (100, 150, 100))
    image.save(path, "HEIF", quality=-1, chroma=444, color_primaries=12, transfer_characteristics=13)
    assert np.abs(read_photo(path).rgb[5, 5] - expected).max() <= 2
    image.save(path, "HEIF", quality=-1, chroma=444, icc_profile=wide_gamut_profile())
    turned = read_photo(path).rgb[5, 5]
    image.save(tmp_path / "wide.png", icc_profile=wide_gamut_profile())
    assert np.abs(turned.astype(int) - read_photo(tmp_path / "wide.png").rgb[5, 5]).max() <= 2


@pytest.mark.parametrize(("code", "name"), [(16, "PQ"), (18, "HLG")])
def test_a_high_dynamic_range_is_refused(tmp_path: Path, code: int, name: str) -> None:
    path = tmp_path / "hdr.heic"
    quarters().save(path, "HEIF", color_primaries=9, transfer_characteristics=code)
    with pytest.raises(UnreadablePhoto, match=name):
        read_photo(path)


@pytest.mark.parametrize("kept", [100, -3000])
def test_a_heic_cut_short_is_called_so(tmp_path: Path, kept: int) -> None:
    path = tmp_path / "cut.heic"
    path.write_bytes(encoded("HEIF")[:kept])
    with pytest.raises(UnreadablePhoto, match="damaged or cut short"):
        read_photo(path)


READ = """
import sys
from pathlib import Path
from kiosk.vision.pictures.photo_file import read_photo
print(read_photo(Path(sys.argv[1])).format, "pillow_heif" in sys.modules)
"""


@pytest.mark.parametrize(("kind", "said"), [("JPEG", "JPEG False"), ("HEIF", "HEIF True")])
def test_a_fresh_process_loads_the_library_for_heic_when_it_is_given_one(tmp_path, kind, said):
    path = tmp_path / "photo"
    path.write_bytes(encoded(kind))
    run = subprocess.run([sys.executable, "-c", READ, path], check=True, capture_output=True, text=True)
    assert run.stdout.strip() == said
