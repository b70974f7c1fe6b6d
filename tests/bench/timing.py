"""Time taken by a call, for the benches."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable


def median_s(function: Callable[[], object], times: int) -> float:
    """Return the median time of a call."""
    spans = []
    for _ in range(times):
        began_s = time.perf_counter()
        function()
        spans.append(time.perf_counter() - began_s)
    return statistics.median(spans)


def median_cpu_s(function: Callable[[], object], times: int) -> float:
    """Return the median time of the processor that a call takes, all threads together, whatever else runs."""
    spans = []
    for _ in range(times):
        began_s = time.process_time()
        function()
        spans.append(time.process_time() - began_s)
    return statistics.median(spans)


def in_turns_s(functions: dict[str, Callable[[], object]], times: int) -> dict[str, float]:
    """Return the median time of each call; they take turns, so that what else the machine does hits all alike."""
    spans: dict[str, list[float]] = {name: [] for name in functions}
    for _ in range(times):
        for name, function in functions.items():
            spans[name].append(median_s(function, 1))
    return {name: statistics.median(each) for name, each in spans.items()}
