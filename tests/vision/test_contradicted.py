"""No confident word about a rendered sitter is contradicted by the truth by more than the stated uncertainty."""

from __future__ import annotations

import importlib
from collections import Counter
from pathlib import Path
from types import ModuleType

import pytest

from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement
from tests.support.rendered_sitters import SITTERS, Measured

ROOT = Path(__file__).parents[2]


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """Return the module that the bench counts contradictions with."""
    monkeypatch.syspath_prepend(str(ROOT / "tests" / "bench"))
    return importlib.import_module("contradicted")


def test_words_and_truth(bench: ModuleType, measured: Measured) -> None:
    rendered = importlib.import_module("rendered")
    words: Counter[tuple[str, str]] = Counter()
    for name, _, truth in rendered.pictures(SITTERS):
        for case in bench.cases(truth, measured(name)):
            words[case.name, case.word] += 1
            assert case.excess <= 1, (name, case)
    for name in ("yaw", "pitch", "eyes_open"):
        assert words[name, "pass"] > 0
        assert words[name, "fail"] > 0
    assert words["head_size, crown", "pass"] > 0


@pytest.mark.parametrize(
    ("measured", "true", "excess"),
    [(3.0, 6.5, 1.5), (3.0, 4.0, -1.0), (4.5, 9.0, None), (7.0, 4.0, 1.0), (7.0, 9.0, -4.0), (-7.0, 0.0, 5.0)],
)
def test_how_far_the_truth_is_beyond_a_limit(
    bench: ModuleType, measured: float, true: float, excess: float | None
) -> None:
    """A limit of 5 either way and an uncertainty of 1; 4.5 is too near the limit for a confident word."""
    case = bench.Case("yaw", Measurement("yaw", measured, "deg", 1.0), Range(-5.0, 5.0), true)
    assert case.excess == (pytest.approx(excess) if excess is not None else float("-inf"))
