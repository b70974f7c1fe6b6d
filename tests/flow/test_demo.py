"""What the README promises of `demo/run`: the real application, with its processes and threads, in real time."""

import json
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pygame
import pytest

from demo.hand import READING_S, Hand
from kiosk.core.view.intent import Intent
from kiosk.i18n import Words
from kiosk.screens.hardware.display import Display
from kiosk.screens.stage import Stage
from tests.support.sample_views import FRAME, VIEWS
from tests.support.views import altered

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


@pytest.mark.parametrize(("name", "wish"), [("review_fail", "retake"), ("review_pass", "accept"), ("welcome", "start")])
def test_the_demos_sitter_taps_what_leads_on_once(name, wish):
    view = VIEWS[name]
    display = Display((270, 480))
    stage = Stage((270, 480), Words.load("en"))
    stage.draw(view, FRAME)
    hand = Hand(SimpleNamespace(stage=stage), "gb-passport-print")
    taps = []
    for later_s in (READING_S / 2, READING_S, READING_S + 1.0):
        hand.act(altered(view, now_s=view.since_s + later_s))
        taps += [event.pos for event in pygame.event.get(pygame.MOUSEBUTTONDOWN)]
    display.close()
    assert [stage.intent_at(*place) for place in taps] == [Intent(wish)]
