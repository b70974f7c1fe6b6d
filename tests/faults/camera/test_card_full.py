"""The card has no room: told as what it is, and over when there is room."""

import pytest

pytestmark = pytest.mark.slow


@pytest.fixture
def booth(open_booth):
    return open_booth(keep=True, grace_s=0.5)


def test_a_card_that_fills_up_puts_the_booth_out_of_order_until_it_is_emptied(booth):
    booth.until_true(booth.sees_sitter)
    booth.responder.fault("full", 1_000_000)
    booth.to_state("align")
    booth.until("out_of_order")
    assert booth.view.fault == (
        "The camera's card is full.",
        "Empty the card or put in another; the booth goes on by itself.",
    )
    assert set(booth.warnings) == {"camera: The camera's card is full."}
    assert booth.parts.files.names() == []
    booth.responder.fault("full", 0)
    booth.until("welcome")
    booth.to_state("review")
    assert booth.view.review.verdict == "pass"
