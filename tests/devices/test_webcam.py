from __future__ import annotations

import contextlib
import errno
import os
import struct
from typing import get_args

import cv2
import numpy as np
import pytest
import simplejpeg
from pydantic import ValidationError

from kiosk.devices.camera.driver import DamagedFrame, NotThere
from kiosk.devices.uvc.camera import SHOT_FRAMES, WebcamDriver
from kiosk.devices.uvc.controls import CONTROLS
from kiosk.devices.uvc.serial_number import device_of, serial_numbers
from kiosk.devices.uvc.video_node import VideoNode
from kiosk.errors import CameraFault, CameraSettingRefused
from kiosk.settings.cameras import Control, WebcamSettings


class FakeCapture:
    """A webcam of one size that shows the pictures it is given, then goes dark.

    It does what OpenCV 4.11 does over V4L2 (`modules/videoio/src/cap_v4l.cpp`): once it was set to MJPG and told not to
    convert, it hands over the JPEG in an array of one row, and else an array of pixels.
    """

    def __init__(self, frames, is_open=True):
        self.frames = list(frames)
        self.is_open = is_open
        self.asked = {}
        self.values = {cv2.CAP_PROP_CONVERT_RGB: 1.0, cv2.CAP_PROP_FPS: 30.0}
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
        return self.values.get(property_id, -1.0)

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


class Kernel:
    """What the kernel knows of one webcam; `ioctl` reads and writes the structures of `linux/videodev2.h`.

    Attributes
    ----------
    controls
        Its values by their identifiers.
    capabilities
        What its node can do: 0x1 to deliver pictures, 0x00800000 to deliver data about them.
    fault
        The error number of every request, 0 for none.
    taken
        Whether another program takes pictures: then the format stays (`vb2_is_busy`, `uvc_acquire_privileges`).
    """

    def __init__(self, controls=None, capabilities=0x1, fault=0, taken=False):
        self.controls = controls or {}
        self.capabilities, self.fault, self.taken = capabilities, fault, taken

    def ioctl(self, descriptor, request, structure):
        number, size = request & 0xFF, request >> 16 & 0x3FFF
        assert (request >> 8 & 0xFF, len(structure)) == (ord("V"), size)
        if self.fault or (number == 5 and self.taken):
            code = self.fault or errno.EBUSY
            raise OSError(code, os.strerror(code))
        if number == 0:
            struct.pack_into("<III", structure, 80, 0x060100, 0x84A00001, self.capabilities)
        elif number in (4, 5):
            assert struct.unpack_from("<I", structure)[0] == 1, "buffers of pictures"
        else:
            control, value = struct.unpack("<Ii", structure)
            if control not in self.controls:
                raise OSError(errno.EINVAL, "Invalid argument")
            if number == 28:
                self.controls[control] = value
            structure[:] = struct.pack("<Ii", control, self.controls[control])

    def node(self, path="/dev/null"):
        return VideoNode(path, self.ioctl)


def webcam_at(capture, kernel=None, source=0, **settings):
    """Return a driver whose webcam is a capture, and a kernel that knows it."""
    known = kernel or Kernel()
    return WebcamDriver(source, connect=lambda source: capture, node=lambda path: known.node(), **settings)


def opened(frames):
    """Return an open driver, and its capture, that next delivers `frames`."""
    capture = FakeCapture([frames[0]] * 100)
    driver = webcam_at(capture)
    model = driver.open()
    capture.frames = list(frames)
    return driver, capture, model


def noise(size, seed=0):
    return np.random.default_rng(seed).integers(0, 255, (*size, 3), dtype=np.uint8)


def test_it_asks_for_the_size_of_the_settings_and_names_what_came():
    driver, capture, model = opened([noise((1080, 1920))])
    assert (capture.asked[cv2.CAP_PROP_FRAME_WIDTH], capture.asked[cv2.CAP_PROP_FRAME_HEIGHT]) == (1920, 1080)
    assert model == "Webcam 0 (1920 x 1080)"
    assert not driver.simulated
    assert driver.frame_interval_s == 0


AUTOMATIC = {cv2.CAP_PROP_AUTO_EXPOSURE: 3.0, cv2.CAP_PROP_AUTO_WB: 1.0, cv2.CAP_PROP_AUTOFOCUS: 1.0}
"""As a webcam comes: aperture priority, the white balance and the focus by itself (V4L2 camera control reference)."""


def webcam(adjust, fixed=()):
    capture = FakeCapture([noise((48, 64))] * 100)
    capture.values |= AUTOMATIC
    capture.fixed |= set(fixed)
    return webcam_at(capture, adjust=adjust), capture


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
    assert capture.values[cv2.CAP_PROP_EXPOSURE] == capture.values[cv2.CAP_PROP_GAIN] == -1


def test_a_control_that_it_does_not_take_is_refused_with_the_value_that_it_keeps():
    driver, capture = webcam({"exposure": 250, "focus": 30}, fixed=[cv2.CAP_PROP_FOCUS])
    capture.values[cv2.CAP_PROP_FOCUS] = 0.0
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
    driver = webcam_at(capture)
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
    driver = webcam_at(capture)
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


def fault_of(driver):
    with pytest.raises(NotThere) as caught:
        driver.open()
    return str(caught.value)


