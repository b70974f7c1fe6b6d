"""Which shots are on order, and since when one may have left its files on the camera."""

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.devices.camera.shots import Shots


@pytest.fixture
def shots():
    return Shots()


def test_shots_are_taken_in_the_order_in_which_they_came_and_each_once(shots):
    assert [shots.order(Ticket(number)) for number in (1, 2, 1)] == [True, True, False]
    assert shots.first == Ticket(1)
    shots.ended(sequence=5, has_still=True)
    assert shots.first == Ticket(2)
    shots.ended(sequence=9, has_still=False)
    assert shots.first is None
    assert shots.lost_for_s(100.0) is None


def test_a_child_that_ends_takes_the_shots_with_it_and_leaves_their_files(shots):
    shots.order(Ticket(1))
    shots.order(Ticket(2))
    assert shots.lost(20.0) == [Ticket(1), Ticket(2)]
    assert shots.first is None
    assert shots.lost_for_s(23.0) == 3.0


@pytest.mark.parametrize(("newest", "lost_for_s"), [(5, 1.0), (6, None)])
def test_the_files_of_a_shot_are_left_until_a_live_frame_has_come_after_it(shots, newest, lost_for_s):
    shots.order(Ticket(1))
    shots.ended(sequence=5, has_still=True)
    shots.frame_came(newest)
    assert shots.lost(20.0) == []
    assert shots.lost_for_s(21.0) == lost_for_s


def test_files_are_left_since_the_first_loss_though_further_children_end(shots):
    shots.order(Ticket(1))
    shots.lost(20.0)
    shots.lost(30.0)
    assert shots.lost_for_s(31.0) == 11.0


@pytest.mark.parametrize(("has_still", "lost_for_s"), [(True, None), (False, 20.0)])
def test_files_are_left_until_a_live_frame_has_come_after_a_later_still(shots, has_still, lost_for_s):
    """A driver removes them with the files of a still; a shot that it refuses removes none."""
    shots.order(Ticket(1))
    shots.lost(20.0)
    shots.frame_came(7)
    assert shots.lost_for_s(30.0) == 10.0
    shots.order(Ticket(2))
    shots.ended(sequence=8, has_still=has_still)
    shots.frame_came(9)
    assert shots.lost_for_s(40.0) == lost_for_s
