"""Files as users have them become upright pictures of eight bits a channel, whatever wrote them."""

from __future__ import annotations

import struct
import warnings
import zlib
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import ExifTags, Image

from kiosk.vision.pictures.photo_file import decode_still, read_photo, still_focal_length_px
from tests.vision.photo_file.pictures import BLUE, GREEN, HEIGHT, RED, WHITE, WIDTH, corners, jpeg, noisy, quarters


@pytest.mark.parametrize(
    ("orientation", "stored"),
    [
        # EXIF 2.32, tag 274: which side of the stored picture the upright row 0 and column 0 are (from memory). Each
        # picture here is stored so that a correct reader gets the four quarters back.
        (1, lambda image: image),
        (2, lambda image: image.transpose(Image.Transpose.FLIP_LEFT_RIGHT)),
        (3, lambda image: image.transpose(Image.Transpose.ROTATE_180)),
        (4, lambda image: image.transpose(Image.Transpose.FLIP_TOP_BOTTOM)),
        (5, lambda image: image.transpose(Image.Transpose.TRANSPOSE)),
        (6, lambda image: image.transpose(Image.Transpose.ROTATE_90)),
        (7, lambda image: image.transpose(Image.Transpose.TRANSVERSE)),
        (8, lambda image: image.transpose(Image.Transpose.ROTATE_270)),
    ],
)
def test_orientation(tmp_path: Path, orientation: int, stored) -> None:
    exif = Image.Exif()
    exif[274] = orientation
    data = jpeg(stored(quarters()), exif=exif)
    path = tmp_path / "turned.jpg"
    path.write_bytes(data)
    for rgb in (read_photo(path).rgb, decode_still(data)):
        assert rgb.shape == (HEIGHT, WIDTH, 3)
        assert corners(rgb) == [RED, GREEN, BLUE, WHITE]
        assert rgb.flags.c_contiguous


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP", "BMP", "HEIF"])
def test_formats(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "no_useful_name"
    quarters().save(path, kind)
    photo = read_photo(path)
    assert photo.format == kind
    assert photo.size_bytes == path.stat().st_size
    assert photo.rgb.dtype == np.uint8
    assert corners(photo.rgb) == [RED, GREEN, BLUE, WHITE]


@pytest.mark.parametrize(("mode", "kind"), [("L", "JPEG"), ("L", "PNG"), ("1", "PNG"), ("LA", "PNG")])
def test_grey(tmp_path: Path, mode: str, kind: str) -> None:
    path = tmp_path / "grey"
    Image.new("L", (WIDTH, HEIGHT), 255).convert(mode).save(path, kind)
    assert (read_photo(path).rgb == 255).all()


def test_palette(tmp_path: Path) -> None:
    path = tmp_path / "palette.png"
    quarters().quantize(4).save(path)
    assert corners(read_photo(path).rgb) == [RED, GREEN, BLUE, WHITE]


def test_cmyk(tmp_path: Path) -> None:
    path = tmp_path / "cmyk.jpg"
    quarters().convert("CMYK").save(path, "JPEG", quality=95)
    assert corners(read_photo(path).rgb) == [RED, GREEN, BLUE, WHITE]


def test_cmyk_and_lab_in_a_tiff(tmp_path: Path) -> None:
    """L* 50 is a grey of code 118.9 (IEC 61966-2-1 of Y = 0.1842, computed by hand)."""
    path = tmp_path / "print.tif"
    quarters().convert("CMYK").save(path)
    assert corners(read_photo(path).rgb) == [RED, GREEN, BLUE, WHITE]
    Image.new("LAB", (WIDTH, HEIGHT), (round(50 * 2.55), 128, 128)).save(path)
    assert np.abs(read_photo(path).rgb[0, 0].astype(int) - 119).max() <= 1


@pytest.mark.parametrize("alpha", [False, True])
@pytest.mark.parametrize("kind", ["png", "tif"])
def test_sixteen_bits_a_channel_by_another_writer(tmp_path: Path, kind: str, alpha: bool) -> None:
    """Written by OpenCV, whose order is blue first."""
    deep = np.zeros((HEIGHT, WIDTH, 3 + alpha), np.uint16)
    deep[..., 1:3] = 32768, 65535
    if alpha:
        deep[: HEIGHT // 2, :, 3] = 65535
    path = tmp_path / f"deep.{kind}"
    cv2.imwrite(str(path), deep)
    rgb = read_photo(path).rgb
    assert rgb[0, 0].tolist() == [255, 128, 0]
    assert rgb[-1, 0].tolist() == ([255, 255, 255] if alpha else [255, 128, 0])


def test_sixteen_bits(tmp_path: Path) -> None:
    ramp = np.tile(np.linspace(0, 65535, WIDTH).astype(np.uint16), (HEIGHT, 1))
    path = tmp_path / "deep.png"
    Image.fromarray(ramp).save(path)
    expected = np.round(ramp / 257).astype(int)
    assert np.abs(read_photo(path).rgb[..., 0].astype(int) - expected).max() <= 1


def test_sixteen_bit_colour(tmp_path: Path) -> None:
    """A 16-bit RGB PNG written by hand from ISO/IEC 15948 (from memory): Pillow writes none."""
    row = b"\0" + struct.pack(">HHH", 65535, 32768, 0) * WIDTH

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", WIDTH, HEIGHT, 16, 2, 0, 0, 0)
    path = tmp_path / "deep_colour.png"
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(row * HEIGHT))
        + chunk(b"IEND", b"")
    )
    assert read_photo(path).rgb[0, 0].tolist() == [255, 128, 0]


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "TIFF"])
def test_transparency_shows_white(tmp_path: Path, kind: str) -> None:
    image = quarters()
    image.putalpha(Image.fromarray(np.repeat(np.uint8([[0], [255]]), HEIGHT // 2, axis=0).repeat(WIDTH, axis=1)))
    path = tmp_path / "clear"
    image.save(path, kind, **({"lossless": True} if kind == "WEBP" else {}))
    photo = read_photo(path)
    assert corners(photo.rgb) == [WHITE, WHITE, BLUE, WHITE]
    assert photo.remarks == ("has transparent parts, which were filled with white",)


def test_an_opaque_picture_with_alpha_needs_no_remark(tmp_path: Path) -> None:
    path = tmp_path / "opaque.png"
    quarters().convert("RGBA").save(path)
    assert read_photo(path).remarks == ()


@pytest.mark.parametrize("kind", ["TIFF", "WEBP", "PNG"])
def test_of_several_pictures_the_first_is_read_and_named(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "pages"
    blank = Image.new("RGB", (WIDTH, HEIGHT), "white")
    options = {"lossless": True} if kind == "WEBP" else {}
    quarters().save(path, kind, save_all=True, append_images=[blank], **options)
    photo = read_photo(path)
    assert corners(photo.rgb) == [RED, GREEN, BLUE, WHITE]
    assert photo.remarks == ("holds 2 pictures, of which the first one was used",)


def test_the_focal_length_that_a_camera_wrote(tmp_path: Path) -> None:
    """50 mm on 36 x 24 mm, whose diagonal is 43.27 mm: 1.156 diagonals of any picture."""
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = 50
    path = tmp_path / "50mm.jpg"
    noisy().save(path, exif=exif)
    expected = 50 / 43.267 * np.hypot(WIDTH, HEIGHT)
    assert read_photo(path).focal_length_px == pytest.approx(expected, rel=1e-4)
    assert still_focal_length_px(path.read_bytes()) == pytest.approx(expected, rel=1e-4)
    assert still_focal_length_px(jpeg(quarters())) is None


def test_bytes_after_the_end_of_a_jpeg_do_no_harm() -> None:
    assert corners(decode_still(jpeg(quarters()) + bytes(64))) == [RED, GREEN, BLUE, WHITE]


def test_one_hundred_megapixels_are_opened(tmp_path: Path) -> None:
    """Pillow by itself warns at 89 megapixels; a medium-format still must pass in silence."""
    path = tmp_path / "large.png"
    Image.new("1", (11_000, 9_500)).save(path)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert read_photo(path).rgb.shape == (9_500, 11_000, 3)
