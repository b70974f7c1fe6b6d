"""The call sound: its notes, when it rings and rings again, and what is read while it does."""

import os

os.environ["SDL_AUDIODRIVER"] = "dummy"

import numpy as np
import pygame
import pytest

from kiosk.core.view.intent import LOUDEST
from kiosk.i18n import Words
from kiosk.screens.hardware import call_bell
from kiosk.screens.hardware.call_bell import AGAIN_S, CHANNEL, NOTE_S, RATE_HZ, CallBell, bell
from tests.support.lasting_sounds import lasting
from tests.support.views import altered


@pytest.fixture(autouse=True)
def unhurried(monkeypatch):
    """Let the bell ring until it is stopped."""
    monkeypatch.setattr(call_bell, "bell", lambda: lasting(bell()))


@pytest.fixture
def chime():
    of = CallBell(LOUDEST)
    yield of
    of.close()


def rings():
    ringing = pygame.mixer.Channel(CHANNEL).get_busy()
    pygame.mixer.Channel(CHANNEL).stop()
    return ringing


def test_it_is_e5_and_then_c5():
    """Twelve equal steps an octave from A4 = 440 Hz (ISO 16): E5 lies 7 above it and C5 3. Found by numpy's FFT."""
    samples = bell()
    assert np.abs(samples.astype(int)).max() < 32768
    half = round(NOTE_S * RATE_HZ)
    for part, steps in ((samples[:half], 7), (samples[half:], 3)):
        spectrum = np.abs(np.fft.rfft(part, 8 * half))
        found_hz = spectrum.argmax() * RATE_HZ / (8 * half)
        assert found_hz == pytest.approx(440 * 2 ** (steps / 12), abs=1.0)


def test_it_rings_once_for_a_call_and_again_until_somebody_comes(chime, views):
    view = altered(views["review_called"], now_s=10.0)
    told = []
    for now_s, called in (
        (10.0, False),
        (10.1, True),
        (10.2, True),
        (10.1 + AGAIN_S, True),
        (50.0, False),
        (50.1, True),
    ):
        chime.ring(altered(view, now_s=now_s, called=called))
        told.append(rings())
    assert told == [False, True, False, True, False, True]


def test_it_is_as_loud_as_the_settings_say(chime, views):
    for volume in range(1, LOUDEST + 1):
        quieter = CallBell(volume)
        quieter.ring(views["review_called"])
        sound = pygame.mixer.Channel(CHANNEL).get_sound()
        assert sound.get_volume() == pytest.approx(volume / LOUDEST, abs=0.01)
    silent = CallBell(0)
    rings()
    silent.ring(views["review_called"])
    assert not rings()


def test_without_a_sound_card_the_booth_goes_on(monkeypatch, views):
    pygame.mixer.quit()
    monkeypatch.setenv("SDL_AUDIODRIVER", "no-such-driver")
    silent = CallBell(LOUDEST)
    silent.ring(views["review_called"])
    silent.close()


def test_what_is_heard_is_read_on_every_screen_until_somebody_comes(draw, views):
    words = Words.load("en").tr("called.title")
    for name in ("welcome", "align", "review_called", "release", "out_of_order"):
        for called in (True, False):
            stage, _ = draw(altered(views[name], called=called, simulated=False), (1080, 1920))
            assert any(words in block.text for _, block in stage.blocks) == called, name


def test_a_simulation_goes_on_to_say_that_it_is_one(draw, views):
    stage, with_bell = draw(views["review_called"], (1080, 1920))
    assert any(Words.load("en").tr("simulation") in block.text for _, block in stage.blocks)
    _, without = draw(altered(views["review_called"], called=False), (1080, 1920))
    assert (with_bell[:60] != without[:60]).any()
