"""Which stills pass as undamaged: the same as by decoding all of them at full size (libjpeg-turbo, strict)."""

import io
import random
import struct

import numpy as np
import pytest
import simplejpeg
from PIL import Image

from kiosk.devices.camera.driver import verified_still
from kiosk.errors import CameraFault

DATA_FROM = 640
"""Behind the tables of such a picture."""


@pytest.fixture(scope="module", params=["baseline", "progressive"])
def still(request):
    noise = np.random.default_rng(3).integers(0, 40, (300, 400, 3), np.uint8)
    slope = np.linspace(0, 200, 400, dtype=np.uint8)[None, :, None]
    file = io.BytesIO()
    Image.fromarray(slope + noise).save(file, "JPEG", quality=90, progressive=request.param == "progressive")
    return file.getvalue()


def decodes(jpeg):
    try:
        simplejpeg.decode_jpeg(jpeg, strict=True)
    except ValueError:
        return False
    return True


def passes(jpeg):
    try:
        return verified_still(jpeg) == jpeg
    except CameraFault:
        return False


def cut(jpeg, chance):
    return jpeg[: chance.randrange(DATA_FROM, len(jpeg))]


def flipped(jpeg, chance):
    at = chance.randrange(DATA_FROM, len(jpeg))
    return jpeg[:at] + bytes([jpeg[at] ^ 1 << chance.randrange(8)]) + jpeg[at + 1 :]


def left_out(jpeg, chance):
    at = chance.randrange(DATA_FROM, len(jpeg) - 400)
    return jpeg[:at] + jpeg[at + chance.randrange(1, 400) :]


def zeroed(jpeg, chance):
    at, length = chance.randrange(DATA_FROM, len(jpeg) - 400), chance.randrange(1, 400)
    return jpeg[:at] + bytes(length) + jpeg[at + length :]


@pytest.mark.parametrize("damage", [cut, flipped, left_out, zeroed])
def test_damage_is_found_where_decoding_it_all_finds_it(still, damage):
    chance, found = random.Random(damage.__name__), 0
    assert passes(still)
    for _ in range(150):
        damaged = damage(still, chance)
        assert passes(damaged) == decodes(damaged)
        found += not passes(damaged)
    assert found > 10


def test_a_header_that_names_a_huge_size_is_refused_before_it_is_decoded(still):
    at = max(still.find(b"\xff\xc0"), still.find(b"\xff\xc2")) + 5  # SOF0, SOF2 (ITU-T T.81, B.2.2): the size
    assert not passes(still[:at] + struct.pack(">HH", 65535, 65535) + still[at + 4 :])
