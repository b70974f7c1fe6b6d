"""Check the whole booth before it opens, with an empty seat; or only its camera, with somebody at the seat.

Every finding is one sentence, with a next step if it is not good: `stop` keeps the booth closed, `warn` does not.
`reference` records the empty backdrop, with which later openings are compared. No picture is stored.
"""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.output import SETTINGS, json_text
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, BoothTaken, KioskError

if TYPE_CHECKING:
    from kiosk.core.view.finding import Finding
    from kiosk.settings import Settings
    from kiosk.vision.pictures.arrays import Rgb


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument(
        "device",
        nargs="?",
        choices=["camera", "grey-card", "reference"],
        help="camera: check it alone, with a face or a printed page at the seat; grey-card: suggest settings from a"
        " grey card at the seat; reference: record the empty backdrop",
    )
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    parser.add_argument("--json", action="store_true", help="print one object per finding, each on a line")


def run(options: argparse.Namespace) -> int:
    """Print the findings; return 0 if all are good, else 1."""
    from kiosk.ready.table import table
    from kiosk.settings import read_settings

    settings = read_settings(options.settings)
    looked = {None: whole, "camera": _camera, "grey-card": _grey_card, "reference": take_reference}[options.device]
    findings = looked(settings)
    if options.json:
        for finding in findings:
            print(json_text({**asdict(finding), "grade": finding.grade}))
    else:
        print(table(findings))
    return EXIT_DONE if all(finding.good for finding in findings) else EXIT_NOT_CONFORMING


def whole(settings: Settings) -> list[Finding]:
    """Run all checks; a failing camera makes a finding, and one that is missing or in use is not tried."""
    from kiosk.booth.desk_assembly import standing
    from kiosk.core.view.finding import Finding
    from kiosk.ready.devices import missing_camera
    from kiosk.ready.light import opening_findings
    from kiosk.store.reference import read_reference
    from kiosk.system.clock import SystemClock

    findings = standing(settings, SystemClock())
    if missing_camera(settings) is not None:
        return findings
    reference, today = read_reference(settings.path(settings.booth.state_folder)), SystemClock().today()
    try:
        return [*_camera(settings, lambda rgb: opening_findings(rgb, reference, today)), *findings]
    except BoothTaken as taken:
        sentence, advice = f"The camera was not tried. {taken}", "Stop the booth, then try again."
        return [Finding("camera", taken.key, "", False, sentence, advice, "camera"), *findings]
    except KioskError as fault:
        return [Finding("camera", fault.key, "", False, str(fault), fault.advice, "camera", stops=True), *findings]


def take_reference(settings: Settings) -> list[Finding]:
    """Shoot the empty backdrop, and store it as the reference if it can serve as one."""
    from kiosk.core.camera_setup.backdrop import Backdrop
    from kiosk.core.view.finding import Finding
    from kiosk.ready.light import reference_of
    from kiosk.store.reference import write_reference
    from kiosk.system.clock import SystemClock

    taken: list[Backdrop] = []

    def judge(rgb: Rgb) -> list[Finding]:
        backdrop, findings = reference_of(rgb, SystemClock().today())
        taken.append(backdrop)
        return findings

    findings = _camera(settings, judge)
    if all(finding.good for finding in findings if finding.subject == "light"):
        write_reference(settings.path(settings.booth.state_folder), taken[-1])
        findings.append(Finding("reference", "kept", "", True, "This is the reference from now on.", subject="light"))
    return findings


def _grey_card(settings: Settings) -> list[Finding]:
    from kiosk.devices.backends import make_camera
    from kiosk.ready.grey_card import grey_card_findings
    from kiosk.system.clock import SystemClock

    camera, _ = make_camera(settings)
    try:
        return grey_card_findings(camera, SystemClock())
    finally:
        camera.close()


def _camera(settings: Settings, judge: Callable[[Rgb], list[Finding]] | None = None) -> list[Finding]:
    from kiosk.devices.backends import make_camera, still_px_of
    from kiosk.ready.camera import camera_findings
    from kiosk.ready.picture import seated_findings
    from kiosk.store.one_booth import only_booth
    from kiosk.system.clock import SystemClock

    session_folder = settings.path(settings.booth.session_folder)
    with only_booth(settings.file, settings.booth.name, session_folder), contextlib.ExitStack() as closing:
        camera, _ = make_camera(settings)
        closing.callback(camera.close)
        return camera_findings(camera, SystemClock(), still_px_of(settings), judge or seated_findings, settings.light)
