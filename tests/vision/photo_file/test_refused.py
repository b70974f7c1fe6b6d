"""Files that are damaged, cut short, too small, too large or no picture at all are refused in words."""

from __future__ import annotations

import os
import struct
import warnings
import zlib
from pathlib import Path

import pytest
from PIL import Image

from kiosk.core.base.picture_size import MAX_MEGAPIXELS
from kiosk.errors import NoPhotoFile, PhotoSizeRefused, UnreadablePhoto
from kiosk.vision.pictures.photo_file import decode_still, read_photo
from tests.vision.photo_file.pictures import HEIGHT, WIDTH, encoded


def with_hole(data: bytes, start: int, length: int) -> bytes:
    return data[:start] + bytes(length) + data[start + length :]


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


def test_a_second_page_without_a_width_is_damage(tmp_path: Path) -> None:
    """Tag 256 of TIFF 6.0, section 8, is required; Pillow asks for it only when it counts the pages."""
    path = tmp_path / "scan.tif"
    page = Image.new("RGB", (120, 120))
    page.save(path, save_all=True, append_images=[page])
    data = bytearray(path.read_bytes())
    width = data.rindex(struct.pack("<HHI", 256, 4, 1))
    data[width : width + 2] = struct.pack("<H", 254)
    path.write_bytes(data)
    with pytest.raises(UnreadablePhoto, match="damaged or cut short"):
        read_photo(path)


def test_the_camera_sends_jpeg_and_nothing_else() -> None:
    with pytest.raises(UnreadablePhoto, match="no JPEG"):
        decode_still(encoded("PNG"))


def test_missing_file_and_folder(tmp_path: Path) -> None:
    with pytest.raises(UnreadablePhoto, match="no such file"):
        read_photo(tmp_path / "nothing.jpg")
    with pytest.raises(UnreadablePhoto):
        read_photo(tmp_path)


@pytest.mark.parametrize("name", ["pipe", "/dev/zero"])
def test_what_never_ends_is_not_opened(tmp_path: Path, name: str) -> None:
    """A pipe without a writer blocks whoever opens it (fifo(7)), and /dev/zero gives zeros for ever (zero(4))."""
    path = tmp_path / name
    if not path.exists():
        os.mkfifo(path)
    with pytest.raises(NoPhotoFile, match="no file"):
        read_photo(path)


def test_a_file_that_no_picture_fills_is_not_read(tmp_path: Path) -> None:
    """A sparse file takes no room on the disk; its 20 GB would take 20 GB of memory."""
    path = tmp_path / "padded.jpg"
    path.write_bytes(encoded("JPEG"))
    os.truncate(path, 20_000_000_000)
    with pytest.raises(UnreadablePhoto, match="20,000 MB, and at most 768 MB"):
        read_photo(path)


def test_a_missing_photo_is_not_asked_to_be_complete(tmp_path: Path) -> None:
    with pytest.raises(NoPhotoFile) as caught:
        read_photo(tmp_path / "nothing.jpg")
    assert "Check the name" in caught.value.advice


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
