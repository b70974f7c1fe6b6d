"""Whole sessions under random faults on both real chains: libgphoto2 with a body that speaks PTP/IP, and cupsd.

`tests/bench/sessions --real` runs hundreds.
"""

import pytest

from tests.support.happenings import Happening
from tests.support.real_booth import real_surroundings
from tests.support.visits import Day


def test_a_sitter_gets_the_own_photo_and_true_words(tmp_path):
    """One whose camera is pulled and pressed, and whose sheet waits for paper."""
    plan = [
        Happening("camera pull", "align", 0.5, 1),
        Happening("camera press", "review", 0.1, 1),
        Happening("obstacle 0", "review", 0.2, 1),
    ]
    with real_surroundings(tmp_path, 2) as around:
        day = Day(around, 2)
        day.visit(plan)
    assert day.counts["happenings"] == 3
    assert day.counts["sheets printed"] == day.counts["pages"] == 1


@pytest.mark.slow
def test_many_sitters_get_their_own_photos_and_true_words(tmp_path):
    with real_surroundings(tmp_path, 3) as around:
        day = Day(around, 3)
        for _ in range(15):
            day.visit()
    assert day.counts["sheets printed"] >= 3
    assert day.counts["happenings"] > 15
