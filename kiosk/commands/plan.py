"""Plan a booth for a room: the lens, the distances and the lamps for a camera and a document, drawn to scale.

The values are printed with their sources; `-o` also draws the booth from above and from the side as a PDF, at 1:20 on
A4. A room that is too small ends the command with what it lacks and which lens would do. The drawing is a proposal:
mains, fixings and escape routes are for licensed people under the local authority's codes.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.arguments import file_in, number_above
from kiosk.commands.output import SETTINGS, cautions, json_text, known_documents, notice, write
from kiosk.errors import EXIT_DONE, RoomTooSmall

if TYPE_CHECKING:
    from kiosk.core.camera_setup.optics_plan import TooSmall

SENSORS = {
    "full-frame": (36.0, 24.0),
    "aps-c": (23.5, 15.6),
    "canon-aps-c": (22.3, 14.9),
    "four-thirds": (17.3, 13.0),
    "one-inch": (13.2, 8.8),
}
"""Usual sizes of sensors in mm, from memory; the maker's data of the body may differ by 0.3 mm."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--document", required=True, metavar="NAME", help="the document that the booth is built for")
    parser.add_argument(
        "--sensor-mm",
        required=True,
        type=_sensor,
        metavar="SIZE",
        help=f"of the body, such as 22.3x14.9, or {', '.join(SENSORS)}",
    )
    parser.add_argument(
        "--room-mm", required=True, type=_area(600.0), metavar="DEPTHxWIDTH", help="along the lens's axis, and across"
    )
    parser.add_argument(
        "--still-px",
        type=_area(100.0),
        default=(4000.0, 6000.0),
        metavar="WIDTHxHEIGHT",
        help="of an upright still; 4000x6000 without it. A higher one than wide has the body on its side",
    )
    parser.add_argument(
        "--lens-mm",
        type=number_above(1.0),
        nargs="+",
        metavar="FOCAL",
        help="focal lengths that there are; without them, those of usual lenses",
    )
    parser.add_argument("-o", "--output", type=file_in(".pdf"), metavar="FILE.pdf", help="draw the plan")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    parser.add_argument("--json", action="store_true", help="print one object per value, each on a line")


def run(options: argparse.Namespace) -> int:
    """Print the values, and draw the plan if a file is named."""
    from kiosk.core.base.geometry import Size
    from kiosk.core.camera_setup.optics import upright_camera
    from kiosk.core.camera_setup.optics_plan import TooSmall
    from kiosk.core.camera_setup.optics_room import FOCAL_LENGTHS, plan_booth, portrait_of
    from kiosk.core.camera_setup.optics_values import CAUTIONS, values_of

    document = known_documents(options.settings).get(options.document)
    still_px = Size(*options.still_px)
    camera = upright_camera(Size(*options.sensor_mm), still_px)
    plan = plan_booth(Size(*options.room_mm), camera, portrait_of(document, still_px), options.lens_mm or FOCAL_LENGTHS)
    if isinstance(plan, TooSmall):
        raise _refusal(plan, options)
    if options.output is not None:
        from kiosk.render.report.plan_pdf import plan_pdf

        sensor = f"{camera.sensor_mm.width:.1f} x {camera.sensor_mm.height:.1f} mm of sensor"
        name = f"{document.id}; {sensor}, {plan.lens.focal_mm:g} mm lens; room of {_shown(options.room_mm)}"
        write(options.output, plan_pdf(plan, name))
    for row in values_of(plan):
        print(json_text(asdict(row)) if options.json else f"{row.name:36}{row.value}\n    {row.source}")
    if plan.print_dpi < plan.portrait.needed_dpi:
        notice(f"{document.id} needs {plan.portrait.needed_dpi:.0f} px per inch: take a body with more pixels.")
    for caution in CAUTIONS[:3]:
        notice(caution)
    cautions(document)
    return EXIT_DONE


def _refusal(lacking: TooSmall, options: argparse.Namespace) -> RoomTooSmall:
    """Return what the room lacks as an error."""
    depth, width = options.room_mm
    if lacking.others_mm:
        which = " or ".join(f"{focal:g}" for focal in lacking.others_mm[:3])
        return RoomTooSmall(
            room=_shown(options.room_mm),
            lacks="none of these lenses shows the head as large as it must be from a distance that does not distort it",
            remedy=f"A lens of {which} mm would do in this room",
        )
    lacks = [
        f"{needed - there:.0f} mm of {name}"
        for name, there, needed in (("depth", depth, lacking.depth_mm), ("width", width, lacking.width_mm))
        if there < needed
    ]
    needs = f"{lacking.depth_mm:.0f} x {lacking.width_mm:.0f} mm"
    return RoomTooSmall(
        room=_shown(options.room_mm),
        lacks=f"it lacks {' and '.join(lacks)}",
        remedy=f"A room of {needs} would do with a lens of {lacking.focal_mm:g} mm",
    )


def _shown(area: tuple[float, float]) -> str:
    return f"{area[0]:g} x {area[1]:g} mm"


def _area(least: float) -> Callable[[str], tuple[float, float]]:
    """Return the reader of two lengths, each of at least so much."""

    def read(text: str) -> tuple[float, float]:
        found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)", text, re.ASCII)
        if found is None or min(float(found[1]), float(found[2])) < least or max(map(float, found.groups())) > 100_000:
            raise argparse.ArgumentTypeError(f"{text!r} is not two numbers from {least:g} to 100000 such as 3000x2400")
        return float(found[1]), float(found[2])

    return read


def _sensor(text: str) -> tuple[float, float]:
    return SENSORS[text] if text in SENSORS else _area(1.0)(text)
