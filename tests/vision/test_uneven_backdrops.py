"""Backdrops behind people: those of photo-like portraits, labelled by eye, and one whose lamp the reference knows.

The portraits show people who do not exist (tests/data/nobody/README.md).
"""

from __future__ import annotations

import csv
import tomllib
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from kiosk.vision.live import LiveVision
from kiosk.vision.pictures.arrays import Rgb, resized
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision
from kiosk.vision.targets.backdrop import measure_backdrop

ROOT = Path(__file__).parents[2]
NOBODY = ROOT / "tests" / "data" / "nobody"
SITTER = ROOT / "tests" / "data" / "sitters" / "images" / "ok_000.jpg"
LIMIT = tomllib.loads((ROOT / "specs" / "capture.toml").read_text())["background_uniformity"]["max"]

UNEVENLY_LIT = {"f44.jpg": "a shadow on the shoulder", "m12.jpg": "a shadow at the neck", "m0.jpg": "half in the dark"}
NEARLY_PLAIN = {"f24.jpg", "f46.jpg"}
"""Walls with small stains, and with a fall-off: on the limit."""


def labelled(plain: str) -> list[str]:
    with (NOBODY / "labels.csv").open() as file:
        rows = [row for row in csv.DictReader(file) if row["plain_background"] == plain]
    return [row["photo"] for row in rows if row["photo"] not in NEARLY_PLAIN]


def unevenness(vision: StillVision, picture: Rgb) -> float:
    value = vision.measure(picture).measurements["background_uniformity"].value
    assert value is not None
    return value


@pytest.mark.parametrize("name", labelled("1"))
def test_a_plain_backdrop_is_even_where_its_light_is(still: StillVision, name: str) -> None:
    assert (unevenness(still, read_photo(NOBODY / name).rgb) <= LIMIT) == (name not in UNEVENLY_LIT)


@pytest.mark.parametrize("name", labelled("0"))
def test_a_backdrop_with_things_on_it_is_not_even(still: StillVision, name: str) -> None:
    assert unevenness(still, read_photo(NOBODY / name).rgb) > LIMIT


def test_a_lamp_that_the_reference_knows_is_no_defect_in_the_still_nor_live(still: StillVision) -> None:
    """A bell of light at the upper left, two thirds brighter than the rest: no fall-off of second order."""
    sitter = read_photo(SITTER).rgb
    height, width = sitter.shape[:2]
    y, x = np.mgrid[:height, :width]
    lamp = 0.6 + 0.4 * np.exp(-((x / width) ** 2 + (y / width - 0.1) ** 2) / 0.4**2)[..., None]
    lit, empty = ((lamp * picture).round().astype(np.uint8) for picture in (sitter, np.median(sitter[:60], (0, 1))))
    reference = measure_backdrop(empty, date(2026, 3, 1))
    live_picture = resized(lit, 600, 800)
    with LiveVision() as unknowing, LiveVision(reference) as knowing, StillVision(reference) as told:
        seen = [vision.observe(live_picture).measurements for vision in (unknowing, knowing)]
        assert unevenness(still, lit) > LIMIT > unevenness(told, lit)
    assert seen[0]["background_uniformity"].value > LIMIT > seen[1]["background_uniformity"].value
