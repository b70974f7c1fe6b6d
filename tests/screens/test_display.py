"""The window, on SDL's dummy driver: what is drawn is what is shown, and a touch on it comes back as an intent."""

import signal
import subprocess
import sys

import cv2
import numpy as np
import pygame
import pytest

from kiosk.core.view.intent import Intent
from kiosk.errors import CannotWrite, NoDisplay
from kiosk.i18n import Words
from kiosk.screens.hardware.display import Display, save_png
from kiosk.screens.touch_screen import TouchScreen

SIZE = (540, 960)


@pytest.fixture
def display():
    opened = Display(SIZE)
    yield opened
    opened.close()


def test_the_window_shows_the_picture_as_it_is(display):
    picture = np.random.default_rng(1).integers(0, 256, (SIZE[1], SIZE[0], 4), np.uint8)
    display.present(picture)
    shown = pygame.surfarray.array3d(pygame.display.get_surface()).swapaxes(0, 1)
    assert np.array_equal(shown, picture[..., 2::-1])


def test_the_window_knows_its_size_and_driver(display):
    assert display.size == SIZE
    assert display.driver == "dummy"


def test_it_closes_twice(display):
    display.close()
    display.close()


def test_without_a_screen_it_says_so(monkeypatch):
    monkeypatch.setenv("SDL_VIDEODRIVER", "no-such-driver")
    pygame.display.quit()
    with pytest.raises(NoDisplay):
        Display(SIZE)


def test_a_touch_is_sent_once():
    import os

    assert os.environ["SDL_TOUCH_MOUSE_EVENTS"] == os.environ["SDL_MOUSE_TOUCH_EVENTS"] == "0"


def test_a_png_holds_what_was_drawn(tmp_path, draw, views):
    _, picture = draw(views["welcome"], (1080, 1920))
    save_png(picture, tmp_path / "screen.png")
    assert np.array_equal(cv2.imread(str(tmp_path / "screen.png")), picture[..., :3])


def test_a_png_that_cannot_be_written_leaves_nothing(tmp_path, draw, views):
    _, picture = draw(views["welcome"], (1080, 1920))
    with pytest.raises(CannotWrite):
        save_png(picture, tmp_path / "missing" / "screen.png")
    assert list(tmp_path.iterdir()) == []


def test_a_touch_on_the_window_becomes_an_intent(display, views):
    screen = TouchScreen(display, Words.load("en"))
    screen.show(views["privacy"], None)
    (agree,) = [target for target in screen.stage.targets if target.act == Intent("agree")]
    where = round(agree.rect.centre.x), round(agree.rect.centre.y)
    for kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP):
        pygame.event.post(pygame.event.Event(kind, button=pygame.BUTTON_LEFT, pos=where))
    assert screen.intents() == [Intent("agree")]
    assert screen.intents() == []


def test_a_touch_begun_before_the_screen_changed_does_not_count(display, views):
    """Else a finger on "I agree" would start the session again as the warning comes up beneath it."""
    screen = TouchScreen(display, Words.load("en"))
    screen.show(views["privacy"], None)
    (agree,) = [target for target in screen.stage.targets if target.act == Intent("agree")]
    where = round(agree.rect.centre.x), round(agree.rect.centre.y)
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONDOWN, button=pygame.BUTTON_LEFT, pos=where))
    assert screen.intents() == []
    screen.show(views["warning"], None)
    pygame.event.post(pygame.event.Event(pygame.MOUSEBUTTONUP, button=pygame.BUTTON_LEFT, pos=where))
    assert screen.intents() == []


def test_keys_on_the_window_become_intents(display, views):
    screen = TouchScreen(display, Words.load("en"))
    screen.show(views["welcome"], None)
    for key in (pygame.K_TAB, pygame.K_RETURN):
        pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, mod=0, unicode="", scancode=0))
    assert screen.intents() == [Intent("more_time"), Intent("start")]


def test_whoever_is_told_to_end_ends_also_with_a_window_open():
    """SIGTERM's own action is to end the process (POSIX.1-2017, signal.h)."""
    opening = "import time; from kiosk.screens.hardware.display import Display; Display((54, 96))"
    program = f"{opening}; print(1, flush=True); time.sleep(60)"
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) as process:
        assert any(line == "1\n" for line in process.stdout)
        process.terminate()
        assert process.wait(60) == -signal.SIGTERM
