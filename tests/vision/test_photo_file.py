"""Files as users have them: what they become, and how the bad ones are refused."""

from __future__ import annotations

import io
import struct
import warnings
import zlib
from pathlib import Path

import cv2
import numpy as np
import pillow_heif
import pytest
from PIL import ExifTags, Image, ImageCms

from kiosk.errors import PhotoSizeRefused, UnreadablePhoto
from kiosk.vision.photo_file import MAX_MEGAPIXELS, decode_still, read_photo, still_focal_length_px

SITTERS = Path(__file__).parents[1] / "data" / "sitters" / "images"
WIDTH, HEIGHT = 120, 96
RED, GREEN, BLUE, WHITE = (255, 0, 0), (0, 255, 0), (0, 0, 255), (255, 255, 255)
ADOBE_RGB_PRIMARIES = ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06))
"""Adobe RGB (1998) Color Image Encoding, 4.3.1.2, from memory."""


def quarters() -> Image.Image:
    """Four colours: upper left red, upper right green, lower left blue, lower right white."""
    picture = np.empty((HEIGHT, WIDTH, 3), np.uint8)
    picture[: HEIGHT // 2, : WIDTH // 2] = RED
    picture[: HEIGHT // 2, WIDTH // 2 :] = GREEN
    picture[HEIGHT // 2 :, : WIDTH // 2] = BLUE
    picture[HEIGHT // 2 :, WIDTH // 2 :] = WHITE
    return Image.fromarray(picture)


def corners(rgb: np.ndarray) -> list[tuple[int, ...]]:
    """Return the colours at the middle of each quarter, row by row, rounded to full or none."""
    height, width = rgb.shape[:2]
    places = [(y, x) for y in (height // 4, height * 3 // 4) for x in (width // 4, width * 3 // 4)]
    return [tuple(int(v) for v in np.round(rgb[place] / 255.0) * 255) for place in places]


def jpeg(image: Image.Image, **options: object) -> bytes:
    data = io.BytesIO()
    image.save(data, "JPEG", quality=95, **options)
    return data.getvalue()


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
    assert corners(read_photo(path).rgb) == [WHITE, WHITE, BLUE, WHITE]


def wide_gamut_profile() -> bytes:
    """Return a matrix profile with Adobe RGB primaries and gamma 563/256, built by hand (ICC.1:2010, from memory)."""
    d65 = np.array((0.9505, 1.0, 1.0890))
    xyz = np.array([(x / y, 1.0, (1 - x - y) / y) for x, y in ADOBE_RGB_PRIMARIES]).T
    xyz = xyz * np.linalg.solve(xyz, d65)
    bradford = np.array(((0.8951, 0.2664, -0.1614), (-0.7502, 1.7135, 0.0367), (0.0389, -0.0685, 1.0296)))
    d50 = np.array((0.9642, 1.0, 0.8249))
    adapt = np.linalg.solve(bradford, np.diag(bradford @ d50 / (bradford @ d65)) @ bradford)
    columns = (adapt @ xyz).T

    def number(value: float) -> bytes:
        return struct.pack(">i", round(value * 65536))

    def text(kind: bytes, value: bytes) -> bytes:
        return kind + bytes(4) + value

    tags = {
        b"desc": text(b"desc", struct.pack(">I", 5) + b"wide\0" + bytes(78)),
        b"cprt": text(b"text", b"none\0"),
        b"wtpt": text(b"XYZ ", b"".join(map(number, d50))),
        **{
            name: text(b"XYZ ", b"".join(map(number, column)))
            for name, column in zip((b"rXYZ", b"gXYZ", b"bXYZ"), columns, strict=True)
        },
        **{name: text(b"curv", struct.pack(">IH", 1, 563)) for name in (b"rTRC", b"gTRC", b"bTRC")},
    }
    table, body, offset = b"", b"", 128 + 4 + 12 * len(tags)
    for name, value in tags.items():
        padded = value + bytes(-len(value) % 4)
        table += name + struct.pack(">II", offset + len(body), len(value))
        body += padded
    head = struct.pack(">I4sI4s4s4s", 0, bytes(4), 0x02100000, b"mntr", b"RGB ", b"XYZ ") + bytes(12) + b"acsp"
    head += bytes(28) + b"".join(map(number, d50)) + bytes(48)
    whole = head + struct.pack(">I", len(tags)) + table + body
    return struct.pack(">I", len(whole)) + whole[4:]


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


def noisy() -> Image.Image:
    return Image.fromarray(np.random.default_rng(0).integers(0, 256, (HEIGHT, WIDTH, 3), np.uint8))


def encoded(kind: str) -> bytes:
    data = io.BytesIO()
    noisy().save(data, kind)
    return data.getvalue()


def with_hole(data: bytes, start: int, length: int) -> bytes:
    return data[:start] + bytes(length) + data[start + length :]


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


BAD = {
    "empty": b"",
    "text": b"I am no picture.\n" * 50,
    "only a JPEG's first bytes": b"\xff\xd8\xff\xe0",
    "JPEG cut in the middle": encoded("JPEG")[:-2000],
    "JPEG without its last bytes": encoded("JPEG")[:-2],
    "JPEG with holes": with_hole(encoded("JPEG"), 3000, 400),
    "PNG cut in the middle": encoded("PNG")[:-2000],
    "PNG with a wrong checksum": with_hole(encoded("PNG"), 1000, 4),
    "TIFF cut in the middle": encoded("TIFF")[: WIDTH * HEIGHT],
    "WebP cut in the middle": encoded("WEBP")[:1000],
    "HEIC cut in the middle": encoded("HEIF")[:-3000],
    "HEIC without its last bytes": encoded("HEIF")[:-2],
    "only a HEIC's first bytes": encoded("HEIF")[:100],
    "a GIF": encoded("GIF"),
    "a PDF": b"%PDF-1.7\n%%EOF\n",
}


@pytest.mark.parametrize("name", BAD)
def test_bad_files_are_refused(tmp_path: Path, name: str) -> None:
    path = tmp_path / "photo.jpg"
    path.write_bytes(BAD[name])
    with pytest.raises(UnreadablePhoto) as caught:
        read_photo(path)
    assert str(path) in str(caught.value)
    with pytest.raises(UnreadablePhoto):
        decode_still(BAD[name])


def test_the_camera_sends_jpeg_and_nothing_else() -> None:
    with pytest.raises(UnreadablePhoto, match="no JPEG"):
        decode_still(encoded("PNG"))


def test_bytes_after_the_end_of_a_jpeg_do_no_harm() -> None:
    assert corners(decode_still(jpeg(quarters()) + bytes(64))) == [RED, GREEN, BLUE, WHITE]


def test_missing_file_and_folder(tmp_path: Path) -> None:
    with pytest.raises(UnreadablePhoto, match="no such file"):
        read_photo(tmp_path / "nothing.jpg")
    with pytest.raises(UnreadablePhoto):
        read_photo(tmp_path)


def test_tiny_picture(tmp_path: Path) -> None:
    path = tmp_path / "dot.png"
    Image.new("RGB", (1, 1)).save(path)
    with pytest.raises(PhotoSizeRefused) as caught:
        read_photo(path)
    assert caught.value.params["width_px"] == 1


@pytest.mark.parametrize(("width", "height"), [(12_000, 10_001), (60_000, 60_000)])
def test_huge_picture_is_refused_from_its_header(tmp_path: Path, width: int, height: int) -> None:
    """A PNG of which only the header exists: nothing can have been decoded."""
    body = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    header = struct.pack(">I", 13) + body + struct.pack(">I", zlib.crc32(body))
    path = tmp_path / "huge.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + header + struct.pack(">I", 1) + b"IDAT" + b"\0")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with pytest.raises(PhotoSizeRefused, match=f"at most {MAX_MEGAPIXELS} megapixels"):
            read_photo(path)


def test_one_hundred_megapixels_are_opened(tmp_path: Path) -> None:
    """Pillow by itself warns at 89 megapixels; a medium-format still must pass in silence."""
    path = tmp_path / "large.png"
    Image.new("1", (11_000, 9_500)).save(path)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert read_photo(path).rgb.shape == (9_500, 11_000, 3)
