"""The vision worker: what it saw of one sitter is never taken for the next."""

from kiosk.devices.base import LiveFrame
from kiosk.pipeline.worker import Worker


def test_a_look_that_ends_in_the_next_session_is_forgotten():
    """The first look is still under way when it is stopped and the next begins, in the same way of looking."""

    def look(frame):
        worker.look_on(False)
        worker.look_on(True)
        return frame.sequence

    worker = Worker(lambda: LiveFrame(7, 0.0, b""), look)
    worker.look_on(True)
    assert worker.turn()
    assert worker.seen() is None
