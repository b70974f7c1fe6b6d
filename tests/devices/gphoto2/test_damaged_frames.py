"""A live frame that arrives damaged is dropped; only a run of them is a fault of the camera."""

from __future__ import annotations

import pytest

from kiosk.devices.base import DeviceFailed, DeviceNotice, DeviceReady, LiveFrame
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.camera.timeouts import Timeouts
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.pipeline.picture_jobs import PictureJobs
from tests.devices.camera_process.patience import until, wait_for
from tests.ptpip.rig import ResponderProcess, sitter_pictures

GENEROUS = Timeouts(start_s=120.0, frame_age_s=60.0, resume_s=60.0)


@pytest.fixture(params=["nikon", "canon"])
def responder(request, tmp_path):
    with ResponderProcess(*sitter_pictures(tmp_path), "--maker", request.param, "--frame-interval-s", "0.01") as made:
        yield made


@pytest.fixture
def camera(responder):
    made = SupervisedCamera(TetheredDriver(responder.address), GENEROUS)
    made.start()
    until(made, DeviceReady)
    yield made
    made.close()


@pytest.mark.parametrize("fault", ["huge_preview", "no_preview"])
def test_a_few_damaged_frames_cost_neither_the_connection_nor_the_program(camera, responder, fault):
    pid, events = camera.pid, []
    responder.fault(fault, 12)
    last = camera.newest().sequence
    wait_for(lambda: events.extend(camera.poll()) or (events and camera.newest().sequence > last + 5))
    assert [type(event) for event in events] == [DeviceNotice]
    assert "10 live pictures have arrived damaged" in events[0].text
    assert camera.pid == pid


@pytest.mark.parametrize("fault", ["huge_preview", "no_preview"])
def test_nothing_but_damaged_frames_is_a_fault_of_the_camera(camera, responder, fault):
    responder.fault(fault, 1_000_000)
    until(camera, DeviceNotice)
    assert "its live pictures arrive damaged" in str(until(camera, DeviceFailed).error)
    responder.fault(fault, 0)
    until(camera, DeviceReady)


def test_a_header_that_asks_for_all_memory_ends_no_looking(tmp_path):
    jpeg = sitter_pictures(tmp_path)[0].read_bytes()
    place = jpeg.index(b"\xff\xc0") + 5
    damaged = jpeg[:place] + b"\xff" * 4 + jpeg[place + 4 :]
    assert PictureJobs.look(None, LiveFrame(1, 0.0, damaged)) is None
