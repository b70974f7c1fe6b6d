"""What the README promises of `demo/run`: the real application, with its processes and threads, in real time."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.slow
def test_the_demo_ends_with_a_sheet_a_report_and_nothing_kept():
    run = subprocess.run(
        [sys.executable, "-m", "demo", "--headless"], cwd=ROOT, capture_output=True, text=True, timeout=240, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr
    out = ROOT / "demo" / "out"
    assert len(list((out / "prints").glob("*.pdf"))) == 1
    assert json.loads((out / "report.json").read_text())["verdict"] == "pass"
    assert (out / "report.pdf").read_bytes().startswith(b"%PDF-")
    screens = {path.stem.split("_", 1)[1] for path in (out / "screens").glob("*.png")}
    assert {"welcome", "choose", "prepare", "privacy", "align_hold_still", "review", "printing", "collect"} <= screens
    assert [path.name for path in (out / "session").iterdir()] == [".holdstill-session"]
    assert run.stdout.count("shot ") >= 2
