"""Every fault of camera and flash that `tests/bench/spoil` makes is seen in sitters who are compliant without it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from kiosk.core.base.measurement import Observation
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision
from tests.support.rendered_sitters import SITTERS, TRUTH, Measured

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "bench"))

from judged import SHOWN_BY, outcome, words_of  # noqa: E402

SITTER = "ok_013"


@pytest.fixture(scope="module")
def spoiled(tmp_path_factory: pytest.TempPathFactory, still: StillVision, measured: Measured) -> dict[str, Observation]:
    """Return what is seen of one sitter by the fault; without one under `none`."""
    one, out = tmp_path_factory.mktemp("one"), tmp_path_factory.mktemp("spoiled")
    truth = TRUTH[SITTER]
    (one / "truth.json").write_text(json.dumps({"images": {SITTER: truth | {"file": str(SITTERS / truth["file"])}}}))
    subprocess.run([sys.executable, ROOT / "tests" / "bench" / "spoil", one, "-o", out], check=True)
    made = json.loads((out / "truth.json").read_text())["images"]
    files = {picture["defect"]: out / picture["file"] for picture in made.values()}
    faults = {fault: still.measure(read_photo(file).rgb) for fault, file in files.items()}
    return faults | {"none": measured(SITTER)}


def test_there_is_a_picture_of_every_fault(spoiled: dict[str, Observation]) -> None:
    assert len(spoiled) == 11
    assert set(spoiled) - {"none"} <= set(SHOWN_BY)


def test_each_fault_is_seen_by_what_is_meant_to_show_it(spoiled: dict[str, Observation]) -> None:
    clean, faults = words_of(spoiled["none"]), spoiled.keys() - {"none"}
    assert {fault for fault in faults if outcome(clean, SHOWN_BY[fault]) != "pass"} == set()
    assert {fault for fault in faults if outcome(words_of(spoiled[fault]), SHOWN_BY[fault]) == "pass"} == set()
