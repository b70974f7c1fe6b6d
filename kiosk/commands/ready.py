"""Try a booth's devices before it opens."""

from __future__ import annotations

import argparse
import json
from dataclasses import asdict
from pathlib import Path

from kiosk.commands.told import SETTINGS
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the command takes."""
    parser.add_argument("device", choices=["camera"], help="what to try; put a face or a printed page at the seat")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE")
    parser.add_argument("--json", action="store_true", help="one object a finding, a line each")


def run(options: argparse.Namespace) -> int:
    """Print what was found, one sentence each, with the next step where something is wrong."""
    from kiosk.app import camera_of, still_px_of
    from kiosk.clock import SystemClock
    from kiosk.ready import camera_findings
    from kiosk.settings import read_settings

    settings = read_settings(options.settings)
    camera, _ = camera_of(settings)
    try:
        findings = camera_findings(camera, SystemClock(), still_px_of(settings))
    finally:
        camera.close()
    for finding in findings:
        if options.json:
            print(json.dumps(asdict(finding)))
        else:
            print(f"{'ok' if finding.good else 'no':4}{finding.sentence}")
            if not finding.good:
                print(f"    {finding.next_step}")
    return EXIT_DONE if all(finding.good for finding in findings) else EXIT_NOT_CONFORMING
