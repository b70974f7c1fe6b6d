"""What every camera promises (`kiosk.devices.base.Camera`), whichever backend."""

from __future__ import annotations

import numpy as np
import simplejpeg

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import DeviceFailed, DeviceReady, DeviceSettings, StillTaken
from kiosk.errors import CameraFault, DeviceTimeout

SHOT, NEXT = Ticket(1), Ticket(2)


def test_a_camera_that_was_not_started_is_closed_and_silent(rig):
    assert rig.camera.state == "closed"
    assert rig.camera.newest() is None
    assert rig.camera.poll() == []


def test_start_leads_to_ready_and_to_live_frames(rig):
    rig.camera.start()
    assert rig.camera.state == "starting"
    assert rig.until(DeviceReady).model
    assert rig.camera.state == "ready"
    rig.wait_for(rig.camera.newest)
    frame = rig.camera.newest()
    assert isinstance(frame.jpeg, bytes)
    assert simplejpeg.decode_jpeg(frame.jpeg, strict=True).shape == (800, 640, 3)


def test_sequence_and_time_rise_from_frame_to_frame(rig):
    rig.camera.start()
    rig.until(DeviceReady)
    frames = []

    def another() -> bool:
        rig.camera.poll()
        frame = rig.camera.newest()
        if frame and (not frames or frame.sequence != frames[-1].sequence):
            frames.append(frame)
        return len(frames) == 5

    rig.wait_for(another)
    assert [frame.sequence for frame in frames] == sorted({frame.sequence for frame in frames})
    assert [frame.taken_s for frame in frames] == sorted({frame.taken_s for frame in frames})


def test_a_shot_gives_one_whole_still_and_the_live_view_goes_on(rig):
    rig.camera.start()
    rig.until(DeviceReady)
    rig.wait_for(rig.camera.newest)
    before = rig.camera.newest().sequence
    rig.camera.shoot(SHOT)
    assert rig.camera.state == "busy"
    rig.camera.shoot(SHOT)
    still = rig.until(StillTaken)
    assert still.ticket == SHOT
    height, width, _ = simplejpeg.decode_jpeg(still.jpeg, strict=True).shape
    assert (height, width) >= (800, 640)
    assert rig.camera.state == "ready"
    later: list[object] = []
    rig.wait_for(lambda: later.extend(rig.camera.poll()) or rig.camera.newest().sequence > before + 3)
    assert later == []


def test_a_shot_that_is_ordered_during_another_comes_after_it_and_each_is_known_by_its_ticket(rig):
    rig.camera.start()
    rig.until(DeviceReady)
    rig.camera.shoot(SHOT)
    rig.camera.shoot(NEXT)
    assert rig.until(StillTaken).ticket == SHOT
    assert rig.until(StillTaken).ticket == NEXT
    assert rig.camera.state == "ready"
    assert rig.passed_over == rig.unread == []


def test_what_was_seen_before_is_forgotten_and_the_live_view_goes_on(rig):
    rig.camera.start()
    rig.until(DeviceReady)
    rig.wait_for(rig.camera.newest)
    before = rig.camera.newest()
    rig.camera.forget()
    assert rig.camera.newest() is None or rig.camera.newest().sequence > before.sequence
    rig.wait_for(lambda: rig.camera.poll() or rig.camera.newest())
    assert rig.camera.newest().sequence > before.sequence
    rig.camera.shoot(SHOT)
    rig.until(StillTaken)


def test_what_nobody_ordered_is_never_a_later_shot(pressed):
    """Somebody else's picture comes by the camera's own button, or is sent to the folder, before the sitter does."""
    rig, camera = pressed.rig, pressed.rig.camera
    camera.start()
    rig.until(DeviceReady)
    for number in range(1, 4):
        pressed.press()
        camera.forget()
        rig.wait_for(lambda: camera.poll() or camera.newest())
        camera.shoot(Ticket(number))
        still = rig.until(StillTaken)
        assert still.ticket == Ticket(number)
        assert not np.array_equal(simplejpeg.decode_jpeg(still.jpeg), pressed.stray)


