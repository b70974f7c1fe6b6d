"""The scale of a printer as a ruler page shows it: from readings or a picture, and in words or JSON."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from kiosk.errors import UnreadableRuler

if TYPE_CHECKING:
    from kiosk.core.print_scale.ruler import Ruler
    from kiosk.core.print_scale.scale import Axis, Scale


def measured_scale(options: argparse.Namespace, ruler: Ruler) -> Scale:
    """Return the scale of a page by the readings or by its picture."""
    from kiosk.core.print_scale.ruler import FURTHEST, scale_of_readings

    if options.read:
        try:
            readings = [float(text) for text in options.read.split(",")]
        except ValueError:
            raise UnreadableRuler(detail=f"{options.read!r} are no numbers with a comma between them") from None
        return scale_of_readings(ruler, readings)
    from kiosk.vision.pictures.arrays import luma
    from kiosk.vision.pictures.photo_file import read_photo
    from kiosk.vision.targets.ruler_page import scale_from_photo, scale_from_scan

    picture = read_photo(options.photo or options.scan)
    grey = luma(picture.rgb)
    if options.photo:
        return scale_from_photo(grey, ruler)
    dpi = (options.dpi, options.dpi) if options.dpi else picture.dpi
    if dpi is None:
        raise UnreadableRuler(detail=f"{options.scan} does not say its pixels per inch; give them with --dpi")
    found = scale_from_scan(grey, ruler, dpi)
    if not all(abs(axis.scale - 1) <= FURTHEST for axis in (found.x, found.y)):
        detail = (
            f"at {dpi[0]:g} pixels per inch the page would be {found.x.scale:.2f} times as wide and "
            f"{found.y.scale:.2f} times as high as it was made; give the scanner's pixels per inch with --dpi"
        )
        raise UnreadableRuler(detail=detail)
    return found


def print_scale(found: Scale) -> None:
    """Print how far off both directions are."""
    for name, axis in (("across", found.x), ("down", found.y)):
        offset = "" if axis.offset_mm is None else f", shifted by {axis.offset_mm:+.2f} mm"
        print(f"  {name:7}{100 * (axis.scale - 1):+.2f} % (± {100 * axis.scale_uncertainty:.2f} %){offset}")


def axis_json(axis: Axis) -> dict[str, float | None]:
    """Return one direction as an object for JSON."""
    return {
        "scale": round(axis.scale, 6),
        "uncertainty": round(axis.scale_uncertainty, 6),
        "offset_mm": None if axis.offset_mm is None else round(axis.offset_mm, 3),
    }
