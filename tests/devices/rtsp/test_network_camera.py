"""A network camera that lies, fails and sends the booth elsewhere: a responder of our own on this machine."""

from __future__ import annotations

import contextlib
import socket
import time
from concurrent.futures import ThreadPoolExecutor

import cv2
import numpy as np
import pytest
import simplejpeg

from kiosk.devices.camera.driver import DamagedFrame, NotThere
from kiosk.devices.rtsp.camera import NetworkCameraDriver
from kiosk.devices.rtsp.gate import MOST_WAITING
from kiosk.devices.uvc.camera import WebcamDriver
from kiosk.errors import CameraFault
from tests.rtsp.relay import Relay
from tests.rtsp.responder import Responder, number_of, picture

USER, PASSWORD = "booth", "p:a@s/s%"


@contextlib.contextmanager
def camera(user="", password="", latency_s=0.0, **habits):
    """Yield a responder and a driver for it, not open."""
    responder = Responder(**habits)
    driver = NetworkCameraDriver(responder.address, user, password, latency_s=latency_s)
    try:
        yield responder, driver
    finally:
        driver.close()
        responder.close()


def refusal(driver, kind=CameraFault):
    with pytest.raises(kind) as caught:
        driver.open()
    return caught.value


def test_the_still_is_the_cameras_own_jpeg_byte_for_byte():
    with camera() as (_, driver):
        assert driver.open() == "Network camera 127.0.0.1 (640 x 800)"
        still = driver.shoot()
        own = picture(number_of(still), (640, 800))
        assert scan(still) == scan(own)
        np.testing.assert_array_equal(simplejpeg.decode_jpeg(still), simplejpeg.decode_jpeg(own))


def watched(driver):
    """Watch until something happens."""
    while True:
        driver.next_frame()


def scan(jpeg):
    """Return the coded picture without its headers, which RTP does not carry."""
    return jpeg[jpeg.index(b"\xff\xda") :]


def test_a_live_frame_is_made_smaller_and_a_small_one_is_left():
    with camera(size_px=(1600, 800)) as (_, driver):
        driver.open()
        assert simplejpeg.decode_jpeg(driver.next_frame()).shape == (640, 1280, 3)
    with camera() as (_, driver):
        driver.open()
        frame = driver.next_frame()
        assert scan(frame) == scan(picture(number_of(frame), (640, 800)))


def test_a_still_was_drawn_after_its_order_even_if_older_ones_are_still_on_their_way():
    with camera() as (responder, driver):
        driver.open()
        driver.next_frame()
        responder.habits.delay_s = 1.0
        for _ in range(3):
            responder.wait_for_pictures(5)
            ordered_s = time.monotonic()
            number = number_of(driver.shoot())
            assert responder.drawn_s[number] >= ordered_s - 0.3


def test_a_still_waits_for_as_long_as_a_picture_takes_from_the_lens():
    with camera(latency_s=0.7) as (responder, driver):
        driver.open()
        ordered_s = time.monotonic()
        assert responder.drawn_s[number_of(driver.shoot())] >= ordered_s + 0.6


def test_what_was_before_is_not_shown_to_the_next_sitter():
    with camera() as (responder, driver):
        driver.open()
        responder.habits.delay_s = 1.0
        responder.wait_for_pictures(3)
        driver.forget()
        forgot_s = time.monotonic()
        for _ in range(3):
            assert responder.drawn_s[number_of(driver.next_frame())] >= forgot_s - 0.3


def test_what_was_before_is_not_shown_however_many_pictures_that_are():
    with camera(latency_s=1.0, rate_hz=100.0) as (responder, driver):
        driver.open()
        driver.forget()
        forgot_s = time.monotonic()
        assert responder.drawn_s[number_of(driver.next_frame())] >= forgot_s + 0.7


def test_who_looks_away_for_a_while_sees_the_newest_picture():
    with camera() as (responder, driver):
        driver.open()
        responder.wait_for_pictures(45)
        before = len(responder.drawn_s)
        assert number_of(driver.next_frame()) >= before - 25


def test_pictures_do_not_pile_up_when_nobody_looks():
    with camera() as (responder, driver):
        driver.open()
        responder.wait_for_pictures(3 * MOST_WAITING)
        assert driver._stream._gate.behind(0.0) <= MOST_WAITING
        number = number_of(driver.next_frame())
        for _ in range(10):
            number = number_of(driver.next_frame())
        assert number >= len(responder.drawn_s) - 40