def test_a_camera_that_is_ready_tells_how_it_is_set(rig):
    rig.camera.start()
    rig.until(DeviceReady)
    rig.camera.request_settings()
    told = rig.until(DeviceSettings)
    for setting in told.settings.values():
        assert not setting.choices or setting.now in setting.choices


def test_a_shot_before_the_camera_is_ready_fails(rig):
    rig.camera.start()
    rig.camera.shoot(SHOT)
    refused = rig.until(DeviceFailed)
    assert isinstance(refused.error, CameraFault)
    assert refused.ticket == SHOT
    rig.wait_for(lambda: rig.camera.poll() or rig.camera.state == "ready")


def test_close_may_be_called_twice_and_a_closed_camera_starts_again(rig):
    rig.camera.start()
    rig.until(DeviceReady)
    for _ in range(2):
        rig.camera.close()
        assert rig.camera.state == "closed"
        assert rig.camera.newest() is None
        assert rig.camera.poll() == []
    rig.camera.start()
    rig.until(DeviceReady)


def test_pictures_that_show_nobody_present_are_called_simulated(rig):
    assert rig.camera.simulated


def test_a_refused_shot_is_reported_and_the_next_one_comes(refusing_rig):
    camera = refusing_rig.camera
    camera.start()
    refusing_rig.until(DeviceReady)
    camera.fail_next("shoot")
    camera.shoot(SHOT)
    refused = refusing_rig.until(DeviceFailed)
    assert "focus" in str(refused.error)
    assert refused.ticket == SHOT
    assert camera.state == "ready"
    camera.shoot(NEXT)
    assert refusing_rig.until(StillTaken).ticket == NEXT


def test_a_still_cut_short_is_never_handed_out(faulty_rig):
    camera = faulty_rig.camera
    camera.start()
    faulty_rig.until(DeviceReady)
    camera.fail_next("truncate")
    camera.shoot(SHOT)
    events = []
    faulty_rig.wait_for(lambda: events.extend(camera.poll()) or events)
    assert [type(event) for event in events] == [DeviceFailed]
    assert "damaged" in str(events[0].error)


def test_an_unplugged_camera_comes_back_by_itself(faulty_rig):
    camera = faulty_rig.camera
    camera.start()
    faulty_rig.until(DeviceReady)
    faulty_rig.wait_for(camera.newest)
    last = camera.newest()
    camera.fail_next("unplug")
    events = []
    faulty_rig.wait_for(lambda: camera.newest() is None or events.extend(camera.poll()) or events)
    error = (events or [faulty_rig.until(DeviceFailed)])[0].error
    assert isinstance(error, CameraFault)
    assert camera.newest() is None
    faulty_rig.until(DeviceReady)
    faulty_rig.wait_for(camera.newest)
    assert camera.newest().sequence > last.sequence
    assert camera.newest().taken_s > last.taken_s


def test_a_frozen_live_view_is_reported_as_a_timeout_and_ends(watched_rig):
    camera = watched_rig.camera
    camera.start()
    watched_rig.until(DeviceReady)
    watched_rig.wait_for(camera.newest)
    camera.fail_next("freeze")
    events = []
    watched_rig.wait_for(lambda: events.extend(camera.poll()) or events or (camera.newest() and False))
    assert isinstance(events[0].error, DeviceTimeout)
    assert events[0].error.params["operation"] == "the next live frame"
    watched_rig.take_time()
    watched_rig.until(DeviceReady)


def test_a_shot_that_never_ends_is_reported_as_a_timeout(watched_rig):
    camera = watched_rig.camera
    camera.start()
    watched_rig.until(DeviceReady)
    camera.fail_next("stall")
    camera.shoot(SHOT)
    failed = watched_rig.until(DeviceFailed)
    assert isinstance(failed.error, DeviceTimeout)
    assert failed.error.params["operation"] == "the shot"
    assert failed.ticket == SHOT
    watched_rig.take_time()
    watched_rig.until(DeviceReady)
    camera.shoot(NEXT)
    assert watched_rig.until(StillTaken).ticket == NEXT
