"""Which shots are on order, and when one may have left its files on the camera."""

import pytest

from kiosk.core.base.ticket import Ticket
from kiosk.devices.camera.shots import Shots


@pytest.fixture
def shots():
    return Shots()


def test_shots_are_taken_in_the_order_in_which_they_came_and_each_once(shots):
    assert [shots.order(Ticket(number)) for number in (1, 2, 1)] == [True, True, False]
    assert shots.first == Ticket(1)
    shots.ended(sequence=5)
    assert shots.first == Ticket(2)
    shots.ended(sequence=9)
    assert shots.first is None


def test_a_child_that_ends_takes_the_shots_with_it_and_leaves_their_files(shots):
    shots.order(Ticket(1))
    shots.order(Ticket(2))
    assert shots.lost() == [Ticket(1), Ticket(2)]
    assert shots.first is None
    assert shots.left_files()
    assert not shots.left_files()


@pytest.mark.parametrize(("newest", "are_left"), [(5, True), (6, False)])
def test_the_files_of_a_shot_are_left_until_a_live_frame_has_come_after_it(shots, newest, are_left):
    shots.order(Ticket(1))
    shots.ended(sequence=5)
    shots.frame_came(newest)
    assert shots.lost() == []
    assert shots.left_files() == are_left


def test_files_are_left_to_the_first_child_that_has_the_camera_though_others_ended_before(shots):
    shots.order(Ticket(1))
    shots.lost()
    shots.lost()
    assert shots.left_files()