def test_a_clock_that_is_set_makes_no_picture_old():
    with camera() as (responder, driver):
        driver.open()
        for step_s in (7200.0, -7200.0):
            responder.habits.clock_step_s = step_s
            responder.wait_for_pictures(5)
            ordered_s = time.monotonic()
            assert responder.drawn_s[number_of(driver.shoot())] >= ordered_s - 0.3


def test_pictures_that_come_late_are_reported_once():
    with camera() as (responder, driver):
        driver.open()
        responder.habits.delay_s = 1.6
        notices = []
        for _ in range(120):
            driver.next_frame()
            notices += driver.notices()
        assert len(notices) == 1
        assert " s late; choose a smaller size" in notices[0]


def test_no_picture_with_a_missing_packet_is_seen():
    with camera(loses=0) as (responder, driver):
        driver.open()
        responder.habits.loses = 137
        for _ in range(30):
            frame = driver.next_frame()
            assert scan(frame) == scan(picture(number_of(frame), (640, 800)))
        assert driver._stream.lost > 0
        while not (notices := driver.notices()):
            driver.next_frame()
        assert "lost on the way" in notices[0]
        assert driver.notices() == []


def test_a_burst_never_prefers_a_damaged_picture(monkeypatch):
    def in_vain(order):
        with monkeypatch.context() as patch:
            patch.setattr("kiosk.devices.rtsp.camera.SHOT_S", 1.5)
            with pytest.raises(DamagedFrame, match="damaged"):
                order()

    with camera(cuts=True) as (responder, driver):
        in_vain(driver.open)
        responder.habits.cuts = False
        driver.open()
        responder.habits.cuts = True
        responder.wait_for_pictures(5)
        in_vain(driver.shoot)
        responder.habits.cuts = False
        assert simplejpeg.decode_jpeg(driver.shoot(), strict=True).shape == (800, 640, 3)


@pytest.mark.parametrize("method", ["OPTIONS", "DESCRIBE", "SETUP", "PLAY"])
def test_nobody_else_is_contacted_where_the_camera_sends_the_booth_on(method):
    with Elsewhere() as elsewhere, camera() as (responder, driver):
        responder.habits.status = {method: 302}
        responder.habits.location = elsewhere.address
        assert "sends the booth on to another address, which is not contacted" in str(refusal(driver))
        assert elsewhere.is_alone()


def test_ffmpeg_alone_follows_the_camera_elsewhere():
    """What the gate is for; once FFmpeg stops there, it may go."""
    with Elsewhere() as elsewhere, camera(status={"DESCRIBE": 302}, location=elsewhere.address) as (responder, _):
        with ThreadPoolExecutor() as beside:
            alone = beside.submit(elsewhere.is_alone, 60.0)
            cv2.VideoCapture(responder.address, cv2.CAP_FFMPEG, [cv2.CAP_PROP_OPEN_TIMEOUT_MSEC, 60_000])
        assert not alone.result()


def test_nobody_else_is_contacted_by_a_description_or_in_the_middle_of_the_stream():
    with Elsewhere() as elsewhere, camera() as (responder, driver):
        port = elsewhere.address.split(":")[2].split("/")[0]
        sdp = responder.habits.sdp.replace("a=control:track1", f"c=IN IP4 127.0.0.1\r\na=control:{elsewhere.address}")
        responder.habits.sdp = sdp.replace("video 0", f"video {port}")
        driver.open()
        responder.say(b"REDIRECT * RTSP/1.0\r\nCSeq: 1\r\nLocation: " + elsewhere.address.encode() + b"\r\n\r\n")
        with pytest.raises(CameraFault, match="sends the booth on to another address"):
            watched(driver)
        assert elsewhere.is_alone()


class Elsewhere:
    """Another host, where nobody may go."""

    def __enter__(self):
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.address = f"rtsp://127.0.0.1:{self._listener.getsockname()[1]}/stream"
        return self

    def __exit__(self, *_):
        self._listener.close()

    def is_alone(self, limit_s=0.2):
        """Return whether nobody has come, or comes for a while."""
        self._listener.settimeout(limit_s)
        try:
            self._listener.accept()[0].close()
        except TimeoutError:
            return True
        return False


