"""Files for laboratories and for uploads, opened by another reader than the writer's own code."""

from datetime import date
from io import BytesIO

import numpy as np
import pytest
from PIL import Image, ImageCms

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.document.upload import Upload
from kiosk.core.sheet.imposition import Margins, impose
from kiosk.core.sheet.media import medium
from kiosk.errors import TooFewPixels
from kiosk.render.sheet.lab_file import lab_dpi, lab_file
from kiosk.render.sheet.photo import Photo, render_photo
from kiosk.render.sheet.strip import SheetStrip
from kiosk.render.sheet.upload_file import QUALITY, upload_file
from tests.support.shipped import CATALOGUE

PASSPORT = Size(35.0, 45.0)
STRIP = SheetStrip(("de-passport-id",), date(2026, 11, 25))
UPLOADS = {document.id: document for document in CATALOGUE.all() if document.upload is not None}
XMP_MARK = b"http://ns.adobe.com/xap"


def still(width: int, height: int, grain: float = 4.0) -> np.ndarray:
    """Return a smooth picture with grain, as a camera's still of a plain scene."""
    y, x = np.mgrid[0:height, 0:width]
    smooth = np.stack([60 + 120 * x / width, 60 + 120 * y / height, np.full(x.shape, 140.0)], axis=-1)
    return (smooth + np.random.default_rng(1).normal(0, grain, smooth.shape)).clip(0, 255).astype(np.uint8)


STILL = still(1500, 2000)


@pytest.fixture(scope="module")
def photo() -> Photo:
    return render_photo(STILL, Rect(50, 60, 1400, 1800), PASSPORT, 300)


@pytest.mark.parametrize(
    ("paper", "size_px"), [("4x6in", (1200, 1800)), ("10x15cm", (1181, 1772)), ("hagaki", (1181, 1748))]
)
@pytest.mark.parametrize("form", ["jpeg", "tiff"])
def test_a_lab_file_has_the_papers_exact_pixels_and_says_so(
    photo: Photo, paper: str, size_px: tuple[int, int], form: str
) -> None:
    sheet = impose(medium(paper), PASSPORT, Margins())
    made = lab_file(sheet, [photo], STRIP, form)
    with Image.open(BytesIO(made.content)) as picture:
        assert (picture.format, picture.mode, picture.size) == (form.upper(), "RGB", size_px)
        assert [float(each) for each in picture.info["dpi"]] == [300.0, 300.0]
        profile = ImageCms.ImageCmsProfile(BytesIO(picture.info["icc_profile"]))
        words = picture.info["comment"].decode() if form == "jpeg" else picture.tag_v2[270]
    assert "sRGB" in ImageCms.getProfileDescription(profile)
    assert words == made.instruction
    assert f"{size_px[0]} x {size_px[1]} px at 300 px per inch" in words
    assert "without resizing" in words
    assert words.endswith("The bar must measure 50 mm.")


def test_a_laboratory_is_told_of_no_bar_where_none_has_room() -> None:
    square = Size(50.8, 50.8)
    full = impose(medium("4x6in"), square, Margins(0, 0, 0, 0), 0)
    photo = render_photo(STILL, Rect(50, 60, 1400, 1400), square, 300)
    assert "bar" not in lab_file(full, [photo], STRIP, "tiff").instruction


def test_a_laboratorys_file_is_as_fine_as_its_documents_need() -> None:
    assert lab_dpi([0.0, 250.0]) == 300
    assert lab_dpi([300.0, 600.0]) == 600


def test_photos_in_a_lab_file_are_kept_pixel_for_pixel(photo: Photo) -> None:
    sheet = impose(medium("5x7in"), PASSPORT, Margins())
    page = np.asarray(Image.open(BytesIO(lab_file(sheet, [photo], STRIP, "tiff").content)))
    assert {place.turned for place in sheet.photos} == {True, False}
    for place in sheet.photos:
        x, y = round(place.x_mm / 25.4 * 300), round(place.y_mm / 25.4 * 300)
        expected = photo.pixels.transpose(1, 0, 2)[:, ::-1] if place.turned else photo.pixels
        height, width = expected.shape[:2]
        assert (width, height) == ((531, 413) if place.turned else (413, 531))
        assert np.array_equal(page[y : y + height, x : x + width], expected)


def test_a_photo_of_other_pixels_is_not_scaled_a_second_time(photo: Photo) -> None:
    sheet = impose(medium("4x6in"), PASSPORT, Margins())
    with pytest.raises(ValueError, match="pixel for pixel"):
        lab_file(sheet, [photo], STRIP, "jpeg", dpi=600)


