"""Every command of the benches starts and says what it takes."""

import subprocess
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parent / "bench"
COMMANDS = sorted(
    path.name for path in BENCH.glob("[a-z]*[!.]") if path.is_file() and path.read_bytes().startswith(b"#!")
)


@pytest.mark.parametrize("name", COMMANDS)
def test_a_bench_starts(name):
    told = subprocess.run([sys.executable, BENCH / name, "--help"], capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    assert "usage:" in told.stdout


def test_the_plan_that_is_shown_is_the_one_that_is_drawn(tmp_path):
    subprocess.run([sys.executable, BENCH / "plan", tmp_path / "plan.svg"], check=True)
    shown = BENCH.parents[1] / "hardware" / "cameras" / "pictures" / "plan.svg"
    drawn = (tmp_path / "plan.svg").read_text("utf-8")
    assert shown.read_text("utf-8") == drawn, "draw it anew: tests/bench/plan"
    assert "432 mm across" in drawn, "14.9 mm of sensor x 1450 / 50, by hand"
    assert "560 mm lower" in drawn, "0.8 m x tan 35 degrees, as the guide has it"
