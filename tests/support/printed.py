"""What a printer received, decoded and measured: a page of PWG raster (PWG 5102.4), PDF or JPEG."""

from __future__ import annotations

import subprocess
import tempfile
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image
from pypdf import PdfReader

PDF_DPI = 1200
_SYNC, _HEADER_BYTES = b"RaS2", 1796
_DPI_AT, _WIDTH_AT, _HEIGHT_AT, _BITS_AT, _LINE_AT = 276, 372, 376, 388, 392


@dataclass(frozen=True)
class Printed:
    """A page as the printer would put it on paper: sRGB of shape (height, width, 3), and its resolution."""

    pixels: npt.NDArray[np.uint8]
    dpi: int

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the page."""
        height, width = self.pixels.shape[:2]
        return width / self.dpi * 25.4, height / self.dpi * 25.4

    def box_mm(self, colour: tuple[int, int, int], tolerance: int = 24) -> tuple[float, float, float, float]:
        """Return left, top, width and height of all that has about one colour."""
        low, high = ([max(0, min(255, one + by)) for one in colour] for by in (-tolerance, tolerance))
        near = cv2.inRange(self.pixels, np.array(low), np.array(high)) > 0
        rows, columns = np.flatnonzero(near.any(axis=1)), np.flatnonzero(near.any(axis=0))
        assert rows.size, "nothing of that colour was received"
        px_mm = 25.4 / self.dpi
        left, right, top, bottom = columns[0], columns[-1] + 1, rows[0], rows[-1] + 1
        return left * px_mm, top * px_mm, (right - left) * px_mm, (bottom - top) * px_mm


def read_page(path: Path) -> Printed:
    """Return the first page of what a printer received, by the ending that its file was given.

    A PDF is drawn by poppler at 1200 dpi; a JPEG lies on paper by its own resolution tags.
    """
    if path.suffix == ".pwg":
        return read_pwg(path)
    if path.suffix == ".jpg":
        with Image.open(path) as picture:
            return Printed(np.asarray(picture.convert("RGB")), round(picture.info["dpi"][0]))
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder) / "page"
        subprocess.run(["pdftoppm", "-r", str(PDF_DPI), "-singlefile", path, page], check=True)
        return Printed(cv2.cvtColor(cv2.imread(f"{page}.ppm"), cv2.COLOR_BGR2RGB), PDF_DPI)


def stands_in(pdf: bytes, row: str) -> bool:
    """Return whether a row of words stands on a PDF's first page, as pypdf reads its text."""
    return row in " ".join(PdfReader(BytesIO(pdf)).pages[0].extract_text().split())


def read_pwg(path: Path) -> Printed:
    """Return the first page: a header of big-endian words, then lines packed by repeats of lines and of pixels."""
    data = path.read_bytes()
    assert data[:4] == _SYNC
    header = data[4 : 4 + _HEADER_BYTES]
    dpi, width, height, bits, line = (
        int.from_bytes(header[at : at + 4], "big") for at in (_DPI_AT, _WIDTH_AT, _HEIGHT_AT, _BITS_AT, _LINE_AT)
    )
    size = bits // 8
    page = np.empty((height, line), np.uint8)
    at, y = 4 + _HEADER_BYTES, 0
    while y < height:
        repeats, at = data[at] + 1, at + 1
        row = bytearray()
        while len(row) < line:
            code, at = data[at], at + 1
            alike = code < 128
            count = code + 1 if alike else 257 - code
            row += data[at : at + size] * count if alike else data[at : at + size * count]
            at += size if alike else size * count
        page[y : y + repeats] = np.frombuffer(bytes(row), np.uint8)
        y += repeats
    pixels = page[:, : width * size].reshape(height, width, size)
    return Printed(np.repeat(pixels, 3, axis=2) if size == 1 else pixels, dpi)
