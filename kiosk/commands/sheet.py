"""Crop a photo and impose it on paper, as a PDF at true scale."""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from kiosk.commands.told import SETTINGS, cautions, known_documents, notice, write
from kiosk.errors import EXIT_DONE, BadCommand


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what the command takes."""
    parser.add_argument("photo", type=Path, metavar="PHOTO")
    parser.add_argument("--document", required=True, metavar="ID")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="names the shop's own")
    parser.add_argument("--paper", required=True, metavar="NAME", help="a PWG 5101.1 name, or 4x6in, 10x15cm, a4 …")
    parser.add_argument("-o", "--output", required=True, type=Path, metavar="FILE", help="the PDF to write")
    parser.add_argument("--photos", type=int, metavar="N", help="how many; without it, as many as fit")
    parser.add_argument("--margin-mm", type=float, default=3.0, metavar="MM", help="unprintable edge of the paper")
    parser.add_argument("--gutter-mm", type=float, default=2.0, metavar="MM", help="room between photos")
    parser.add_argument("--json", action="store_true", help="where each photo lies")


def run(options: argparse.Namespace) -> int:
    """Write the sheet, and say so where the photo does not conform."""
    from kiosk.clock import SystemClock
    from kiosk.core.media import medium
    from kiosk.core.sheet import Margins
    from kiosk.pipeline import Layout, judge_photo, make_sheet
    from kiosk.render.sheet_json import sheet_json
    from kiosk.render.strip import SheetStrip
    from kiosk.vision.still import StillVision

    if min(options.margin_mm, options.gutter_mm) < 0 or (options.photos is not None and options.photos < 1):
        raise BadCommand(detail="margins and gutter are 0 mm or more, and photos 1 or more")
    document = known_documents(options.settings).get(options.document)
    margins = Margins(*[options.margin_mm] * 4)
    sheet = Layout(medium(options.paper), margins, options.gutter_mm, options.photos).impose(document)
    with StillVision() as vision:
        rgb, judgement = judge_photo(options.photo, document, vision)
    assert judgement.plan is not None
    strip = SheetStrip(document.id, SystemClock().today())
    write(options.output, make_sheet(rgb, judgement.plan, document, sheet, strip, path=str(options.photo)))
    if judgement.verdict != "pass":
        notice(f"The photo does not conform ({judgement.verdict}): {', '.join(judgement.reasons)}.")
    cautions(document)
    if options.json:
        print(json.dumps(sheet_json(sheet)))
    else:
        size = document.size_mm
        print(f"{len(sheet.photos)} photos of {size.width:g} x {size.height:g} mm on {sheet.medium.name}")
        print(f"{options.output}: print it at 100 %, without fitting to the page")
    return EXIT_DONE
