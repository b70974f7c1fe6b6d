"""Random touches, keys, PINs, windows and failing devices lead nowhere but home; an hour of it: `tests/bench/fuzz`."""

from collections import Counter

from tests.support.monkey import monkey

SEEDS, MOST_SEEDS = 3, 30
"""So many booths, and as many more as it takes to get everywhere: where a touch lands depends on threads too."""
STATES = {"welcome", "choose", "prepare", "privacy", "align"}
PAGES = {"closed", "pin", "state"}


def test_no_input_leads_out_of_the_booth_or_leaves_it_stuck(tmp_path):
    passed, pages = Counter(), Counter()
    for seed in range(MOST_SEEDS):
        if seed >= SEEDS and passed.keys() >= STATES and pages.keys() >= PAGES:
            break
        with monkey(tmp_path / str(seed), seed) as hand:
            hand.play(40)
            hand.rest()
            passed.update(hand.passed)
            pages.update(hand.pages)
    assert passed.keys() >= STATES
    assert pages.keys() >= PAGES
