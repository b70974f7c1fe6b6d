from __future__ import annotations

import contextlib
from typing import get_args

import cv2
import numpy as np
import pytest
import simplejpeg

from kiosk.devices.camera.driver import DamagedFrame
from kiosk.devices.uvc.camera import SHOT_FRAMES, WebcamDriver
from kiosk.devices.uvc.controls import CONTROLS
from kiosk.errors import CameraFault, CameraSettingRefused
from kiosk.settings.cameras import Control


class FakeCapture:
    """A webcam of one size that shows the pictures it is given, then goes dark.

    It does what OpenCV 4.11 does over V4L2 (`modules/videoio/src/cap_v4l.cpp`): once it was set to MJPG and told not to
    convert, it hands over the JPEG in an array of one row, and else an array of pixels.
    """

    def __init__(self, frames, is_open=True):
        self.frames = list(frames)
        self.is_open = is_open
        self.asked = {}
        self.values = {cv2.CAP_PROP_CONVERT_RGB: 1.0}
        self.fixed = set()
        self.released = False

    def isOpened(self):  # noqa: N802
        return self.is_open

    def set(self, property_id, value):
        self.asked[property_id] = value
        if property_id not in self.fixed:
            self.values[property_id] = value
        return property_id not in self.fixed

    def get(self, property_id):
        return self.values.get(property_id, 0.0)

    def read(self):
        if not self.frames:
            return False, None
        frame = self.frames.pop(0)
        converts = self.values[cv2.CAP_PROP_CONVERT_RGB]
        if isinstance(frame, bytes):
            raw = np.frombuffer(frame, np.uint8)
            return True, cv2.imdecode(raw, cv2.IMREAD_COLOR) if converts else raw[None, :]
        return True, frame

    def release(self):
        self.released = True


def opened(frames):
    """Return an open driver, and its capture, that next delivers `frames`."""
    capture = FakeCapture([frames[0]] * 100)
    driver = WebcamDriver(0, connect=lambda source: capture)
    model = driver.open()
    capture.frames = list(frames)
    return driver, capture, model


def noise(size, seed=0):
    return np.random.default_rng(seed).integers(0, 255, (*size, 3), dtype=np.uint8)


def test_it_asks_for_more_than_any_webcam_has_and_tells_what_came():
    driver, capture, model = opened([noise((1080, 1920))])
    assert capture.asked[cv2.CAP_PROP_FRAME_WIDTH] > 4096
    assert model == "Webcam 0 (1920 x 1080)"
    assert not driver.simulated
    assert driver.frame_interval_s == 0


AUTOMATIC = {cv2.CAP_PROP_AUTO_EXPOSURE: 3.0, cv2.CAP_PROP_AUTO_WB: 1.0, cv2.CAP_PROP_AUTOFOCUS: 1.0}
"""As a webcam comes: aperture priority, the white balance and the focus by itself (V4L2 camera control reference)."""


def webcam(adjust, fixed=()):
    capture = FakeCapture([noise((48, 64))] * 100)
    capture.values |= AUTOMATIC
    capture.fixed |= set(fixed)
    return WebcamDriver(0, connect=lambda source: capture, adjust=adjust), capture


def test_its_controls_are_set_with_nothing_left_to_itself_and_put_back_at_the_end():
    driver, capture = webcam({"exposure": 250, "white_balance": 4600, "focus": 30, "gain": 2})
    driver.open()
    assert capture.values[cv2.CAP_PROP_AUTO_EXPOSURE] == 1  # V4L2_EXPOSURE_MANUAL
    assert capture.values[cv2.CAP_PROP_AUTO_WB] == capture.values[cv2.CAP_PROP_AUTOFOCUS] == 0
    set_to = [capture.values[number] for number in (cv2.CAP_PROP_EXPOSURE, cv2.CAP_PROP_WB_TEMPERATURE)]
    assert set_to == [250, 4600]
    driver.close()
    assert capture.released
    assert AUTOMATIC.items() <= capture.values.items()
    assert capture.values[cv2.CAP_PROP_EXPOSURE] == capture.values[cv2.CAP_PROP_GAIN] == 0


def test_a_control_that_it_does_not_take_is_refused_with_the_value_that_it_keeps():
    driver, capture = webcam({"exposure": 250, "focus": 30}, fixed=[cv2.CAP_PROP_FOCUS])
    with pytest.raises(CameraSettingRefused, match="cannot be set to focus = '30': it stays at 0"):
        driver.open()
    driver.close()
    assert AUTOMATIC.items() <= capture.values.items()


def test_a_webcam_that_is_left_alone_keeps_its_ways():
    driver, capture = webcam({})
    driver.open()
    assert not set(AUTOMATIC) & set(capture.asked)


def test_the_settings_know_the_controls_of_the_driver():
    assert set(get_args(Control)) == set(CONTROLS)


def test_a_live_frame_is_made_smaller_and_a_small_one_is_not_made_larger():
    driver, *_ = opened([noise((1080, 1920))])
    assert simplejpeg.decode_jpeg(driver.next_frame(), strict=True).shape == (720, 1280, 3)
    driver, *_ = opened([noise((480, 640))])
    assert simplejpeg.decode_jpeg(driver.next_frame(), strict=True).shape == (480, 640, 3)


