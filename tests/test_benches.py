"""Every command of the benches starts and says what it takes."""

import subprocess
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parent / "bench"
COMMANDS = sorted(path.name for path in BENCH.iterdir() if path.is_file() and not path.suffix)


@pytest.mark.parametrize("name", COMMANDS)
def test_a_bench_starts(name):
    told = subprocess.run([sys.executable, BENCH / name, "--help"], capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    assert "usage:" in told.stdout
