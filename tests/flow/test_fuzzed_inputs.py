"""Random touches, keys, PINs, windows and failing devices lead nowhere but home; an hour of it: `tests/bench/fuzz`."""

from collections import Counter

from tests.support.monkey import monkey


def test_no_input_leads_out_of_the_booth_or_leaves_it_stuck(tmp_path):
    passed, pages = Counter(), Counter()
    for seed in range(3):
        with monkey(tmp_path / str(seed), seed) as hand:
            hand.play(40)
            hand.rest()
            passed.update(hand.passed)
            pages.update(hand.pages)
    assert passed.keys() >= {"welcome", "choose", "prepare", "privacy", "align"}
    assert pages.keys() >= {"closed", "pin", "state"}
