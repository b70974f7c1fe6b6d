"""What a live frame costs, from the decoded picture to the presented screen, on one processor, seeing included.

The bare work on the same picture is the landmarks alone (mediapipe's face mesh as it is), one resize of the picture to
its panel, and one blit of a screen of that size. The window is SDL's dummy: what a real screen takes is not in it.
Counted is processor time, of all threads: it stays the same on a machine that has other work.
"""

from __future__ import annotations

import itertools
import os
import statistics
import time
from collections.abc import Callable
from dataclasses import replace

os.environ["SDL_VIDEODRIVER"] = "dummy"

import cv2
import pygame

from kiosk.catalogue.documents import Catalogue
from kiosk.core.judging.framing import framing
from kiosk.core.session.instructions import CHECKS
from kiosk.core.view.align import AlignView, Check
from kiosk.core.view.sitter import SessionView
from kiosk.i18n import Words
from kiosk.screens.hardware.display import Display
from kiosk.screens.stage import Stage
from kiosk.screens.toolkit.live_picture import LivePicture
from kiosk.vision.live import ROUND, LiveVision
from kiosk.vision.models.graphs import Graph
from tests.bench.prepared import ROOT

TARGETS = {"live_over_bare_ratio": 1.6}
LIVE_PX, SCREEN_PX = (640, 800), (1080, 1920)
RUNS = 12 * ROUND
SITTER = ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg"


def measure() -> dict[str, float]:
    """Return the numbers by name."""
    cv2.setNumThreads(1)
    rgb = cv2.cvtColor(cv2.resize(cv2.imread(str(SITTER)), LIVE_PX, interpolation=cv2.INTER_AREA), cv2.COLOR_BGR2RGB)
    guide = framing(Catalogue.load().get("gb-passport-print"), *LIVE_PX).guide
    checks = tuple(Check(key, "pass") for key in CHECKS)
    align = AlignView(instruction="hold_still", checks=checks, guide=guide, hold_fraction=0.4)
    view = SessionView(state="align", align=align)
    ticks = itertools.count()
    display, stage = Display(SCREEN_PX), Stage(SCREEN_PX, Words.load("en"))
    stage.draw(view, rgb)
    (panel,) = (part.rect for part in stage.moving if isinstance(part, LivePicture))
    bare_screen = pygame.Surface(SCREEN_PX, depth=32)
    mesh = Graph("face_mesh", "FaceMesh", static_image_mode=False, max_num_faces=1, refine_landmarks=True)

    def drawn() -> None:
        picture = stage.draw(replace(view, now_s=next(ticks) / 30), rgb)
        display.present(picture, stage.changed)

    def blitted() -> None:
        pygame.display.get_surface().blit(bare_screen, (0, 0))
        pygame.display.flip()

    with LiveVision() as vision:
        spans = _busy_s(
            {
                "seen": lambda: vision.observe(rgb),
                "drawn": drawn,
                "landmarks": lambda: mesh.process(rgb),
                "resize": lambda: cv2.resize(rgb, (round(panel.width), round(panel.height))),
                "blit": blitted,
            }
        )
    mesh.close()
    display.close()
    bare_s = spans["landmarks"] + spans["resize"] + spans["blit"]
    return {
        **{f"live_{name}_ms": 1e3 * span for name, span in spans.items()},
        "live_drawn_over_resize_and_blit_ratio": spans["drawn"] / (spans["resize"] + spans["blit"]),
        "live_over_bare_ratio": (spans["seen"] + spans["drawn"]) / bare_s,
    }


def _busy_s(functions: dict[str, Callable[[], object]]) -> dict[str, float]:
    """Return the mean processor time of each call; they take turns, after a first one that loads what they need.

    Not every look costs the same, so that a median would tell of the cheap ones alone.
    """
    for function in functions.values():
        function()
    spans: dict[str, list[float]] = {name: [] for name in functions}
    for _ in range(RUNS):
        for name, function in functions.items():
            began_s = time.process_time()
            function()
            spans[name].append(time.process_time() - began_s)
    return {name: statistics.fmean(each) for name, each in spans.items()}
