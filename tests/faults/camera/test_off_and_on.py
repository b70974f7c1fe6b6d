"""The camera is switched off, or off already when the booth opens, and comes back later."""

import pytest

pytestmark = pytest.mark.slow


def test_a_booth_opened_before_its_camera_waits_for_it(open_booth):
    booth = open_booth(off=True, grace_s=0.5)
    booth.until_true(lambda: booth.warnings)
    booth.until("out_of_order")
    assert booth.view.fault[0].startswith("The camera has a fault: ")
    assert booth.view.fault[1] == "Check its cable, battery and switch; the booth connects again by itself."
    assert booth.warnings == [f"camera: {booth.view.fault[0]}"]
    booth.responder.tell("on")
    booth.until_true(booth.sees_sitter)
    booth.until("welcome")
    booth.to_state("review")
    assert booth.view.review.verdict == "pass"


def test_a_camera_that_comes_and_goes_all_day_leaves_no_process_behind(open_booth):
    booth = open_booth(grace_s=0.5)
    pids = set()
    for _ in range(3):
        booth.until_true(booth.sees_sitter)
        pids.add(booth.camera.pid)
        booth.responder.tell("off")
        booth.until("out_of_order")
        assert booth.warnings[-1] == f"camera: {booth.view.fault[0]}"
        booth.responder.tell("on")
        booth.until("welcome")
    pids.add(booth.camera.pid)
    assert len(pids) == 4
    booth.camera.close()
    assert not any((booth.proc / str(pid)).exists() for pid in pids)
