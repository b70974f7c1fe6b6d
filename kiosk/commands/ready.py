"""Look the whole booth over before it opens; or its camera alone.

Every finding is one sentence, with the next step where it is not as it should be: `stop` keeps the booth shut, `warn`
does not. A picture is taken and not kept: put a face or a printed page at the sitter's place.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.told import SETTINGS
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, KioskError

if TYPE_CHECKING:
    from kiosk.core.readiness import Finding
    from kiosk.settings import Settings


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the command takes."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("device", nargs="?", choices=["camera"], help="try this alone")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE")
    parser.add_argument("--json", action="store_true", help="one object a finding, a line each")


def run(options: argparse.Namespace) -> int:
    """Print what was found; 0 where all is as it should be, else 1."""
    from kiosk.ready.table import table
    from kiosk.settings import read_settings

    settings = read_settings(options.settings)
    findings = _camera(settings) if options.device == "camera" else _whole(settings)
    if options.json:
        for finding in findings:
            print(json.dumps({**asdict(finding), "grade": finding.grade}))
    else:
        print(table(findings))
    return EXIT_DONE if all(finding.good for finding in findings) else EXIT_NOT_CONFORMING


def _whole(settings: Settings) -> list[Finding]:
    """Return everything; a camera that fails its trial is one of the findings, one that is not there is not tried."""
    from kiosk.app import standing
    from kiosk.clock import SystemClock
    from kiosk.core.readiness import Finding
    from kiosk.ready.devices import missing_camera

    stand = standing(settings, SystemClock())
    if missing_camera(settings) is not None:
        return stand
    try:
        return [*_camera(settings), *stand]
    except KioskError as fault:
        return [Finding("camera", fault.key, "", False, str(fault), fault.advice, "camera", stops=True), *stand]


def _camera(settings: Settings) -> list[Finding]:
    from kiosk.app import camera_of, still_px_of
    from kiosk.clock import SystemClock
    from kiosk.ready.camera import camera_findings

    camera, _ = camera_of(settings)
    try:
        return camera_findings(camera, SystemClock(), still_px_of(settings))
    finally:
        camera.close()
