"""The camera is switched off, or off already when the booth opens, and comes back later."""

import pytest

from tests.faults.camera.conftest import RECOVERY_S

pytestmark = pytest.mark.slow


def test_a_booth_opened_before_its_camera_waits_for_it(open_booth):
    booth = open_booth(off=True)
    booth.until("out_of_order")
    assert booth.view.fault[0].startswith("The camera does not answer: ")
    assert len(booth.warnings) == 1
    booth.responder.tell("on")
    assert booth.until_true(booth.sees_sitter) < RECOVERY_S
    booth.until("welcome")
    booth.to_state("review")


def test_a_camera_that_comes_and_goes_all_day_leaves_no_process_behind(booth):
    pids = set()
    for _ in range(3):
        booth.until_true(booth.sees_sitter)
        pids.add(booth.camera.pid)
        booth.responder.tell("off")
        booth.until("out_of_order")
        booth.responder.tell("on")
        booth.until("welcome")
    pids.add(booth.camera.pid)
    assert len(pids) == 4
    booth.camera.close()
    assert not any((booth.proc / str(pid)).exists() for pid in pids)
