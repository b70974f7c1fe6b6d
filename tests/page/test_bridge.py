"""The bridge between the page's thread and the frame loop, under schedules that a quiet machine seldom shows."""

import sys

import pytest

from kiosk.page import bridge as module
from kiosk.page.bridge import Bridge


@pytest.fixture
def hang_up_between(monkeypatch):
    """Let the asker hang up at the n-th call or line within `Bridge.answer`, as another thread could."""

    def answered(line):
        bridge = Bridge()
        waiting = bridge.ask("000000")
        (asked,) = bridge.poll()
        lines = 0

        def trace(frame, event, _):
            nonlocal lines
            if frame.f_code.co_filename == module.__file__ and event == "line":
                lines += 1
                if lines == line:
                    waiting.cancel()
            return trace

        sys.settrace(trace)
        try:
            bridge.answer(asked.asker, "wrong")
        finally:
            sys.settrace(None)
        return waiting, lines

    return answered


def test_an_asker_who_hangs_up_at_any_moment_does_not_end_the_loop(hang_up_between):
    _, lines = hang_up_between(0)
    assert lines >= 3
    for line in range(1, lines + 1):
        waiting, _ = hang_up_between(line)
        assert waiting.cancelled() or waiting.result() == "wrong"
