"""Random touches, keys, windows and failing devices lead nowhere but home."""

import pytest

from tests.monkey import monkey


@pytest.mark.parametrize("seed", range(2))
def test_no_input_leads_out_of_the_booth_or_leaves_it_stuck(tmp_path, seed):
    with monkey(tmp_path, seed) as hand:
        hand.play(100)
        hand.rest()
        assert len(hand.passed) >= 4