@pytest.mark.parametrize("scheme", ["Basic", "Digest"])
def test_the_password_is_given_where_it_is_asked_for(scheme):
    with camera(USER, PASSWORD) as (responder, driver):
        responder.habits.user, responder.habits.password, responder.habits.scheme = USER, PASSWORD, scheme
        assert "640 x 800" in driver.open()


def test_a_wrong_password_is_not_tried_again_and_again():
    with camera(USER, "wrong-secret") as (responder, driver):
        responder.habits.user, responder.habits.password = USER, PASSWORD
        faults = [refusal(driver, NotThere) for _ in range(5)]
        assert {str(fault) for fault in faults} == {
            "The camera has a fault: the camera at 127.0.0.1 refuses the user or the password."
        }
        assert faults[0].advice == "Correct camera.user and camera.password in the settings file."
        assert responder.connections == 1
        assert "wrong-secret" not in repr(faults) + repr(vars(faults[0]))


def test_a_password_that_is_missing_is_named():
    with camera() as (responder, driver):
        responder.habits.user = USER
        assert "asks for a user and a password" in str(refusal(driver))


@pytest.mark.parametrize(
    ("habits", "says"),
    [
        ({"status": {"DESCRIBE": 404}}, "has no stream of that path"),
        ({"status": {"SETUP": 461}}, "does not send its video over TCP"),
        ({"status": {"PLAY": 453}}, "answers with status 453"),
        ({"transport": "RTP/AVP;unicast;client_port=5000-5001"}, "does not send its video over TCP"),
        ({"sdp": "v=0\r\nm=audio 0 RTP/AVP 0\r\na=control:x\r\n"}, "sends no video"),
        (
            {"sdp": "v=0\r\nm=video 0 RTP/AVP 96\r\na=rtpmap:96 MP4V-ES/90000\r\na=control:x\r\n"},
            "sends its video as MP4V-ES, which is not read",
        ),
        ({"greeting": b"HTTP/1.1 400 Bad Request\r\n\r\n"}, "does not speak RTSP"),
        ({"greeting": b"\0" * 70_000}, "does not speak RTSP"),
        ({"silent": True}, "sends nothing any more"),
    ],
)
def test_what_cannot_be_watched_is_refused_in_words(habits, says):
    with camera(**habits) as (_, driver):
        fault = refusal(driver)
        assert says in str(fault)
        assert fault.advice


def test_a_camera_that_is_away_is_looked_for():
    with camera() as (responder, driver):
        responder.close()
        fault = refusal(driver, NotThere)
        assert "no network camera is reached at 127.0.0.1: " in str(fault)
        assert "camera.address" in fault.advice


def test_a_camera_that_is_switched_off_is_a_fault_and_comes_back():
    with camera() as (responder, driver):
        driver.open()
        responder.drop()
        with pytest.raises(CameraFault, match=r"has ended the connection|broke"):
            watched(driver)
        driver.open()
        assert number_of(driver.shoot()) > 0


def test_a_line_that_goes_dead_is_a_fault():
    with camera() as (responder, driver):
        driver.open()
        responder.freeze()
        with pytest.raises(CameraFault, match="sends nothing any more"):
            watched(driver)


def test_pictures_of_another_size_are_a_fault_and_no_still():
    with camera() as (responder, driver):
        driver.open()
        responder.habits.size_px = (800, 640)
        with pytest.raises(CameraFault, match="now measure 800 x 640"):
            watched(driver)


def test_a_driver_that_is_not_open_or_closed_says_so():
    with camera() as (_, driver):
        with pytest.raises(CameraFault, match="not open"):
            driver.next_frame()
        driver.open()
        driver.close()
        driver.close()
        with pytest.raises(CameraFault, match="not open"):
            driver.shoot()


def test_the_options_of_this_stream_are_not_those_of_a_recording(tmp_path):
    with camera() as (_, driver):
        driver.open()
        for number in range(2):
            cv2.imwrite(str(tmp_path / f"{number}.png"), np.zeros((80, 64, 3), np.uint8))
        assert WebcamDriver(str(tmp_path / "%d.png")).open()


def test_a_relay_that_loses_nothing_changes_nothing():
    with camera() as (responder, _):
        relay = Relay(int(responder.address.split(":")[2].split("/")[0]))
        driver = NetworkCameraDriver(f"rtsp://127.0.0.1:{relay.port}/stream")
        assert "640 x 800" in driver.open()
        driver.close()
        relay.close()
