"""The head's share of the picture's height."""

from __future__ import annotations

from kiosk.core.base.measurement import HeadPoints, Measurement


def measure_head_share(points: HeadPoints, height_px: int) -> Measurement:
    """Return the head height, crown to chin, relative to the picture's height, 0 to about 1.

    This is the component HeadSize of ISO/IEC 29794-5 (from memory: head size relative to the image). A photo cropped
    from a small part of the picture is a digital zoom, which ANSI/NIST-ITL Annex E, E.2.4 (quoted) forbids, however
    many pixels remain.

    Parameters
    ----------
    points
        The head's points, px.
    height_px
        The height of the picture as taken.
    """
    sd = points.head_height_sd_px() / height_px
    return Measurement("head_share", points.head_height_px() / height_px, "fraction", sd)
