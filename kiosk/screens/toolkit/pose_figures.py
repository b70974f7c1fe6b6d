"""Figures for where and how to sit: a head, its place and its pose.

Directions are the sitter's own as they face the screen, so left is drawn to the left whether or not the picture is
mirrored and whichever way the language reads.
"""

from __future__ import annotations

from kiosk.screens.toolkit.line_pen import Pen


def head(
    pen: Pen, x: float = 50, y: float = 48, size: float = 1.0, look: tuple[float, float] = (0, 0), mouth: str = "rest"
) -> None:
    """Draw a head centred at (x, y) that looks sideways by `look`; `mouth` is rest, open, flat or none."""
    pen.oval(x, y, 25 * size, 32 * size)
    face_x, face_y = x + look[0] * size, y + look[1] * size
    for side in (-9, 9):
        pen.dot(face_x + side * size, face_y - 6 * size, 3.6 * size)
    if mouth == "rest":
        pen.curve(
            (face_x - 7 * size, face_y + 14 * size),
            (face_x, face_y + 16 * size),
            (face_x + 7 * size, face_y + 14 * size),
        )
    elif mouth == "open":
        pen.oval(face_x, face_y + 15 * size, 5.5 * size, 4.5 * size)


def shoulders(pen: Pen, x: float = 50, top: float = 84) -> None:
    """Draw shoulders whose top is at `top`."""
    pen.curve((x - 34, top + 16), (x - 30, top), (x - 9, top - 2))
    pen.curve((x + 34, top + 16), (x + 30, top), (x + 9, top - 2))


def sit_down(pen: Pen) -> None:
    """Draw somebody on a chair."""
    pen.circle(52, 18, 12)
    pen.line((52, 32), (52, 62), (26, 62), (26, 90))
    pen.line((68, 48), (68, 74), (42, 74))
    pen.line((68, 74), (68, 92))


def lie_down(pen: Pen) -> None:
    """Draw a baby on a cloth, seen from above, with the camera above it."""
    pen.box(4, 22, 92, 72, 8)
    pen.circle(50, 44, 12)
    pen.curve((36, 62), (50, 52), (64, 62))
    pen.curve((36, 62), (32, 88), (50, 88))
    pen.curve((64, 62), (68, 88), (50, 88))
    pen.line((38, 66), (24, 76))
    pen.line((62, 66), (76, 76))
    pen.box(36, 2, 28, 12, 3)


def one_person(pen: Pen) -> None:
    """Draw a person, and another crossed out."""
    head(pen, 36, 46, 0.9)
    faint_head(pen, 82, 40)
    shoulders(pen, 36, 84)


def faint_head(pen: Pen, x: float, y: float) -> None:
    """Draw a cross in the place of what must go."""
    pen.line((x - 11, y - 13), (x + 11, y + 13))
    pen.line((x + 11, y - 13), (x - 11, y + 13))


def move_back(pen: Pen) -> None:
    """Draw a small head with arrows towards it."""
    head(pen, size=0.62)
    for x, y in ((14, 10), (86, 10), (14, 88), (86, 88)):
        pen.arrow((x, y), (x + (50 - x) * 0.38, y + (49 - y) * 0.38), 10)


def move_closer(pen: Pen) -> None:
    """Draw a small head with arrows away from it."""
    head(pen, size=0.62)
    for x, y in ((14, 10), (86, 10), (14, 88), (86, 88)):
        pen.arrow((x + (50 - x) * 0.38, y + (49 - y) * 0.38), (x, y), 10)


def move_left(pen: Pen) -> None:
    """Draw a person and an arrow to the left."""
    head(pen, 64, 44, 0.85)
    shoulders(pen, 64)
    pen.arrow((30, 46), (2, 46), 13)


def move_right(pen: Pen) -> None:
    """Draw a person and an arrow to the right."""
    head(pen, 36, 44, 0.85)
    shoulders(pen, 36)
    pen.arrow((70, 46), (98, 46), 13)


def sit_higher(pen: Pen) -> None:
    """Draw a person and an arrow up."""
    head(pen, 38, 44, 0.85)
    shoulders(pen, 38)
    pen.arrow((88, 72), (88, 20), 13)


def sit_lower(pen: Pen) -> None:
    """Draw a person and an arrow down."""
    head(pen, 38, 44, 0.85)
    shoulders(pen, 38)
    pen.arrow((88, 20), (88, 72), 13)


def turn_left(pen: Pen) -> None:
    """Draw a head that turns left."""
    head(pen, 50, 38, 0.98, look=(-7, 0))
    pen.curve((88, 70), (62, 96), (14, 80))
    pen.tip((12, 79), 196, 14)


def turn_right(pen: Pen) -> None:
    """Draw a head that turns right."""
    head(pen, 50, 38, 0.98, look=(7, 0))
    pen.curve((12, 70), (38, 96), (86, 80))
    pen.tip((88, 79), -16, 14)


def chin_up(pen: Pen) -> None:
    """Draw a head that looks up."""
    head(pen, 38, 50, look=(0, -9))
    pen.arrow((86, 74), (86, 26), 14)


def chin_down(pen: Pen) -> None:
    """Draw a head that looks down."""
    head(pen, 38, 50, look=(0, 8))
    pen.arrow((86, 26), (86, 74), 14)


def tilt_left(pen: Pen) -> None:
    """Draw a head that leans right, and the way back to the left."""
    with pen.turned(-16, 50, 80):
        head(pen, 50, 54, 0.95)
    pen.arc_arrow(50, 78, 70, -64, -44, 14)


def tilt_right(pen: Pen) -> None:
    """Draw a head that leans left, and the way back to the right."""
    with pen.turned(16, 50, 80):
        head(pen, 50, 54, 0.95)
    pen.arc_arrow(50, 78, 70, -116, 44, 14)


def hold_still(pen: Pen) -> None:
    """Draw a calm face."""
    head(pen, 50, 50, 1.1, mouth="none")
    pen.line((41, 66), (59, 66))


def centre_head(pen: Pen) -> None:
    """Draw a head within the corners of a frame."""
    head(pen, 50, 50, 0.8)
    for x, y in ((8, 6), (92, 6), (8, 94), (92, 94)):
        inner_x, inner_y = x + (16 if x < 50 else -16), y + (16 if y < 50 else -16)
        pen.line((inner_x, y), (x, y), (x, inner_y))


def grown_up(pen: Pen) -> None:
    """Draw an adult."""
    head(pen, 50, 40, 0.95)
    shoulders(pen, 50, 80)


def small_child(pen: Pen) -> None:
    """Draw a child, whose head is large for its shoulders."""
    head(pen, 50, 56, 0.8)
    pen.curve((26, 98), (30, 88), (44, 86))
    pen.curve((74, 98), (70, 88), (56, 86))
    pen.curve((42, 28), (50, 20), (58, 30))
