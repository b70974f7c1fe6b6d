"""What is learned of a body's clock, and which pictures it tells from others; the times are made up."""

import io

import pytest
from PIL import Image

from kiosk.devices.camera.body_clock import ALWAYS_LATE_S, BodyClock, taken_s

AHEAD_S = 5000.0


@pytest.fixture
def clock():
    """Return a clock that is known from one picture, which arrived a second after it was taken."""
    clock = BodyClock(late_s=ALWAYS_LATE_S)
    assert not clock.is_older(1000.0 + AHEAD_S, 999.0, 1001.0)
    return clock


@pytest.mark.parametrize("late_s", [60.0, ALWAYS_LATE_S - 10.0])
def test_a_transfer_that_is_always_late_by_as_much_brings_nobodys_pictures(clock, late_s):
    for arrived_s in range(2000, 2100, 10):
        assert clock.is_older(arrived_s - late_s + AHEAD_S, arrived_s - 1.0, arrived_s)
    assert not clock.is_older(2100.0 + AHEAD_S, 2099.0, 2101.0)


@pytest.mark.parametrize(("late_s", "back_s"), [(ALWAYS_LATE_S, 3600.0), (0.0, 3600.0), (0.0, 6.0)])
def test_a_clock_that_was_set_back_is_known_by_its_third_picture(clock, late_s, back_s):
    """Further than its pictures may always be late."""
    clock.late_s, behind_s = late_s, AHEAD_S - back_s
    assert clock.is_older(2000.0 + behind_s, 1999.0, 2001.0)
    assert clock.is_older(2010.0 + behind_s, 2009.0, 2011.0)
    assert not clock.is_older(2020.0 + behind_s, 2019.0, 2021.0)
    assert clock.is_older(1990.0 + behind_s, 2029.0, 2030.0)


@pytest.mark.parametrize("apart_s", [0.0, 1.0])
def test_two_pictures_of_a_phone_that_was_away_for_long_are_nobodys(clock, apart_s):
    """They were taken some seconds apart, and come one right after the other."""
    assert clock.is_older(1000.0 + AHEAD_S, 4999.0, 5000.0)
    for _ in range(3):
        assert clock.is_older(1005.0 + AHEAD_S, 4999.0, 5000.0 + apart_s)


def test_a_clock_that_was_set_is_followed(clock):
    clock.follow(-3600.0)
    assert not clock.is_older(2000.0 + AHEAD_S - 3600.0, 1999.0, 2001.0)
    assert clock.is_older(1990.0 + AHEAD_S - 3600.0, 2009.0, 2010.0)


def test_others_pictures_tell_of_the_clock_too():
    clock = BodyClock()
    clock.learn(1000.0 + AHEAD_S, 1001.0)
    assert clock.is_older(1900.0 + AHEAD_S, 1999.0, 2000.0)


def test_a_header_that_names_a_huge_size_has_no_time():
    file = io.BytesIO()
    Image.new("RGB", (64, 64)).save(file, "JPEG")
    jpeg = file.getvalue()
    at = jpeg.index(b"\xff\xc0") + 5  # SOF0 (ITU-T T.81, B.2.2): marker, length, precision, height, width
    assert taken_s(jpeg[:at] + b"\xff" * 4 + jpeg[at + 4 :]) is None
