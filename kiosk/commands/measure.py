"""Measure and judge photos."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from kiosk.commands.told import SETTINGS, cautions, complain, known_documents
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, KioskError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the command takes."""
    parser.add_argument("photos", nargs="+", type=Path, metavar="PHOTO")
    parser.add_argument("--document", required=True, metavar="ID")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="names the shop's own")
    parser.add_argument("--json", action="store_true", help="one object a photo, a line each")


def run(options: argparse.Namespace) -> int:
    """Judge each photo; a photo that cannot be used does not keep the others from it."""
    from kiosk.pipeline import judge_photo
    from kiosk.render.report import measured_json, measured_text, unmeasurable_json
    from kiosk.vision.still import StillVision

    document = known_documents(options.settings).get(options.document)
    codes = []
    with StillVision() as vision:
        for path in options.photos:
            try:
                _, judgement = judge_photo(path, document, vision)
            except KioskError as error:
                codes.append(complain(error))
                if options.json:
                    print(json.dumps(unmeasurable_json(path, document)))
                continue
            codes.append(EXIT_DONE if judgement.verdict == "pass" else EXIT_NOT_CONFORMING)
            print(json.dumps(measured_json(path, judgement)) if options.json else measured_text(path, judgement))
    if not options.json:
        cautions(document)
    return max(codes)
