"""Every command of the benches starts and says what it takes."""

import subprocess
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parent / "bench"
COMMANDS = sorted(
    path.name for path in BENCH.glob("[a-z]*[!.]") if path.is_file() and path.read_bytes().startswith(b"#!")
)


@pytest.mark.slow
@pytest.mark.parametrize("name", COMMANDS)
def test_a_bench_starts(name):
    told = subprocess.run([sys.executable, BENCH / name, "--help"], capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    assert "usage:" in told.stdout
