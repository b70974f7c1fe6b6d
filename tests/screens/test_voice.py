"""The voice: every instruction has words for it, a real speech program makes the files, and the mixer plays them."""

import io
import os
import string
import wave
from dataclasses import replace

os.environ["SDL_AUDIODRIVER"] = "dummy"

import numpy as np
import pygame
import pytest

from kiosk.commands.voice import speak
from kiosk.core.session.step import BoothConfig, Session, step
from kiosk.core.view.intent import LOUDEST, Intent
from kiosk.errors import MissingPart
from kiosk.i18n import Words, available
from kiosk.screens import spoken as words_of
from kiosk.screens.hardware.voice import Voice
from kiosk.screens.spoken import KEYS, SUFFIX, spoken
from tests.support.lasting_sounds import lasting
from tests.support.sights import DOCUMENT

HOUSE = BoothConfig((DOCUMENT,))


def tone() -> bytes:
    """Return a sound that plays until it is stopped."""
    file = io.BytesIO()
    with wave.open(file, "wb") as sound:
        sound.setparams((1, 2, 22050, 0, "NONE", ""))
        sound.writeframes(lasting(np.full(22050, 0x1000, np.int16)).tobytes())
    return file.getvalue()


@pytest.fixture
def voice(tmp_path):
    (tmp_path / "tone").write_bytes(tone())
    for tag in ("en", "ar"):
        (tmp_path / tag).mkdir()
        for key in KEYS:
            (tmp_path / tag / f"{key}{SUFFIX}").hardlink_to(tmp_path / "tone")
    speaker = Voice(tmp_path)
    yield speaker
    speaker.close()


def test_whatever_is_on_the_screen_has_words_for_the_voice(views, every_instruction, other_words):
    said = {spoken(view) for view in (views | every_instruction | other_words).values()}
    assert said - {""} <= set(KEYS)
    assert len(said) > 40


@pytest.mark.parametrize("tag", available())
def test_what_is_said_is_in_every_language_and_holds_no_number(tag):
    words = Words.load(tag)
    for key in KEYS:
        assert words.has(key), key
        assert [name for _, name, _, _ in string.Formatter().parse(words.bare(key)) if name] == []


@pytest.mark.parametrize("tag", available())
def test_the_speech_program_makes_a_file_in_every_language(tag, tmp_path, monkeypatch):
    monkeypatch.setattr(words_of, "KEYS", ("instruction.turn_left",))
    assert speak(tag, tmp_path) == 1
    with wave.open(str(tmp_path / tag / f"instruction.turn_left{SUFFIX}")) as sound:
        assert 0.5 < sound.getnframes() / sound.getframerate() < 8.0
    assert speak(tag, tmp_path) == 0, "what is there is kept"


def test_a_missing_program_or_voice_is_told(tmp_path, monkeypatch):
    with pytest.raises(MissingPart, match="no-such-program"):
        speak("en", tmp_path, "no-such-program")
    monkeypatch.setattr("kiosk.commands.voice.VOICES", {"en": "no-such-voice"})
    with pytest.raises(MissingPart, match="no-such-voice"):
        speak("en", tmp_path)
    assert list(tmp_path.rglob("*.wav")) == []


def test_an_instruction_is_said_once_and_the_next_takes_its_place(voice, every_instruction):
    turn, chin = (replace(every_instruction[key], language="ar", volume=LOUDEST) for key in ("turn_left", "chin_up"))
    playing = []
    for view in (turn, turn, chin):
        voice.say(view)
        playing.append([pygame.mixer.Channel(index).get_sound() for index in range(pygame.mixer.get_num_channels())])
    (first,), (again,), (second,) = ([sound for sound in sounds if sound] for sounds in playing)
    assert first is again
    assert second is not first
    voice.say(replace(chin, volume=0))
    assert not pygame.mixer.get_busy()
    voice.say(chin)
    assert pygame.mixer.get_busy(), "it speaks again when it is turned up"


def test_a_lower_volume_is_played_more_quietly(voice, every_instruction):
    voice.say(replace(every_instruction["turn_left"], volume=1))
    (sound,) = [found for index in range(8) if (found := pygame.mixer.Channel(index).get_sound())]
    assert sound.get_volume() == pytest.approx(1 / LOUDEST, abs=0.01)


def test_without_files_or_a_sound_card_the_booth_goes_on_in_silence(tmp_path, every_instruction, monkeypatch):
    (tmp_path / "en").mkdir()
    (tmp_path / "en" / "instruction.turn_left.wav").write_bytes(b"no sound")
    for folder in (None, tmp_path):
        speaker = Voice(folder)
        speaker.say(replace(every_instruction["turn_left"], volume=2))
        speaker.say(replace(every_instruction["chin_up"], volume=2))
        speaker.close()
    monkeypatch.setenv("SDL_AUDIODRIVER", "no-such-driver")
    speaker = Voice(tmp_path)
    speaker.say(replace(every_instruction["turn_left"], volume=2))
    speaker.close()


def test_the_volume_goes_down_to_silence_and_up_to_its_most():
    session = Session()
    for wish, level in (("-1", 1), ("-1", 0), ("-1", 0), ("1", 1), ("1", 2), ("1", 3), ("1", 3), ("9", 3)):
        session, _ = step(session, Intent("volume", wish), 0.0, HOUSE)
        assert session.volume == level


def test_at_an_event_it_speaks_of_the_badge(views):
    said = [spoken(views[name]) for name in ("find", "printing_badge", "collect_badge")]
    assert said == ["find.title", "collect.badge", "collect.badge"]
    assert set(said) <= set(KEYS)
