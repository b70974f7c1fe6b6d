"""Hands and keys, fed as the events that SDL sends."""

import pygame
import pytest

from kiosk.screens.hardware.input import Input, MoveFocus, Press, Tap

SIZE = (1080, 1920)


@pytest.fixture
def hands():
    return Input(SIZE)


def finger(kind, x, y, finger_id=7):
    return pygame.event.Event(kind, x=x / SIZE[0], y=y / SIZE[1], finger_id=finger_id, touch_id=1, dx=0.0, dy=0.0)


def down(x, y, finger_id=7):
    return finger(pygame.FINGERDOWN, x, y, finger_id)


def up(x, y, finger_id=7):
    return finger(pygame.FINGERUP, x, y, finger_id)


def motion(x, y, finger_id=7):
    return finger(pygame.FINGERMOTION, x, y, finger_id)


def mouse(kind, x, y, button=pygame.BUTTON_LEFT):
    return pygame.event.Event(kind, pos=(x, y), button=button)


def click(x, y, button=pygame.BUTTON_LEFT):
    return [mouse(pygame.MOUSEBUTTONDOWN, x, y, button), mouse(pygame.MOUSEBUTTONUP, x, y, button)]


def key(name, mod=0):
    return pygame.event.Event(pygame.KEYDOWN, key=name, mod=mod, unicode="", scancode=0)


def at(gestures):
    return [(round(gesture.x), round(gesture.y)) for gesture in gestures]


def test_a_touch_counts_when_it_is_released(hands):
    assert hands.read([down(540, 960)], 10.0) == []
    assert at(hands.read([motion(542, 961), up(543, 961)], 10.1)) == [(540, 960)]


def test_a_click_is_a_touch(hands):
    assert hands.read(click(300, 400), 10.0) == [Tap(300.0, 400.0)]


@pytest.mark.parametrize("button", [pygame.BUTTON_RIGHT, pygame.BUTTON_MIDDLE, pygame.BUTTON_WHEELUP])
def test_other_buttons_do_nothing(hands, button):
    assert hands.read(click(300, 400, button), 10.0) == []


def test_a_drag_is_no_tap(hands):
    assert hands.read([down(540, 960), motion(540, 1100), up(540, 1100)], 10.0) == []
    assert hands.read([mouse(pygame.MOUSEBUTTONDOWN, 9, 9), mouse(pygame.MOUSEBUTTONUP, 99, 9)], 20.0) == []


def test_a_trembling_finger_still_taps(hands):
    assert at(hands.read([down(540, 960), motion(560, 990), up(570, 1000)], 10.0)) == [(540, 960)]


def test_a_release_that_never_began_does_nothing(hands):
    assert hands.read([up(540, 960), mouse(pygame.MOUSEBUTTONUP, 5, 5)], 10.0) == []


def test_the_second_tap_of_a_double_tap_is_dropped(hands):
    assert len(hands.read([down(540, 960), up(540, 960)], 10.0)) == 1
    assert hands.read([down(540, 960), up(540, 960)], 10.2) == []
    assert len(hands.read([down(540, 960), up(540, 960)], 10.6)) == 1


def test_two_fingers_are_no_tap_and_the_next_one_is(hands):
    both = [down(300, 960, 1), down(700, 960, 2), up(300, 960, 1), up(700, 960, 2)]
    assert hands.read(both, 10.0) == []
    assert at(hands.read([down(700, 960, 1), up(700, 960, 1)], 11.0)) == [(700, 960)]


def test_the_mouse_event_beside_a_touch_is_dropped(hands):
    both = [down(540, 960), *click(540, 960)[:1], up(540, 960), *click(540, 960)[1:]]
    assert at(hands.read(both, 10.0)) == [(540, 960)]
    assert hands.read(click(540, 960), 10.4) == []
    assert len(hands.read(click(540, 960), 11.0)) == 1


def test_a_touch_begun_on_the_screen_before_does_not_count(hands):
    hands.read([down(540, 960)], 10.0)
    hands.forget()
    assert hands.read([up(540, 960)], 10.1) == []
    assert len(hands.read([down(540, 960), up(540, 960)], 10.6)) == 1


def test_keys(hands):
    events = [key(pygame.K_TAB), key(pygame.K_RIGHT), key(pygame.K_DOWN)]
    assert hands.read(events, 10.0) == [MoveFocus(1)] * 3
    events = [key(pygame.K_TAB, pygame.KMOD_LSHIFT), key(pygame.K_LEFT), key(pygame.K_UP)]
    assert hands.read(events, 10.0) == [MoveFocus(-1)] * 3
    assert hands.read([key(pygame.K_RETURN), key(pygame.K_KP_ENTER), key(pygame.K_SPACE)], 10.0) == [
        Press(),
        Press(),
        Press(is_space=True),
    ]
    assert hands.read([key(pygame.K_F4), key(pygame.K_a)], 10.0) == []


def test_closing_the_window_is_noticed(hands):
    assert not hands.closed
    assert hands.read([pygame.event.Event(pygame.QUIT)], 10.0) == []
    assert hands.closed


def test_a_finger_that_is_never_lifted_keeps_others_from_counting_for_a_while_only(hands):
    hands.read([down(10, 10, finger_id=1)], 0.0)
    assert hands.read([down(500, 500, finger_id=2), up(500, 500, finger_id=2)], 1.0) == []
    assert hands.read([down(500, 500, finger_id=3), up(500, 500, finger_id=3)], 60.0) == [Tap(500, pytest.approx(500))]
