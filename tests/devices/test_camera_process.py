from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from kiosk.clock import ManualClock
from kiosk.devices.base import DeviceFailed, DeviceReady, StillTaken
from kiosk.devices.camera_limits import Limits, Pace
from kiosk.devices.camera_process import CameraProcess
from kiosk.devices.driver import NotThere
from kiosk.devices.folder.camera import FolderDriver
from kiosk.devices.hints import HINTS, camera_fault, meaning_of
from kiosk.devices.sim.camera import SimulatedCamera, SimulatedDriver
from kiosk.devices.sim.sitter import Scenario
from kiosk.devices.uvc.camera import WebcamDriver
from kiosk.errors import CameraFault, DeviceTimeout, SettingsRefused

SITTER = Path(__file__).parents[2] / "demo" / "sitter"
OWNER = Path(__file__).with_name("camera_owner.py")
PATIENCE_S = 60.0


@pytest.fixture
def clock():
    """Time for the watchdog, which stands still unless a test moves it."""
    return ManualClock()


@pytest.fixture
def camera(clock):
    limits = Limits(frame_age_s=2.0, resume_s=2.0)
    made = SimulatedCamera(SimulatedDriver(SITTER, Scenario(arrives_s=0)), limits, clock)
    made.start()
    until(made, DeviceReady)
    yield made
    made.close()


def wait_for(condition):
    end_s = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < end_s, "waited in vain"
        time.sleep(0.002)


def until(camera, kind):
    """Poll until an event of a kind comes; nothing else may come before it."""
    events = []
    wait_for(lambda: events.extend(camera.poll()) or events)
    assert [type(event) for event in events] == [kind]
    return events[0]


def is_gone(pid):
    return not Path(f"/proc/{pid}").exists()


def names(folder):
    return {path.name for path in Path(folder).iterdir()}


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGABRT, signal.SIGSEGV])
def test_a_child_that_dies_is_replaced_and_the_live_view_goes_on(camera, number):
    pid, sequence = camera.pid, camera.newest().sequence
    os.kill(pid, number)
    assert isinstance(until(camera, DeviceFailed).error, CameraFault)
    assert camera.state == "fault"
    assert camera.newest() is None
    until(camera, DeviceReady)
    assert camera.pid != pid
    assert camera.newest().sequence > sequence
    assert is_gone(pid)


def test_an_interrupt_from_the_keyboard_is_left_to_the_parent(camera):
    pid, sequence = camera.pid, camera.newest().sequence
    os.kill(pid, signal.SIGINT)
    wait_for(lambda: camera.poll() or camera.newest().sequence > sequence + 5)
    assert camera.pid == pid


def test_a_still_that_was_handed_over_is_no_longer_in_shared_memory(camera):
    camera.shoot()
    still = until(camera, StillTaken).jpeg
    part = still[len(still) // 2 :][:64]
    links = [Path("/proc/self/fd", name) for name in names("/proc/self/fd")]
    shared = [link for link in links if link.exists() and "memfd:holdstill" in str(link.readlink())]
    assert shared
    assert not any(part in fd.read_bytes() for fd in shared)


def test_a_child_killed_during_a_shot_ends_the_shot(camera):
    camera.fail_next("stall")
    camera.shoot()
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    camera.shoot()
    assert until(camera, StillTaken).jpeg


def test_silence_is_judged_by_the_clock_that_was_given(camera, clock):
    os.kill(camera.pid, signal.SIGSTOP)
    time.sleep(0.1)
    camera.poll()
    clock.sleep(2.0)
    assert camera.poll() == []
    clock.sleep(0.1)
    events = camera.poll()
    assert [str(event.error) for event in events] == ["The camera did not finish the next live frame within 2 s."]
    until(camera, DeviceReady)


def test_a_late_poll_does_not_blame_a_camera_that_has_gone_on(camera, clock):
    for _ in range(3):
        seen = camera.newest().sequence
        wait_for(lambda seen=seen: camera.newest().sequence > seen)
        clock.sleep(100.0)
        assert camera.poll() == []
    assert camera.state == "ready"


def test_a_start_that_hangs_is_ended(clock):
    camera = SimulatedCamera(SimulatedDriver(SITTER, Scenario()), Limits(), clock)
    camera.start()
    os.kill(camera.pid, signal.SIGSTOP)
    clock.sleep(15.1)
    error = until(camera, DeviceFailed).error
    assert isinstance(error, DeviceTimeout)
    assert error.params == {"device": "The camera", "operation": "starting", "limit_s": 15.0}
    until(camera, DeviceReady)
    camera.close()


def test_a_child_that_cannot_be_started_is_tried_again(camera, clock):
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    events = []
    resource.setrlimit(resource.RLIMIT_NOFILE, (3, hard))
    try:
        os.kill(camera.pid, signal.SIGKILL)
        wait_for(lambda: events.extend(camera.poll()) or len(events) == 2)
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))
    assert "ended without a word" in str(events[0].error)
    assert "Too many open files" in str(events[1].error)
    clock.sleep(2.0)
    until(camera, DeviceReady)


