"""Small icons beside text; they differ in shape, not only in colour."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kiosk.screens.toolkit.line_pen import Pen

Drawing = Callable[[Pen], None]

READING_ORDER = frozenset({"back", "forward"})
"""The icons that point along the reading direction, and are therefore mirrored in right-to-left languages."""


def _tick(pen: Pen) -> None:
    pen.line((22, 54), (42, 74), (80, 30))


def _attention(pen: Pen) -> None:
    pen.line((50, 8), (92, 50), (50, 92), (8, 50), (50, 8))
    pen.line((50, 32), (50, 54))
    pen.dot(50, 70, 5)


def _cross(pen: Pen) -> None:
    pen.circle(50, 50, 42)
    pen.line((34, 34), (66, 66))
    pen.line((66, 34), (34, 66))


def _dots(pen: Pen) -> None:
    for x in (20, 50, 80):
        pen.dot(x, 50, 8)


def _note(pen: Pen) -> None:
    pen.circle(50, 50, 42)
    pen.dot(50, 30, 5)
    pen.line((50, 46), (50, 72))


def _person(pen: Pen) -> None:
    pen.circle(50, 30, 18)
    pen.curve((14, 88), (18, 58), (50, 58))
    pen.curve((50, 58), (82, 58), (86, 88))


def _help(pen: Pen) -> None:
    pen.circle(50, 50, 40)
    pen.arc(50, 42, 13, 180, 230)
    pen.line((50, 56), (50, 60))
    pen.dot(50, 73, 4.5)


def _language(pen: Pen) -> None:
    pen.circle(50, 50, 40)
    pen.oval(50, 50, 17, 40)
    pen.line((12, 38), (88, 38))
    pen.line((12, 62), (88, 62))


def _start_again(pen: Pen) -> None:
    pen.arc_arrow(50, 52, 35, -8, 308, head=22)


def _back(pen: Pen) -> None:
    pen.line((60, 20), (30, 50), (60, 80))


def _camera(pen: Pen) -> None:
    pen.box(8, 26, 84, 58, 10)
    pen.line((32, 26), (38, 14), (62, 14), (68, 26))
    pen.circle(50, 55, 17)


def _wipe(pen: Pen) -> None:
    pen.line((16, 26), (84, 26))
    pen.line((38, 26), (40, 12), (60, 12), (62, 26))
    pen.line((24, 26), (30, 90), (70, 90), (76, 26))
    pen.line((42, 44), (44, 72))
    pen.line((58, 44), (56, 72))


def _authority(pen: Pen) -> None:
    pen.line((8, 38), (50, 12), (92, 38), (8, 38))
    for x in (22, 50, 78):
        pen.line((x, 52), (x, 74))
    pen.line((10, 88), (90, 88))


def _flash(pen: Pen) -> None:
    pen.line((56, 8), (26, 56), (50, 56), (42, 92), (76, 40), (52, 40), (56, 8))


def _printer(pen: Pen) -> None:
    pen.line((26, 36), (26, 10), (74, 10), (74, 36))
    pen.line((26, 72), (10, 72), (10, 36), (90, 36), (90, 72), (74, 72))
    pen.box(26, 58, 48, 32, 3)


def _tray(pen: Pen) -> None:
    pen.arrow((50, 8), (50, 58), 20)
    pen.line((10, 54), (10, 90), (90, 90), (90, 54))


def _scissors(pen: Pen) -> None:
    pen.circle(24, 28, 13)
    pen.circle(24, 72, 13)
    pen.line((35, 35), (90, 70))
    pen.line((35, 65), (90, 30))


def _ruler(pen: Pen) -> None:
    pen.box(6, 32, 88, 36, 4)
    for x, length in ((22, 12), (36, 18), (50, 12), (64, 18), (78, 12)):
        pen.line((x, 32), (x, 32 + length))


def _coins(pen: Pen) -> None:
    pen.circle(38, 62, 28)
    pen.arc(64, 36, 26, 170, 265)
    pen.line((38, 50), (38, 74))


def _card(pen: Pen) -> None:
    pen.box(8, 22, 84, 56, 8)
    pen.line((8, 40), (92, 40))
    pen.line((20, 62), (42, 62))


def _phone(pen: Pen) -> None:
    pen.box(26, 6, 48, 88, 9)
    pen.line((43, 80), (57, 80))


def _stick(pen: Pen) -> None:
    pen.box(30, 38, 40, 56, 8)
    pen.line((37, 38), (37, 8), (63, 8), (63, 38))
    pen.dot(45, 21, 4)
    pen.dot(55, 21, 4)


def _attendant(pen: Pen) -> None:
    pen.line((12, 80), (88, 80))
    pen.arc(50, 70, 34, 180, 180)
    pen.line((50, 34), (50, 24))
    pen.line((40, 20), (60, 20))


def _document(pen: Pen) -> None:
    pen.box(18, 8, 64, 84, 7)
    pen.circle(50, 36, 11)
    pen.arc(50, 66, 19, 180, 180)
    pen.line((34, 78), (66, 78))


def _glasses(pen: Pen) -> None:
    pen.circle(27, 56, 19)
    pen.circle(73, 56, 19)
    pen.arc(50, 54, 6, 180, 180)
    pen.line((8, 52), (14, 34))
    pen.line((92, 52), (86, 34))


def _child(pen: Pen) -> None:
    pen.circle(50, 42, 26)
    pen.curve((50, 16), (58, 10), (52, 4))
    for x in (41, 59):
        pen.dot(x, 40, 3.5)
    pen.curve((42, 52), (50, 58), (58, 52))
    pen.curve((24, 94), (28, 74), (50, 74))
    pen.curve((50, 74), (72, 74), (76, 94))


def _accessibility(pen: Pen) -> None:
    pen.dot(41, 13, 9)
    pen.line((41, 30), (43, 58), (66, 58), (77, 84), (87, 80))
    pen.line((42, 42), (63, 42))
    pen.arc(45, 65, 25, 40, 205)


def _forward(pen: Pen) -> None:
    pen.line((40, 20), (70, 50), (40, 80))


def _press(pen: Pen) -> None:
    pen.circle(50, 50, 38)
    pen.dot(50, 50, 18)


def _clock(pen: Pen) -> None:
    pen.circle(50, 50, 40)
    pen.line((50, 26), (50, 50), (66, 60))


def _minus(pen: Pen) -> None:
    pen.line((14, 50), (86, 50))


def _plus(pen: Pen) -> None:
    pen.line((14, 50), (86, 50))
    pen.line((50, 14), (50, 86))


ICONS: Mapping[str, Drawing] = {
    "tick": _tick,
    "attention": _attention,
    "cross": _cross,
    "dots": _dots,
    "note": _note,
    "person": _person,
    "help": _help,
    "language": _language,
    "start_again": _start_again,
    "back": _back,
    "camera": _camera,
    "wipe": _wipe,
    "authority": _authority,
    "flash": _flash,
    "printer": _printer,
    "scissors": _scissors,
    "tray": _tray,
    "ruler": _ruler,
    "coins": _coins,
    "card": _card,
    "phone": _phone,
    "stick": _stick,
    "attendant": _attendant,
    "document": _document,
    "clock": _clock,
    "minus": _minus,
    "plus": _plus,
    "child": _child,
    "accessibility": _accessibility,
    "glasses": _glasses,
    "forward": _forward,
    "press": _press,
}
