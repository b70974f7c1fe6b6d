"""The download reports success and the picture is damaged: it is decoded strictly before anybody believes it."""

import pytest

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("damage", ["truncate", "flip"])
def test_a_damaged_still_is_never_measured(booth, damage):
    booth.responder.fault(damage)
    booth.to_state("review")
    assert booth.from_align == ["align", "shooting", "align", "shooting", "measuring", "review"]
    assert booth.warnings == ["camera: The camera has a fault: the picture arrived damaged."]
    assert booth.view.review.verdict == "pass"
