"""A pictogram for each kind of document, so that a passport is found without reading."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from kiosk.core.base.geometry import Rect
from kiosk.core.document.requirements import DocumentKind
from kiosk.core.view.choice import DocumentOffer
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import square
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.scene import Scene

Drawing = Callable[[Pen, Pen], None]
"""Draws with two pens: the document itself, and what tells it from the others."""

OUTLINE, DETAIL = 5.0, 4.5
"""The widths of the strokes, of 100 units."""


def document_sign(scene: Scene, offer: DocumentOffer, rect: Rect) -> None:
    """Draw the pictogram of a document's first kind in the middle of a rectangle."""
    box = scene.at(square(rect, min(rect.width, rect.height)))
    drawing = _upload if offer.is_upload else SIGNS[offer.kinds[0]] if offer.kinds else _photo
    outline, detail = (scene.colour(colour) for colour in (theme.TEXT, theme.GUIDE))
    with Pen(scene.canvas, box, outline, OUTLINE) as paper, Pen(scene.canvas, _UNITS, detail, DETAIL) as mark:
        drawing(paper, mark)


_UNITS = Rect(0, 0, 100, 100)
"""The second pen draws within the first one's square."""


def _portrait(pen: Pen, x: float, y: float, size: float = 1.0) -> None:
    """Draw a head above its shoulders, 24 units wide and 32 high."""
    pen.oval(x, y - 7 * size, 6 * size, 7.5 * size)
    pen.curve((x - 12 * size, y + 16 * size), (x - 11 * size, y + 5 * size), (x, y + 5 * size))
    pen.curve((x, y + 5 * size), (x + 11 * size, y + 5 * size), (x + 12 * size, y + 16 * size))


def _card(pen: Pen) -> None:
    pen.box(5, 19, 90, 62, 9)


def _passport(paper: Pen, mark: Pen) -> None:
    paper.box(19, 6, 62, 88, 7)
    paper.line((29, 6), (29, 94))
    mark.circle(55, 42, 17)
    mark.oval(55, 42, 7.5, 17)
    mark.line((38, 42), (72, 42))
    mark.line((43, 75), (67, 75))


def _visa(paper: Pen, mark: Pen) -> None:
    paper.box(8, 10, 84, 80, 7)
    paper.line((8, 34), (92, 34))
    mark.box(20, 46, 60, 32, 3)
    mark.oval(33, 58, 5, 6)
    mark.curve((25, 74), (26, 67), (33, 67))
    mark.curve((33, 67), (40, 67), (41, 74))
    for y in (56, 67):
        mark.line((52, y), (71, y))


def _schengen_visa(paper: Pen, mark: Pen) -> None:
    _visa(paper, mark)
    for x, y in ((50, 13), (57, 15), (60, 22), (57, 29), (50, 31), (43, 29), (40, 22), (43, 15)):
        mark.dot(x, y, 2.4)


def _identity_card(paper: Pen, mark: Pen) -> None:
    _card(paper)
    _portrait(mark, 30, 48, 1.1)
    for y, end in ((38, 82), (50, 82), (62, 72)):
        paper.line((56, y), (end, y))


def _residence_permit(paper: Pen, mark: Pen) -> None:
    _card(paper)
    _portrait(paper, 30, 48, 1.1)
    mark.line((52, 50), (69, 34), (86, 50))
    mark.line((57, 47), (57, 67), (81, 67), (81, 47))


def _driving_licence(paper: Pen, mark: Pen) -> None:
    _card(paper)
    _portrait(paper, 26, 48)
    mark.line((46, 62), (46, 52), (55, 50), (61, 40), (77, 40), (83, 50), (87, 53), (87, 62), (46, 62))
    for x in (57, 77):
        mark.circle(x, 64, 5)


def _student_pass(paper: Pen, mark: Pen) -> None:
    _card(paper)
    _portrait(paper, 26, 48)
    mark.line((46, 42), (67, 33), (88, 42), (67, 51), (46, 42))
    mark.line((55, 47), (55, 60))
    mark.curve((55, 60), (67, 69), (79, 60))
    mark.line((79, 60), (79, 47))


def _staff_badge(paper: Pen, mark: Pen) -> None:
    paper.box(22, 20, 56, 74, 8)
    paper.line((43, 20), (43, 5), (57, 5), (57, 20))
    paper.line((42, 31), (58, 31))
    _portrait(mark, 50, 56, 1.15)
    paper.line((38, 84), (62, 84))


def _event_badge(paper: Pen, mark: Pen) -> None:
    mark.line((24, 4), (50, 30), (76, 4))
    paper.box(18, 30, 64, 64, 8)
    _portrait(paper, 50, 56)
    mark.line((34, 83), (66, 83))


def _upload(paper: Pen, mark: Pen) -> None:
    paper.line((60, 6), (18, 6), (18, 94), (82, 94), (82, 28), (60, 6))
    paper.line((60, 6), (60, 28), (82, 28))
    mark.arrow((50, 80), (50, 44), 17)


def _photo(paper: Pen, mark: Pen) -> None:
    paper.box(18, 8, 64, 84, 6)
    _portrait(mark, 50, 50, 1.7)


SIGNS: Mapping[DocumentKind, Drawing] = {
    "passport": _passport,
    "visa": _visa,
    "schengen_visa": _schengen_visa,
    "identity_card": _identity_card,
    "residence_permit": _residence_permit,
    "driving_licence": _driving_licence,
    "student_pass": _student_pass,
    "staff_badge": _staff_badge,
    "event_badge": _event_badge,
}
