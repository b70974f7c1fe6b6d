"""How long something takes, whatever else the machine does meanwhile."""

import itertools
import time
from collections.abc import Callable

TURN_S = 0.005
FOR_EVER_S = 120.0


def turns_until(is_over: Callable[[], object]) -> float:
    """Return how long it took until something was over, in turns of a loop, in seconds.

    A busy machine makes fewer turns in a second, so that a limit which holds on a free one holds there, too.
    """
    end_s = time.monotonic() + FOR_EVER_S
    for turns in itertools.count():
        if is_over():
            return turns * TURN_S
        assert time.monotonic() < end_s, "it never was"
        time.sleep(TURN_S)
    raise AssertionError