def test_a_camera_that_comes_and_goes_is_not_started_in_a_frenzy(camera, clock):
    delays = []
    for _ in range(5):
        os.kill(camera.pid, signal.SIGKILL)
        until(camera, DeviceFailed)
        wait_for(camera._is_buried)
        before = clock.now_s()
        events = []
        wait_for(lambda events=events: events.extend(camera.poll()) or events or (not camera.pid and clock.sleep(0.1)))
        assert [type(event) for event in events] == [DeviceReady]
        delays.append(round(clock.now_s() - before, 1))
    assert delays == sorted(delays)
    assert delays[-1] == pytest.approx(2.0, abs=0.15)
    seen = camera.newest().sequence
    wait_for(lambda: camera.newest().sequence > seen)
    clock.sleep(10.0)
    camera.poll()
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)


def settled(camera, clock):
    """Let a camera be ready for so long that it has a spare; return the spare's process id."""
    clock.sleep(1.0)
    wait_for(lambda: camera.poll() or camera.spare_pid is not None)
    return camera.spare_pid


def test_a_spare_takes_over_and_is_replaced(camera, clock):
    assert camera.spare_pid is None
    spare = settled(camera, clock)
    pid = camera.pid
    os.kill(pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    assert camera.pid == spare
    clock.sleep(10.0)
    seen = camera.newest().sequence
    wait_for(lambda: camera.newest().sequence > seen)
    another = settled(camera, clock)
    assert another not in {pid, spare}
    camera.close()
    assert is_gone(pid)
    assert is_gone(spare)
    assert is_gone(another)


def test_a_spare_does_not_touch_the_camera_before_it_takes_over(tmp_path, clock):
    camera = CameraProcess(TellsWhoOpens(tmp_path), Limits(), clock)
    camera.start()
    until(camera, DeviceReady)
    spare = settled(camera, clock)
    wait_for((tmp_path / f"warm {spare}").exists)
    assert [path.name for path in tmp_path.glob("open *")] == [f"open {camera.pid}"]
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    assert (tmp_path / f"open {spare}").exists()
    camera.close()


def test_a_spare_that_dies_is_replaced_but_not_in_a_frenzy(camera, clock):
    spare, pid = settled(camera, clock), camera.pid
    os.kill(spare, signal.SIGKILL)
    wait_for(lambda: camera.poll() or camera.spare_pid is None)
    assert is_gone(spare)
    assert camera.poll() == []
    assert camera.spare_pid is None
    seen = camera.newest().sequence
    wait_for(lambda: camera.newest().sequence > seen)
    clock.sleep(10.0)
    wait_for(lambda: camera.poll() or camera.spare_pid is not None)
    assert camera.spare_pid != spare
    assert (camera.pid, camera.state) == (pid, "ready")


def test_a_camera_that_is_not_there_is_looked_for_by_one_process(tmp_path, clock):
    folder = tmp_path / "in"
    camera = CameraProcess(FolderDriver(folder, simulated=True), Limits(), clock)
    camera.start()
    assert isinstance(until(camera, DeviceFailed).error, NotThere)
    pid = camera.pid
    clock.sleep(14.0)
    before = camera._sign_of_life_s
    wait_for(lambda: camera.poll() or camera._sign_of_life_s > before)
    assert (camera.pid, camera.state) == (pid, "fault")
    folder.mkdir()
    until(camera, DeviceReady)
    assert camera.pid == pid
    camera.close()


@pytest.mark.parametrize(("interval_s", "patience_s"), [(1 / 30, 1.5), (0.1, 1.5), (0.2, 3.0), (0.5, 4.0)])
def test_a_slow_camera_may_be_silent_for_longer(interval_s, patience_s):
    pace, limits = Pace(), Limits(frame_age_s=1.5, resume_s=4.0)
    pace.begin(100.0, 7)
    assert pace.patience_s(limits) == 4.0
    for count in range(1, 100):
        pace.came(100.0 + count * interval_s, 7 + count)
    assert pace.patience_s(limits) == pytest.approx(patience_s)
    pace.begin(200.0, 107)
    assert pace.patience_s(limits) == 4.0


class TellsWhoOpens(SimulatedDriver):
    """A camera that leaves a file for each process that warms up or opens it."""

    def __init__(self, folder):
        super().__init__(SITTER, Scenario())
        self._told = folder

    def warm_up(self):
        super().warm_up()
        (self._told / f"warm {os.getpid()}").touch()

    def open(self):
        (self._told / f"open {os.getpid()}").touch()
        return super().open()


def test_a_fault_that_lasts_is_reported_once_and_tried_again_ever_more_rarely(tmp_path, clock):
    camera = CameraProcess(SimulatedDriver(tmp_path, Scenario()), Limits(), clock)
    camera.start()
    assert isinstance(until(camera, DeviceFailed).error, SettingsRefused)
    starts = []
    for _ in range(4):
        wait_for(camera._is_buried)
        before = clock.now_s()
        wait_for(lambda: camera.poll() or camera.pid is not None or clock.sleep(0.1))
        starts.append(clock.now_s() - before)
        wait_for(lambda: camera.poll() or camera.pid is None)
    assert starts == sorted(starts)
    assert starts[-1] <= 2.1
    camera.close()


@pytest.mark.parametrize("faults", [(), ("freeze",)])
def test_the_child_and_its_spare_end_when_their_parent_is_killed(faults):
    command = [sys.executable, str(OWNER), str(SITTER), *faults]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as owner:
        children = list(map(int, owner.stdout.readline().split()))
        assert len(children) == 2
        assert not any(map(is_gone, children))
        owner.kill()
    wait_for(lambda: all(map(is_gone, children)))


def test_close_leaves_no_process_no_file_no_memory_and_no_word(capfd):
    SimulatedDriver(SITTER, Scenario())
    warm_up = SimulatedCamera(SimulatedDriver(SITTER, Scenario()))
    warm_up.start()
    warm_up.close()
    before = names("/proc/self/fd"), names("/dev/shm")
    camera = SimulatedCamera(SimulatedDriver(SITTER, Scenario()))
    camera.start()
    until(camera, DeviceReady)
    wait_for(lambda: camera.poll() or camera.spare_pid)
    pids = camera.pid, camera.spare_pid
    camera.shoot()
    until(camera, StillTaken)
    camera.close()
    assert all(map(is_gone, pids))
    assert (names("/proc/self/fd"), names("/dev/shm")) == before
    assert capfd.readouterr() == ("", "")


def test_a_hung_child_does_not_hold_up_close(clock):
    camera = SimulatedCamera(SimulatedDriver(SITTER, Scenario()), Limits(close_s=0.1), clock)
    camera.start()
    until(camera, DeviceReady)
    pid = camera.pid
    camera.fail_next("freeze")
    camera.close()
    assert is_gone(pid)


def test_another_thread_may_look_at_the_newest_frame_throughout(camera):
    seen, stop = [], threading.Event()

    def look():
        while not stop.is_set():
            frame = camera.newest()
            if frame:
                assert frame.jpeg.startswith(b"\xff\xd8")
                seen.append(frame.sequence)

    thread = threading.Thread(target=look)
    thread.start()
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    stop.set()
    thread.join()
    assert seen == sorted(seen)


def test_an_instruction_heard_before_a_restart_is_heard_again(clock):
    scenario = Scenario(arrives_s=1e6)
    camera = SimulatedCamera(SimulatedDriver(SITTER, scenario), Limits(), clock)
    camera.start()
    until(camera, DeviceReady)
    empty = len(camera.newest().jpeg)
    camera.hear("sit_down")
    os.kill(camera.pid, signal.SIGKILL)
    until(camera, DeviceFailed)
    until(camera, DeviceReady)
    wait_for(lambda: camera.poll() or len(camera.newest().jpeg) > empty * 1.3)
    camera.close()


def test_a_webcam_that_is_not_there_is_a_fault_in_words(clock):
    camera = CameraProcess(WebcamDriver(63), Limits(), clock)
    camera.start()
    assert str(until(camera, DeviceFailed).error) == "The camera does not answer: no webcam opens at 63."
    assert not camera.simulated
    camera.close()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[-1] Unspecified error: Out of Focus", "focus"),
        ("[-53] Could not claim the USB device", "another program"),
        ("[-105] Unknown model", "switched off"),
        ("[-7] I/O problem", "connection broke"),
        ("[-10] Timeout reading from or writing to the port", "stopped answering"),
        ("[-1] PTP Store Full", "card is full"),
        ("something quite new.", "something quite new"),
    ],
)
def test_a_vendors_text_becomes_words_for_a_person(text, words):
    assert words in str(camera_fault(RuntimeError(text)))


