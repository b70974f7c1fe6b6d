"""Figures for what to change about face, glasses, hair, light and backdrop."""

from __future__ import annotations

from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.pose_figures import faint_head, head, shoulders


def open_eyes(pen: Pen) -> None:
    """Draw an open eye."""
    pen.curve((6, 50), (50, 2), (94, 50))
    pen.curve((6, 50), (50, 98), (94, 50))
    pen.dot(50, 50, 14)


def close_mouth(pen: Pen) -> None:
    """Draw closed lips."""
    pen.curve((10, 50), (32, 26), (50, 38))
    pen.curve((50, 38), (68, 26), (90, 50))
    pen.line((10, 50), (90, 50))
    pen.curve((10, 50), (50, 92), (90, 50))


def relax_face(pen: Pen) -> None:
    """Draw a face with a straight mouth."""
    head(pen, size=1.25, mouth="none")
    pen.line((39, 68), (61, 68))


def even_light(pen: Pen) -> None:
    """Draw a face under rays of light."""
    head(pen, 50, 60, 0.95)
    for x, y, end_x, end_y in ((10, 22, 18, 32), (30, 8, 34, 18), (70, 8, 66, 18), (90, 22, 82, 32)):
        pen.line((x, y), (end_x, end_y))


def clear_background(pen: Pen) -> None:
    """Draw a person with crosses beside the head."""
    head(pen, 50, 52, 0.8)
    shoulders(pen, 50, 88)
    for x in (14, 86):
        faint_head(pen, x, 28)


def spectacles(pen: Pen, y: float) -> None:
    """Draw spectacles at the height `y`."""
    for x in (28, 72):
        pen.oval(x, y, 17, 14)
    pen.curve((45, y), (50, y - 6), (55, y))


def look_at_lens(pen: Pen) -> None:
    """Draw a lens above two eyes."""
    pen.circle(50, 20, 16)
    pen.dot(50, 20, 6)
    for x in (28, 72):
        pen.curve((x - 20, 80), (x, 62), (x + 20, 80))
        pen.curve((x - 20, 80), (x, 98), (x + 20, 80))
        pen.dot(x, 78, 5)


def look_at_light(pen: Pen) -> None:
    """Draw a face that turns to a lamp."""
    pen.dot(18, 18, 9)
    for x, y in ((44, 14), (38, 38), (14, 44)):
        pen.line((18 + (x - 18) * 0.7, 18 + (y - 18) * 0.7), (x, y))
    head(pen, 64, 60, look=(-7, -7))


def tip_glasses(pen: Pen) -> None:
    """Draw spectacles that tip down."""
    spectacles(pen, 34)
    pen.curve((11, 34), (2, 20), (6, 12))
    pen.arrow((50, 60), (50, 94), 13)


def glasses_off(pen: Pen) -> None:
    """Draw spectacles that are lifted off."""
    spectacles(pen, 72)
    pen.arrow((50, 50), (50, 8), 13)


def clear_eyes(pen: Pen) -> None:
    """Draw hair that is parted over a face."""
    head(pen, 50, 54)
    pen.curve((46, 22), (38, 30), (30, 36))
    pen.curve((54, 22), (62, 30), (70, 36))
    pen.arrow((20, 50), (2, 50), 10)
    pen.arrow((80, 50), (98, 50), 10)


def head_free(pen: Pen) -> None:
    """Draw a hat that is lifted off."""
    head(pen, 40, 64, 0.9)
    pen.line((8, 28), (72, 28))
    pen.line((20, 28), (24, 8), (56, 8), (60, 28))
    pen.arrow((88, 44), (88, 8), 13)


def keep_still(pen: Pen) -> None:
    """Draw a face between two lines."""
    head(pen, 50, 50, 1.0, mouth="none")
    pen.line((42, 66), (58, 66))
    for x in (10, 90):
        pen.line((x, 20), (x, 80))


def plain_light(pen: Pen) -> None:
    """Draw a face beside a lamp that is off."""
    head(pen, 34, 56, 0.9)
    pen.circle(80, 24, 13)
    pen.line((64, 8), (96, 40))


def once_more(pen: Pen) -> None:
    """Draw an arrow round a dot."""
    pen.arc_arrow(50, 50, 36, -60, 300, 16)
    pen.dot(50, 50, 8)