def test_a_simulated_lab_file_says_so(photo: Photo) -> None:
    sheet = impose(medium("4x6in"), PASSPORT, Margins())
    real = lab_file(sheet, [photo], STRIP, "tiff").content
    assert real == lab_file(sheet, [photo], STRIP, "tiff").content
    pages = [
        np.asarray(Image.open(BytesIO(each)))
        for each in (
            real,
            lab_file(sheet, [photo], SheetStrip(("de-passport-id",), date(2026, 11, 25), True), "tiff").content,
        )
    ]
    assert (pages[0] != pages[1]).any(axis=2).sum() > 300


@pytest.mark.parametrize("name", sorted(UPLOADS))
def test_every_documents_upload_lies_in_its_windows(name: str) -> None:
    document = UPLOADS[name]
    frame, rule = document.upload.frame_mm, document.upload.pixels
    scale = min(1400 / frame.width, 1900 / frame.height)
    crop = Rect(20.5, 31.25, frame.width * scale, frame.height * scale)
    file = upload_file(STILL, crop, document.upload, document=name, path="a.jpg")
    assert file is not None
    with Image.open(BytesIO(file.jpeg)) as picture:
        width, height = picture.size
        assert picture.format == "JPEG"
        assert picture.mode == "RGB"
        assert "progressive" not in picture.info
        assert "sRGB" in ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(BytesIO(picture.info["icc_profile"])))
        assert not picture.getexif()
    assert (width, height) == (file.width_px, file.height_px)
    assert rule.min_width <= width <= min(rule.max_width or width, crop.width + 1e-6)
    assert rule.min_height <= height <= min(rule.max_height or height, crop.height + 1e-6)
    if rule.aspect:
        assert width * rule.aspect[1] == height * rule.aspect[0]
    window = document.upload.file
    if window is not None:
        assert window.min_bytes <= len(file.jpeg) <= window.max_bytes
    if document.upload.compression is not None:
        assert width * height * 3 / len(file.jpeg) <= document.upload.compression.max
    assert file.quality in QUALITY


def rules(**tables: object) -> Upload:
    read = {"source": ["somewhere"], "evidence": "practice", "read_on": "2026-11-25"}
    return Upload.model_validate({key: {**table, **read} for key, table in tables.items()})


def test_quality_is_the_best_the_window_takes() -> None:
    pixels = {"min_width": 600, "min_height": 600, "max_width": 600, "max_height": 600}
    sizes = []
    for most in (60_000, 90_000, 130_000):
        upload = rules(pixels=pixels, file={"max_bytes": most})
        file = upload_file(STILL, Rect(0, 0, 900, 900), upload, document="x", path="a.jpg")
        assert file is not None
        sizes.append((file.quality, len(file.jpeg)))
        assert len(file.jpeg) <= most
    assert sizes == sorted(sizes)
    assert sizes[0][0] < sizes[-1][0]


def test_a_picture_shrinks_before_its_quality_falls_too_low() -> None:
    upload = rules(pixels={"min_width": 300, "min_height": 300}, file={"max_bytes": 60_000})
    file = upload_file(still(1000, 1000, 12.0), Rect(0, 0, 1000, 1000), upload, document="x", path="a.jpg")
    assert file is not None
    assert 300 <= file.width_px < 1000
    assert len(file.jpeg) <= 60_000


def test_windows_that_nothing_meets_give_no_file() -> None:
    flat = np.full((400, 400, 3), 200, np.uint8)
    crop, pixels = Rect(0, 0, 400, 400), {"min_width": 300, "min_height": 300}
    too_plain = rules(pixels=pixels, file={"min_bytes": 50_000, "max_bytes": 90_000})
    assert upload_file(flat, crop, too_plain, document="x", path="a.jpg") is None
    too_tight = rules(pixels=pixels, file={"max_bytes": 5_000})
    assert upload_file(still(400, 400, 20.0), crop, too_tight, document="x", path="a.jpg") is None


def test_an_upload_is_never_enlarged() -> None:
    upload = UPLOADS["us-visa-digital"].upload
    with pytest.raises(TooFewPixels, match=r"a\.jpg gives 299 pixels per inch .* us-visa-digital needs 300"):
        upload_file(STILL, Rect(0, 0, 599, 599), upload, document="us-visa-digital", path="a.jpg")


def test_nothing_of_the_still_but_pixels_reaches_the_file() -> None:
    upload = UPLOADS["us-visa-digital"].upload
    file = upload_file(STILL, Rect(0, 0, 1300, 1300), upload, document="us-visa-digital", path="secret-name.jpg")
    assert file is not None
    segments = file.jpeg[: file.jpeg.index(b"\xff\xda")]
    assert b"Exif" not in segments
    assert XMP_MARK not in segments
    assert b"secret" not in file.jpeg
    assert file == upload_file(STILL, Rect(0, 0, 1300, 1300), upload, document="us-visa-digital", path="other.jpg")