def test_every_hint_is_reached():
    samples = {hint.pattern: hint.pattern.split("|")[0].replace("\\", "") for hint in HINTS}
    assert {meaning_of(sample) for sample in samples.values()} == {hint.meaning for hint in HINTS}


@pytest.mark.parametrize(
    "error",
    [
        ValueError(b"\xff\xd8\xff\xe0\x00\x10JFIF"),
        ValueError("\xff\xd8\xff\xe0\x00\x10JFIF"),
        ValueError("a" * 5000),
        ValueError(),
    ],
)
def test_no_picture_data_reaches_a_message(error):
    assert str(camera_fault(error)) == "The camera does not answer: it gave no reason that can be shown."


def test_a_child_that_needs_longer_to_start_is_given_longer_each_time(tmp_path, clock):
    camera = CameraProcess(SimulatedDriver(tmp_path, Scenario()), Limits(start_s=10.0), clock)
    camera._started = NeverReady
    camera.start()
    allowed = []
    for _ in range(3):
        before = clock.now_s()
        while not any(isinstance(event, DeviceFailed) for event in camera.poll()) and camera._child:
            clock.sleep(0.5)
        allowed.append(clock.now_s() - before)
        while camera._child is None:
            camera.poll()
            clock.sleep(0.5)
    assert [round(limit_s / 10) for limit_s in allowed] == [1, 2, 3]
    camera._child = None
    camera.close()


class NeverReady:
    """A child that is silent, as far as the watchdog looks at one."""

    is_gone = True

    def messages(self):
        return ()

    def tell(self, what):
        pass

    def kill(self):
        pass
