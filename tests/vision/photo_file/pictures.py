"""Small pictures made for one property each, and a look at what a reader gives back."""

from __future__ import annotations

import io
import struct

import numpy as np
import pillow_heif
from PIL import Image

pillow_heif.register_heif_opener()

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


def noisy() -> Image.Image:
    return Image.fromarray(np.random.default_rng(0).integers(0, 256, (HEIGHT, WIDTH, 3), np.uint8))


def jpeg(image: Image.Image, **options: object) -> bytes:
    data = io.BytesIO()
    image.save(data, "JPEG", quality=95, **options)
    return data.getvalue()


def encoded(kind: str) -> bytes:
    data = io.BytesIO()
    noisy().save(data, kind)
    return data.getvalue()


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
