"""Headphones: in, the voice speaks from the welcome screen on; out, it is silent; and a jack may come and go.

The kernel's device is stood in for by a FIFO that carries the same bytes; a FIFO answers no question about its state.
"""

import os
import struct

import pytest

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.state import NEXT, USUAL_VOLUME, Session
from kiosk.core.session.step import step
from kiosk.core.view.intent import LOUDEST, Intent
from kiosk.i18n import Words
from kiosk.screens.hardware import headphone_jack
from kiosk.screens.hardware.display import Display
from kiosk.screens.hardware.headphone_jack import AGAIN_S, HeadphoneJack
from kiosk.screens.spoken import KEYS, spoken
from kiosk.screens.touch_screen import TouchScreen
from tests.support.sights import DOCUMENT
from tests.support.views import altered

CONFIG = BoothConfig((DOCUMENT,), has_voice=True)


def event(kind: int, code: int, value: int) -> bytes:
    """Return an event as the kernel writes it: linux/input.h, with a native timeval."""
    return struct.pack("@llHHi", 1, 2, kind, code, value)


INSERTED, PULLED = event(5, 2, 1), event(5, 2, 0)
REPORT = event(0, 0, 0)


@pytest.fixture
def jack(tmp_path):
    """Return the path of a FIFO and the file to write events into."""
    path = tmp_path / "event7"
    os.mkfifo(path)
    writer = os.open(path, os.O_RDWR | os.O_NONBLOCK)
    yield path, writer
    os.close(writer)


def test_the_requests_are_those_of_the_kernel():
    """The numbers as strace(1) prints them for evtest (from memory): EVIOCGSW(1) and EVIOCGBIT(EV_SW, 1)."""
    assert headphone_jack.EVIOCGSW == 0x8001451B
    assert headphone_jack.EVIOCGBIT_SW == 0x80014525
    assert headphone_jack.EVENT.size == (24 if struct.calcsize("l") == 8 else 16)


def test_the_switch_is_followed_through_other_events_and_torn_reads(jack):
    path, writer = jack
    followed = HeadphoneJack(path)
    assert not followed.is_in(0.0)
    os.write(writer, INSERTED + REPORT)
    assert followed.is_in(0.1)
    os.write(writer, event(5, 4, 0) + event(1, 2, 0) + REPORT)
    assert followed.is_in(0.2), "another switch, and a key with the same number"
    os.write(writer, PULLED[:10])
    assert followed.is_in(0.3)
    os.write(writer, PULLED[10:])
    assert not followed.is_in(0.4)
    followed.close()
    followed.close()


def test_a_jack_that_goes_holds_nothing_and_is_found_again(jack, tmp_path):
    path, writer = jack
    followed = HeadphoneJack(path)
    followed.is_in(0.0)
    os.write(writer, INSERTED)
    assert followed.is_in(0.1)
    path.unlink()
    os.dup2(os.open(os.devnull, os.O_RDONLY), writer)
    assert not followed.is_in(0.2), "nobody writes any more: the device is gone"
    os.mkfifo(path)
    again = os.open(path, os.O_RDWR | os.O_NONBLOCK)
    os.write(again, INSERTED)
    assert not followed.is_in(0.3), "not looked for at every frame"
    assert followed.is_in(0.3 + AGAIN_S)
    os.close(again)
    followed.close()


def test_without_a_jack_no_headphones_are_ever_in(tmp_path):
    assert not HeadphoneJack(tmp_path / "none").is_in(0.0)
    (tmp_path / "event0").write_bytes(INSERTED)
    assert not HeadphoneJack(inputs=tmp_path).is_in(0.0), "a file that has no switches"


def test_headphones_turn_the_voice_on_in_every_state_and_pulled_out_it_is_silent():
    for state in NEXT:
        plugged, _ = step(Session(state=state, volume=0), Intent("headphones", "in"), 1.0, CONFIG)
        assert (plugged.headphones, plugged.volume) == (True, USUAL_VOLUME)
        pulled, _ = step(plugged, Intent("headphones", "out"), 2.0, CONFIG)
        assert (pulled.headphones, pulled.volume) == (False, 0)
    loud, _ = step(Session(volume=LOUDEST), Intent("headphones", "in"), 1.0, CONFIG)
    assert loud.volume == LOUDEST


def test_the_next_sitter_has_the_usual_voice_and_headphones_that_are_still_in():
    for argument, is_in in (("in", True), ("out", False)):
        session, _ = step(Session(state="choose"), Intent("headphones", argument), 1.0, CONFIG)
        fresh, _ = step(session, Intent("start_again"), 2.0, CONFIG)
        assert (fresh.state, fresh.headphones, fresh.volume) == ("welcome", is_in, USUAL_VOLUME)


def test_the_welcome_screen_speaks_into_headphones_only(views):
    assert spoken(views["welcome"]) == ""
    assert spoken(altered(views["welcome"], headphones=True)) in KEYS


def test_the_screen_reports_a_change_once_it_is_not_what_is_shown(jack, views):
    path, writer = jack
    screen = TouchScreen(Display((270, 480)), Words.load("en"), jack=HeadphoneJack(path))
    screen.show(views["welcome"], None)
    assert screen.intents() == []
    os.write(writer, INSERTED)
    assert screen.intents() == [Intent("headphones", "in")]
    screen.show(altered(views["welcome"], headphones=True), None)
    assert screen.intents() == []
    os.write(writer, PULLED)
    assert screen.intents() == [Intent("headphones", "out")]
    screen.close()
