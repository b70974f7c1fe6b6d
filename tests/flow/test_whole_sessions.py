"""Whole sessions under random faults of camera and printers (`tests/bench/sessions` runs ten thousand)."""

import pytest

from tests.support.happenings import Happening
from tests.support.stepped_booth import surroundings
from tests.support.visits import Day


def run(folder, seed, sitters):
    """Let sitters come and go, and return what was counted; `ViolationError` where something does not hold."""
    with surroundings(folder, seed) as around:
        day = Day(around, seed)
        for _ in range(sitters):
            day.visit()
        return day.counts


def test_a_few_sitters_get_their_own_photos_and_true_words(tmp_path):
    assert run(tmp_path, 4, 6)["pages"] > 0


@pytest.mark.slow
def test_many_sitters_get_their_own_photos_and_true_words(tmp_path):
    counts = run(tmp_path, 2, 40)
    assert counts["sheets printed"] > 20
    assert counts["happenings"] > 40


@pytest.mark.parametrize("what", ["pause 0", "cycle 0", "camera pull", "booth", "obstacle both"])
def test_a_sheet_survives_what_happens_while_it_is_printed(tmp_path, what):
    """Each by itself, in the middle of the page."""
    with surroundings(tmp_path, 8) as around:
        around.queues[0].printer.print_s = 8.0
        day = Day(around, 8)
        day.visit([Happening(what, "printing", 4.0, 1)])
