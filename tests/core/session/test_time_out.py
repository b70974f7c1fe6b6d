"""The time-out leaves the time of WCAG 2.2, 2.2.1 (A), as quoted.

The user is warned, has at least 20 seconds to extend with a simple action, and can do so at least ten times.
"""

from dataclasses import replace

import pytest

from kiosk.core.base.measurement import Observation
from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.escalation import EMPTY_SEAT_S
from kiosk.core.session.events import Seen, Tick
from kiosk.core.session.presenter import present
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.session.time_limits import WARNING_S
from kiosk.core.view.intent import Intent
from kiosk.screens.spoken import spoken
from tests.support.sights import DOCUMENT, WHERE, seen

HOUSE = BoothConfig((DOCUMENT,))
AT_WORK = {"shooting", "measuring", "paying", "printing", "collect", "take_file", "money_back", "thanks"}
"""Here the sitter need do nothing, or is done and all is wiped; what ends the others is a device that does not answer.
A payment counts down on its own screen.
"""
ASKING = [state for state in HOUSE.idle_s if state not in AT_WORK]


def time_left_s(session: Session, now_s: float) -> float | None:
    return present(session, HOUSE, now_s, simulated=False, copies=1, paper="a6").time_left_s


@pytest.mark.parametrize("state", ASKING)
def test_each_state_warns_for_20_seconds_and_can_be_extended_more_than_ten_times(state):
    session = Session(state=state, document=DOCUMENT, where=WHERE)
    now_s = 0.0
    for _ in range(12):
        end_s = now_s + HOUSE.idle_s[state]
        assert time_left_s(session, end_s - WARNING_S - 0.1) is None
        assert time_left_s(session, end_s - 20.0 - 1 / 30) is not None, "even where a frame comes late"
        now_s = end_s - 0.1
        session, _ = step(session, Tick(), now_s, HOUSE)
        assert session.state == state
        session, commands = step(session, Intent("more_time"), now_s, HOUSE)
        assert (session.state, commands) == (state, ())
        assert time_left_s(session, now_s) is None
    gone, _ = step(session, Tick(), now_s + HOUSE.idle_s[state] + 0.1, HOUSE)
    assert gone.state == ("out_of_order" if state == "unprinted" else "welcome"), "a sheet's fate is told"


def test_nobody_is_asked_for_an_answer_once_all_is_wiped():
    collecting = Session(state="collect", document=DOCUMENT)
    assert all(time_left_s(collecting, second) is None for second in range(60))
    gone, _ = step(collecting, Tick(), HOUSE.idle_s["collect"] + 0.1, HOUSE)
    assert gone.state == "thanks"


def test_every_limit_leaves_time_before_the_warning():
    assert min(HOUSE.idle_s[state] for state in ASKING) >= 2 * WARNING_S
    assert {"welcome", "out_of_order"}.isdisjoint(HOUSE.idle_s), "there nothing is lost by waiting"


def left_seat(last_s: float, config: BoothConfig = HOUSE) -> Session:
    """Return the session of a sitter who was seen at 0 s and not since, pictures having come until `last_s`."""
    session = Session(state="align", document=DOCUMENT, where=WHERE)
    session, _ = step(session, Seen(seen()), 0.0, config)
    for tick in range(1, round(last_s * 10) + 1):
        session, _ = step(session, Seen(Observation(640, 800, 0)), tick / 10, config)
        session, _ = step(session, Tick(), tick / 10, config)
    return session


def test_an_empty_seat_ends_the_session_30_s_later_with_a_countdown():
    """Otherwise the next visitor sits down to the document and the age of the one before."""
    assert time_left_s(left_seat(EMPTY_SEAT_S), EMPTY_SEAT_S) is None
    warned = left_seat(EMPTY_SEAT_S + 2.0)
    shown = present(warned, HOUSE, EMPTY_SEAT_S + 2.0, simulated=False, copies=1, paper="a6")
    assert shown.time_left_s > 19.0
    assert spoken(shown) == "timeout.unseen"
    assert left_seat(EMPTY_SEAT_S + WARNING_S).state == "align"
    assert left_seat(EMPTY_SEAT_S + WARNING_S + 2.0).state == "welcome"


def test_who_comes_back_or_asks_for_time_or_has_called_goes_on():
    now_s = EMPTY_SEAT_S + 5.0
    away = left_seat(now_s)
    asked, _ = step(away, Intent("more_time"), now_s, HOUSE)
    assert time_left_s(asked, now_s) is None
    back = away
    for tick in range(15):
        back, _ = step(back, Seen(seen()), now_s + tick / 10, HOUSE)
    assert time_left_s(back, now_s + 1.5) is None
    called, _ = step(away, Intent("call"), now_s, replace(HOUSE, attended=True))
    after, _ = step(called, Tick(), now_s + EMPTY_SEAT_S + WARNING_S + 5.0, HOUSE)
    assert after.state == "align"


def test_a_face_that_never_reacts_is_not_coached_for_ever():
    """Two instructions without effect take turns, and a turn is no sign of a sitter: a poster has a face too."""
    session, now_s = Session(state="align", document=DOCUMENT, where=WHERE), 0.0
    while session.state == "align" and now_s < 3 * HOUSE.idle_s["align"]:
        session, _ = step(session, Seen(seen(scale=1.6, yaw=15.0)), now_s, HOUSE)
        session, _ = step(session, Tick(), now_s, HOUSE)
        now_s += 0.1
    assert session.state == "welcome"