@pytest.mark.parametrize("sharpest", range(SHOT_FRAMES))
def test_the_sharpest_of_some_frames_becomes_the_still(sharpest):
    sharp = cv2.GaussianBlur(noise((300, 400)), (0, 0), 2)
    frames = [cv2.GaussianBlur(sharp, (0, 0), 3)] * SHOT_FRAMES
    frames[sharpest] = sharp
    driver, *_ = opened(frames)
    still = simplejpeg.decode_jpeg(driver.shoot(), colorspace="BGR", strict=True)
    assert np.abs(still.astype(int) - sharp).mean() < 2


def jpegs(count, size=(480, 640)):
    """Return JPEGs that a webcam sends, each of another noise."""
    pictures = [cv2.GaussianBlur(noise(size, seed), (0, 0), 3) for seed in range(count)]
    return [simplejpeg.encode_jpeg(each, quality=80, colorspace="BGR", colorsubsampling="422") for each in pictures]


def broken(jpeg, seed):
    """Return a JPEG in whose data some bytes were lost on the way."""
    start = len(jpeg) // 3 + 97 * seed
    return jpeg[:start] + jpeg[start + 512 :]


def test_the_still_is_the_webcams_own_jpeg_byte_for_byte():
    frames = jpegs(SHOT_FRAMES)
    driver, capture, _ = opened(frames)
    assert driver.shoot() in frames
    assert capture.asked[cv2.CAP_PROP_CONVERT_RGB] == 0
    capture.frames = [frames[0] + bytes(4096)]
    assert driver.next_frame() == frames[0], "what fills the buffer up is not the picture's"


@pytest.mark.parametrize("place", range(SHOT_FRAMES))
def test_a_burst_never_prefers_a_damaged_picture(place):
    """OpenCV's decoder shows the remains, and their edges make them the sharpest."""
    frames = jpegs(SHOT_FRAMES + 4)
    damaged = [broken(frame, seed) for seed, frame in enumerate(frames[:4])]
    shown = cv2.imdecode(np.frombuffer(damaged[0], np.uint8), cv2.IMREAD_COLOR)
    assert shown is not None, "so a lenient decoder takes it"
    driver, capture, _ = opened(frames)
    capture.frames = frames[4:]
    capture.frames[place:place] = damaged
    assert driver.shoot() in frames[4:]


def test_one_damaged_picture_a_second_keeps_no_webcam_from_being_ready():
    frames = jpegs(2)
    capture = FakeCapture(([broken(frames[0], 1), *[frames[1]] * 29]) * 4)
    driver = WebcamDriver(0, connect=lambda source: capture)
    assert driver.open() == "Webcam 0 (640 x 480)"
    delivered = []
    while capture.frames:
        with contextlib.suppress(DamagedFrame):
            delivered.append(driver.next_frame())
    assert set(delivered) == {frames[1]}


def test_a_webcam_that_sends_nothing_but_damage_is_a_fault():
    frame = jpegs(1)[0]
    driver, capture, _ = opened([frame])
    capture.frames = [broken(frame, 1)] * 100
    with pytest.raises(CameraFault, match="damaged"):
        driver.shoot()


def test_a_webcam_without_jpeg_is_converted_by_opencv():
    picture = noise((48, 64))
    capture = FakeCapture([picture] * 100)
    capture.fixed.add(cv2.CAP_PROP_FOURCC)
    driver = WebcamDriver(0, connect=lambda source: capture)
    driver.open()
    assert capture.asked[cv2.CAP_PROP_CONVERT_RGB] == 1
    assert simplejpeg.decode_jpeg(driver.shoot()).shape == picture.shape


def test_a_webcam_that_goes_dark_is_a_fault():
    driver, capture, _ = opened([noise((48, 64))])
    driver.next_frame()
    with pytest.raises(CameraFault, match="no picture"):
        driver.next_frame()
    driver.close()
    driver.close()
    assert capture.released
    with pytest.raises(CameraFault, match="not open"):
        driver.next_frame()


def test_a_webcam_that_is_not_there_is_a_fault():
    with pytest.raises(CameraFault, match="no webcam opens at 5"):
        WebcamDriver(5, connect=lambda source: FakeCapture([], is_open=False)).open()


@pytest.mark.parametrize("address", ["http://192.0.2.1/video", "rtsp://192.0.2.1/", "udp://@:5000"])
def test_no_source_may_lie_in_the_network(address):
    with pytest.raises(CameraFault, match="address"):
        WebcamDriver(address).open()


def test_a_numbered_series_of_pictures_is_read_in_order_and_starts_again(tmp_path):
    for number, grey in enumerate((40, 120, 200)):
        cv2.imwrite(str(tmp_path / f"frame{number}.png"), np.full((80, 64, 3), grey, np.uint8))
    driver = WebcamDriver(str(tmp_path / "frame%d.png"))
    assert driver.open() == f"Recording {tmp_path}/frame%d.png (64 x 80)"
    assert driver.simulated
    greys = [round(simplejpeg.decode_jpeg(driver.next_frame()).mean()) for _ in range(6)]
    assert greys == pytest.approx([120, 200, 40, 120, 200, 40], abs=1)
    driver.close()
