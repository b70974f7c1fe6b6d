"""How much of the picture the head takes."""

from __future__ import annotations

from kiosk.core.base.measurement import HeadPoints, Measurement


def measure_head_share(points: HeadPoints, height_px: int) -> Measurement:
    """Return the head's height, crown to chin, over the picture's, 0 to about 1.

    Component HeadSize of ISO/IEC 29794-5 (from memory: head size relative to the image). A photo that is cut out of a
    small part of the picture is a digital zoom, which ANSI/NIST-ITL Annex E, E.2.4 (quoted) does not allow, whatever
    pixels are left.

    Parameters
    ----------
    points
        The head's points, px.
    height_px
        Of the picture as taken.
    """
    sd = points.head_height_sd_px() / height_px
    return Measurement("head_share", points.head_height_px() / height_px, "fraction", sd)
