"""Large drawings for screens that are understood at a glance."""

from __future__ import annotations

from kiosk.core.base.geometry import Rect
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.scene import Scene
from kiosk.screens.toolkit.theme import ThemeColour

_STROKE = 2.6


def head_in_frame(scene: Scene, box: Rect) -> None:
    """Draw the booth's purpose: a head in a frame, with measuring marks."""
    with _pen(scene, box, theme.TEXT) as pen:
        _bust(pen, 50, 45, 1.0)
    with _pen(scene, box, theme.GUIDE) as pen:
        for x, y, along, down in ((8, 6, 1, 1), (92, 6, -1, 1), (8, 96, 1, -1), (92, 96, -1, -1)):
            pen.line((x + 14 * along, y), (x, y), (x, y + 14 * down))
    with _pen(scene, box, theme.GOOD) as pen:
        for y in (23, 67):
            pen.line((74, y), (86, y))
        pen.line((80, 23), (80, 67))


def papers(scene: Scene, box: Rect) -> None:
    """Draw documents: a booklet in front of a card."""
    with _pen(scene, box, theme.LINE) as pen:
        pen.line((44, 22), (44, 12), (94, 12), (94, 46), (84, 46))
        for y in (24, 34):
            pen.line((78, y), (86, y))
    with _pen(scene, box, theme.TEXT) as pen:
        pen.box(14, 22, 58, 72, 4)
        pen.line((22, 22), (22, 94))
    with _pen(scene, box, theme.GUIDE) as pen:
        pen.box(32, 34, 30, 36, 2)
        pen.oval(47, 47, 6.5, 8.5)
        pen.curve((36, 70), (38, 59), (47, 59))
        pen.curve((47, 59), (56, 59), (58, 70))
    with _pen(scene, box, theme.LINE) as pen:
        pen.line((32, 82), (62, 82))


def tongues(scene: Scene, box: Rect) -> None:
    """Draw two speakers."""
    with _pen(scene, box, theme.TEXT) as pen:
        pen.line((24, 60), (12, 72), (12, 14), (64, 14), (64, 60), (24, 60))
        for y in (28, 38, 48):
            pen.line((22, y), (54 if y < 40 else 42, y))
    with _pen(scene, box, theme.GUIDE) as pen:
        pen.line((74, 36), (90, 36), (90, 96), (78, 84), (38, 84), (38, 70))


def sheet(scene: Scene, box: Rect) -> None:
    """Draw a sheet of photos with cut marks, coming out of its slot."""
    with _pen(scene, box, theme.TEXT) as pen:
        pen.line((6, 8), (94, 8))
        pen.line((16, 8), (16, 94), (84, 94), (84, 8))
    with _pen(scene, box, theme.GUIDE) as pen:
        for x in (29, 55):
            for y in (22, 56):
                pen.oval(x + 8, y + 9, 4.4, 5.6)
                pen.curve((x, y + 26), (x + 1, y + 17), (x + 8, y + 17))
                pen.curve((x + 8, y + 17), (x + 15, y + 17), (x + 16, y + 26))
    with _pen(scene, box, theme.GOOD, 1.8) as pen:
        for x in (26, 48, 52, 74):
            pen.line((x, 14), (x, 18))
            pen.line((x, 86), (x, 90))
        for y in (20, 50, 54, 84):
            pen.line((20, y), (23, y))
            pen.line((77, y), (80, y))


def unplugged(scene: Scene, box: Rect) -> None:
    """Draw an unplugged plug, which says that nothing is broken but nothing works."""
    with _pen(scene, box, theme.TEXT) as pen:
        pen.curve((2, 78), (10, 52), (22, 50))
        pen.line((22, 36), (22, 64), (38, 64), (38, 36), (22, 36))
        for y in (43, 57):
            pen.line((38, y), (48, y))
    with _pen(scene, box, theme.GUIDE) as pen:
        pen.line((62, 34), (62, 66), (78, 66), (78, 34), (62, 34))
        pen.curve((78, 50), (90, 52), (98, 26))
        for y in (43, 57):
            pen.line((62, y), (66, y))


def attention(scene: Scene, box: Rect) -> None:
    """Draw the sign that a person is needed."""
    with _pen(scene, box, theme.GUIDE) as pen:
        pen.line((50, 8), (92, 50), (50, 92), (8, 50), (50, 8))
        pen.line((50, 32), (50, 56))
        pen.dot(50, 68, 2.8)


def _bust(pen: Pen, x: float, y: float, size: float) -> None:
    pen.oval(x, y, 17 * size, 22 * size)
    top, foot = y + 29 * size, y + 46 * size
    for side in (-1, 1):
        pen.curve((x + side * 31 * size, foot), (x + side * 28 * size, top + 2), (x + side * 7 * size, top))


def _pen(scene: Scene, box: Rect, colour: ThemeColour, stroke: float = _STROKE) -> Pen:
    return Pen(scene.canvas, scene.at(box), scene.colour(colour), stroke)
