"""The time-out leaves the time of WCAG 2.2, 2.2.1 (A), as quoted.

The user is warned, has at least 20 seconds to extend with a simple action, and can do so at least ten times.
"""

import pytest

from kiosk.core.session.events import Tick
from kiosk.core.session.presenter import WARNING_S, present
from kiosk.core.session.state import BoothConfig, Session
from kiosk.core.session.step import step
from kiosk.core.view.sitter import Intent
from tests.core.sights import DOCUMENT, WHERE

HOUSE = BoothConfig((DOCUMENT,))
AT_WORK = {"shooting", "measuring", "printing", "thanks"}
"""Here the sitter need do nothing, or is done; what ends them is a device that does not answer."""
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
    assert gone.state == ("thanks" if state == "collect" else "welcome")


def test_every_limit_leaves_time_before_the_warning():
    assert min(HOUSE.idle_s[state] for state in ASKING) >= 2 * WARNING_S
    assert {"welcome", "out_of_order"}.isdisjoint(HOUSE.idle_s), "there nothing is lost by waiting"
