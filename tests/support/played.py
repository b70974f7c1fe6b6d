"""A session's way to the review, played without any device, for the tests that begin there."""

from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.judging.conformance import Judgement, judge
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.events import Measured, Seen, ShotArrived, Still
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.view.intent import Intent
from tests.support.sights import DOCUMENT, IN_TIME, conforming, seen, timely

HOUSE = BoothConfig((DOCUMENT,), languages=("en", "ar"), shots=3)
SHUT = Measurement("eyes_open", 0.0, "ratio")

GOOD = Still(judge(conforming(DOCUMENT), DOCUMENT), b"jpeg")
NEARLY = Still(judge(conforming(DOCUMENT, eyes_open=SHUT), DOCUMENT), b"jpeg")
BAD = Still(Judgement(DOCUMENT.id, Observation(1600, 2000, 0), None, ()))


def play(session: Session, *events, start_s=0.0, apart_s=0.1):
    """Feed events; return the session and all commands."""
    commands = []
    for index, event in enumerate(events):
        session, new = step(session, timely(session, event), start_s + index * apart_s, HOUSE)
        commands += new
    return session, commands


TO_ALIGN = (Intent("start"), Intent("choose", DOCUMENT.id), Intent("ready", "6"), Intent("agree"))
HOLDING = (Seen(seen()),) * 60


def shot(start_s=0.0):
    """Return a session whose shutter has just fired, and its commands."""
    session, commands = play(Session(), *TO_ALIGN, *HOLDING, start_s=start_s)
    assert session.state == "shooting"
    return session, commands


def review() -> Session:
    """Return a session that shows a conforming photo."""
    session, _ = shot()
    session, _ = play(session, ShotArrived(IN_TIME, b"jpeg"), Measured(IN_TIME, GOOD), start_s=20.0)
    return session
