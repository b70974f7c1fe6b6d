"""The booth's metrics as an OpenMetrics page, for a monitoring server that has the token.

The names follow Prometheus's practice: a prefix, base units, `_total` behind counters. A count whose labels are known
beforehand is there from the first reading, with 0: Prometheus sees no increase in the first value of a series.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import get_args

from prometheus_client.core import (
    CounterMetricFamily,
    GaugeMetricFamily,
    InfoMetricFamily,
    Metric,
    StateSetMetricFamily,
)
from prometheus_client.openmetrics.exposition import CONTENT_TYPE_LATEST, generate_latest
from prometheus_client.registry import Collector, CollectorRegistry
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from kiosk.core.base.decision import Word
from kiosk.core.judging.conformance import Verdict
from kiosk.core.session.commands import Ending
from kiosk.core.session.facts import SheetEnd
from kiosk.core.view.metrics import Installed, Metrics
from kiosk.core.view.sitter import State
from kiosk.page.bridge import Bridge
from kiosk.page.guard import Guard

BEARER = "bearer "
"""The scheme of the token (RFC 6750, 2.1), in any case (RFC 9110, 11.1)."""
SHOTS = (*get_args(Verdict), "lost")
WORDS: tuple[Word, ...] = tuple(word for word in get_args(Word) if word != "advise")
"""All but the word of a rule that no measurement covers."""


@dataclass
class MetricsPage:
    """Responds to whoever has the token; nobody else learns anything, not even whether a token was nearly right."""

    bridge: Bridge
    guard: Guard
    installed: Installed

    async def metrics(self, request: Request) -> Response:
        """Return the metrics of this moment; 503 where the booth does not say them in time."""
        said = request.headers.get("authorization", "")
        token = said[len(BEARER) :].strip() if said[: len(BEARER)].lower() == BEARER else ""
        if not self.guard.may_read(token, request.client.host if request.client else ""):
            return PlainTextResponse("Unauthorized", 401, {"WWW-Authenticate": "Bearer"})
        metrics = await self.bridge.metrics()
        if metrics is None:
            return PlainTextResponse("The booth does not respond.", 503)
        return Response(page_of(metrics, self.installed), headers={"Content-Type": CONTENT_TYPE_LATEST})


def page_of(metrics: Metrics, installed: Installed) -> bytes:
    """Return the page."""
    registry = CollectorRegistry()
    registry.register(_Collected(lambda: _families(metrics, installed)))
    text: bytes = generate_latest(registry)  # type: ignore[no-untyped-call]
    return text


@dataclass(eq=False)
class _Collected(Collector):
    """What a registry collects."""

    families: Callable[[], Iterator[Metric]]

    def collect(self) -> Iterable[Metric]:
        """Yield every family."""
        return self.families()

    def describe(self) -> Iterable[Metric]:
        """Yield nothing: the registry has no other collector with which names could collide."""
        return ()


def _families(metrics: Metrics, installed: Installed) -> Iterator[Metric]:
    counts = metrics.counts
    versions = {name.replace("-", "_"): version for name, version in installed.versions.items()}
    yield InfoMetricFamily("holdstill_build", "Versions of the program, of its rules and of its parts.", value=versions)
    state = StateSetMetricFamily("holdstill_state", "What the booth is doing.")
    state.add_metric([], {name: name == metrics.state for name in get_args(State)})
    yield state
    yield _gauge("holdstill_state_seconds", "For how long it has been doing that.", metrics.state_s, "seconds")
    works = GaugeMetricFamily("holdstill_part_up", "Whether a part of the booth works.", labels=["part"])
    for part, is_up in metrics.works.items():
        works.add_metric([part], is_up)
    yield works
    if metrics.sheets_left is not None:
        yield _gauge("holdstill_sheets_left", "Sheets of paper left, by the count.", metrics.sheets_left)
    yield _gauge("holdstill_few_sheets", "The number of sheets at which paper counts as low.", metrics.few_sheets)
    yield _gauge("holdstill_facts_unsent", "Facts that wait for the office's database.", metrics.unsent_count)
    if installed.rules_read_on is not None and installed.rules_due_on is not None:
        read_s, due_s = _midnight_s(installed.rules_read_on), _midnight_s(installed.rules_due_on)
        words = "When the oldest rules on offer were read or confirmed."
        yield _gauge("holdstill_rules_read_timestamp_seconds", words, read_s, "seconds")
        yield _gauge("holdstill_rules_due_timestamp_seconds", "When they count as old.", due_s, "seconds")
    standing = GaugeMetricFamily(
        "holdstill_fault_active", "Whether something has failed since everything last worked.", labels=["key"]
    )
    for key in sorted({*counts.faults, *counts.standing}):
        standing.add_metric([key], key in counts.standing)
    yield standing
    yield _counter("holdstill_faults", "Reports of faults.", "key", counts.faults)
    yield _counter("holdstill_frames", "Turns of the frame loop.", "", {"": counts.frames})
    yield _counter("holdstill_pictures", "Live pictures that were looked at.", "", {"": counts.pictures})
    yield _counter("holdstill_sessions", "Sessions that have ended.", "ending", counts.sessions, get_args(Ending))
    yield _counter("holdstill_shots", "Shots, by their verdict.", "verdict", counts.shots, SHOTS)
    yield _counter("holdstill_sheets", "Sheets, by how they ended.", "end", counts.sheets, get_args(SheetEnd))
    words_of = CounterMetricFamily(
        "holdstill_judgements", "Judgements of shots by each requirement.", labels=["requirement", "word"]
    )
    for requirement in sorted({name for name, _ in counts.words}):
        for word in WORDS:
            words_of.add_metric([requirement, word], counts.words.get((requirement, word), 0))
    yield words_of


def _gauge(name: str, words: str, value: float, unit: str = "") -> Metric:
    return GaugeMetricFamily(name, words, value, unit=unit)


def _counter(name: str, words: str, label: str, counted: Mapping[str, int], known: Iterable[str] = ()) -> Metric:
    """Return a counter for each value of a label, or a single one without a label."""
    family = CounterMetricFamily(name, words, labels=[label] if label else [])
    for value in dict.fromkeys([*known, *counted]):
        family.add_metric([value] if label else [], counted.get(value, 0))
    return family


def _midnight_s(day: date) -> float:
    return datetime.combine(day, time(), UTC).timestamp()
