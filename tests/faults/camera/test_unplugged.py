"""The cable is pulled, in each state: a short break is ridden out, a long one is told, and both end by themselves."""

import pytest

pytestmark = pytest.mark.slow
BROKE = "camera: The camera has a fault: "


@pytest.mark.parametrize(
    "state", ["welcome", "choose", "prepare", "privacy", "align", "shooting", "measuring", "review"]
)
def test_a_short_break_does_not_end_the_session(booth, state):
    booth.to_state(state)
    booth.responder.tell("off")
    booth.until_true(lambda: booth.warnings)
    booth.responder.tell("on")
    booth.until_true(booth.sees_sitter)
    assert "out_of_order" not in booth.states
    assert booth.warnings
    assert all(warning.startswith(BROKE) for warning in booth.warnings)
    if state in {"align", "shooting", "measuring"}:
        booth.until("review")
        assert booth.view.review.verdict == "pass"
    else:
        assert booth.view.state == state


@pytest.mark.parametrize("state", ["printing", "collect"])
def test_the_sheet_is_printed_although_the_camera_has_gone(open_booth, state):
    booth = open_booth(grace_s=0.5)
    booth.to_state(state)
    booth.responder.tell("off")
    booth.until("collect")
    assert len(list((booth.folder / "prints").glob("*.pdf"))) == 1
    booth.until("out_of_order")
    assert booth.warnings[0].startswith(BROKE)
    assert booth.parts.files.names() == []
    booth.responder.tell("on")
    booth.until("welcome")


@pytest.mark.parametrize("state", ["welcome", "align", "shooting", "review"])
def test_a_long_break_ends_the_session_with_nothing_kept_and_mends_itself(open_booth, state):
    booth = open_booth(grace_s=0.5)
    booth.to_state(state)
    booth.responder.tell("off")
    booth.until("out_of_order")
    sentence, next_step = booth.view.fault
    assert sentence.startswith("The camera has a fault: ")
    assert f"camera: {sentence}" in booth.warnings
    assert next_step == "Check its cable, battery and switch; the booth connects again by itself."
    assert booth.parts.files.names() == []
    assert booth.view.review.photo_jpeg == b""
    booth.responder.tell("on")
    booth.until_true(booth.sees_sitter)
    booth.until("welcome")


@pytest.mark.parametrize("moment", ["drop_capture", "drop_download"])
def test_a_shot_cut_off_by_the_cable_is_taken_again(booth, moment):
    booth.responder.fault(moment)
    booth.to_state("review")
    assert booth.from_align == ["align", "shooting", "align", "shooting", "measuring", "review"]
    assert booth.view.review.verdict == "pass"
    assert booth.warnings[0].startswith(BROKE)