def test_an_absent_a_taken_and_a_forbidden_webcam_are_told_apart(tmp_path):
    """Each with a real file in place of the device; OpenCV is not asked before the kernel, for it would wait."""
    capture = FakeCapture([noise((48, 64))] * 100)
    assert "no webcam is connected at /dev/video63" in fault_of(WebcamDriver(63))
    assert "another program uses the webcam" in fault_of(webcam_at(capture, Kernel(taken=True)))
    assert "may not open the webcam" in fault_of(webcam_at(capture, Kernel(fault=errno.EACCES)))
    assert "delivers no pictures" in fault_of(webcam_at(capture, Kernel(capabilities=0x00800000)))
    assert capture.asked == {}
    plain = tmp_path / "video0"
    plain.touch()
    assert f"{plain} is no webcam" in fault_of(WebcamDriver("/dev/" + os.path.relpath(plain, "/dev")))
    closed = FakeCapture([], is_open=False)
    assert "gives no pictures that this program can read" in fault_of(webcam_at(closed))


MAINS, EXPOSURE_AUTO, AUTOGAIN = 0x00980918, 0x009A0901, 0x00980912
AUTO_WHITE_BALANCE, FOCUS_AUTO = 0x0098090C, 0x009A090C
"""V4L2_CID_POWER_LINE_FREQUENCY and so on, `linux/v4l2-controls.h`."""


@pytest.mark.parametrize(("mains_hz", "value"), [(50, 1), (60, 2)])
def test_the_mains_against_whose_flicker_it_works_are_set_and_put_back(mains_hz, value):
    kernel = Kernel({MAINS: 3})
    driver = webcam_at(FakeCapture([noise((48, 64))] * 100), kernel, mains_hz=mains_hz)
    driver.open()
    assert kernel.controls[MAINS] == value
    driver.close()
    assert kernel.controls[MAINS] == 3
    without = webcam_at(FakeCapture([noise((48, 64))] * 100), Kernel(), mains_hz=mains_hz)
    with pytest.raises(CameraSettingRefused, match=r"mains_hz = '.0': it has no such setting"):
        without.open()


def test_what_it_changes_by_itself_is_reported():
    """V4L2: exposure 1 is manual and 3 is aperture priority; the other modes are on or off."""
    kernel = Kernel({EXPOSURE_AUTO: 3, AUTOGAIN: 1, AUTO_WHITE_BALANCE: 1, FOCUS_AUTO: 0})
    driver = webcam_at(FakeCapture([noise((48, 64))] * 100), kernel)
    assert driver.settings().automatic == ()
    driver.open()
    assert driver.settings().automatic == ("exposure", "gain", "white balance")
    kernel.controls |= {EXPOSURE_AUTO: 1, AUTOGAIN: 0, AUTO_WHITE_BALANCE: 0}
    assert driver.settings().automatic == ()


@pytest.mark.parametrize("controls", [{AUTOGAIN: 1}, {}])
def test_a_gain_that_is_given_is_no_longer_automatic_until_the_end(controls):
    kernel = Kernel(dict(controls))
    driver = webcam_at(FakeCapture([noise((48, 64))] * 100), kernel, adjust={"gain": 12.0})
    driver.open()
    assert kernel.controls == dict.fromkeys(controls, 0)
    assert driver.settings().automatic == ()
    driver.close()
    assert kernel.controls == controls


def test_a_rate_is_asked_for_and_refused_where_it_is_not_had():
    capture = FakeCapture([noise((48, 64))] * 200)
    webcam_at(capture, rate_hz=15).open()
    assert capture.values[cv2.CAP_PROP_FPS] == 15
    capture.fixed.add(cv2.CAP_PROP_FPS)
    with pytest.raises(CameraSettingRefused, match="at this size it delivers 15 pictures a second"):
        webcam_at(capture, rate_hz=60).open()


def usb_webcam(root, node, index, device, serial):
    """Lay out what the kernel shows of a node (`/sys/class/video4linux`, links included)."""
    interface = root / "devices" / device / f"{device}:1.0"
    place = interface / "video4linux" / node
    place.mkdir(parents=True)
    (place / "device").symlink_to("../..")
    (place / "index").write_text(f"{index}\n")
    (root / "devices" / device / "serial").write_text(f"{serial}\n")
    (root / "class").mkdir(exist_ok=True)
    (root / "class" / node).symlink_to(place)


def test_a_webcam_is_found_by_its_serial_number_wherever_it_is_plugged_in(tmp_path):
    usb_webcam(tmp_path, "video0", 0, "1-1", "AAAA0001")
    usb_webcam(tmp_path, "video1", 1, "1-1", "AAAA0001")
    usb_webcam(tmp_path, "video7", 0, "1-2", "BBBB0002")
    known = tmp_path / "class"
    assert serial_numbers(known) == {"AAAA0001": "/dev/video0", "BBBB0002": "/dev/video7"}
    assert device_of("BBBB0002", known) == "/dev/video7"
    with pytest.raises(NotThere, match="serial number CCCC is connected; connected are AAAA0001, BBBB0002"):
        device_of("CCCC", known)
    with pytest.raises(NotThere, match="no webcam with the serial number CCCC is connected"):
        WebcamDriver(0, serial="CCCC").open()


def test_a_webcam_is_named_once():
    with pytest.raises(ValidationError, match="not by both"):
        WebcamSettings(backend="uvc", device=1, serial="AAAA0001")
    assert WebcamSettings(backend="uvc", serial="AAAA0001", mains_hz=50).serial == "AAAA0001"


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
