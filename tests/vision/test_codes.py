"""Codes of invitations in live pictures; written by segno and zxing-cpp, held up before the simulated camera."""

import pytest
import simplejpeg

from kiosk.devices.sim.camera import SimulatedDriver
from kiosk.devices.sim.scenario import Pose, Scenario
from kiosk.vision.models import codes
from kiosk.vision.models.codes import EVERY_S, CodeReader, read_codes
from tests.support.held_up import Held, code128, pasted, qr
from tests.support.manual_clock import ManualClock
from tests.support.pilot import SITTER

ID = "EV01234"


@pytest.fixture(scope="module")
def frame():
    driver = SimulatedDriver(SITTER, Scenario(arrives_s=0.0, begins=Pose()), ManualClock(1.0))
    driver.open()
    return simplejpeg.decode_jpeg(driver.next_frame(), "RGB")


def test_a_picture_without_a_code_says_nothing(frame):
    assert read_codes(frame) == read_codes(frame, turned=True) == ()


@pytest.mark.parametrize(
    "held",
    [Held(), Held(0.1), Held(0.3, roll_deg=33), Held(0.3, blur_px=2.5), Held(0.35, lean=0.4, roll_deg=-12), Held(0.9)],
    ids=["held well", "small", "turned", "blurred", "leaning", "near"],
)
def test_a_qr_code_is_read_however_it_is_held(frame, held):
    assert read_codes(pasted(frame, qr(ID), held)) == (ID,)


@pytest.mark.parametrize("roll_deg", range(0, 180, 15))
def test_bars_are_read_at_any_angle_within_two_reads(frame, roll_deg):
    picture = pasted(frame, code128(ID), Held(0.6, roll_deg=roll_deg))
    assert ID in read_codes(picture) + read_codes(picture, turned=True)


def test_letters_of_any_script_are_read(frame):
    assert read_codes(pasted(frame, qr("Έκδοση-٣"), Held(0.5))) == ("Έκδοση-٣",)


def test_pictures_are_read_now_and_then_and_a_code_stands_until_the_next_reading(frame, monkeypatch):
    reads = []
    monkeypatch.setattr(codes, "read_codes", lambda rgb, turned: reads.append(turned) or (ID,))
    reader = CodeReader()
    told = [reader.read(frame, 50.0 + number / 30) for number in range(31)]
    assert told == [(ID,)] * 31
    assert 1.0 / EVERY_S * 0.8 <= len(reads) <= 1.0 / EVERY_S + 1
    assert set(reads) == {False, True}
