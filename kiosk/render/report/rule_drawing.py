"""A document's rules as a drawing at true size, to lay over a printed photo and check it by hand.

The frame shows what is measured from its edges: the band for the eye line, the room above the head, the centre line,
and the smallest and largest head where they fit. A gauge beside it shows what is measured from the chin: if its lower
line is laid under the chin, the top of the head must end in its band. The drawing is derived from the rules alone.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from statistics import fmean

from kiosk.core.base.geometry import Point, Range, Rect, Size
from kiosk.core.base.units import MM_PER_INCH
from kiosk.core.document.document import Document
from kiosk.core.document.head_fit import possible_chins_mm
from kiosk.core.document.limits import Provenance
from kiosk.core.judging.crop import PRACTICE_EYE_LINE
from kiosk.core.sheet.cut_marks import Segment
from kiosk.core.sheet.media import medium
from kiosk.render.drawing.canvas import Colour
from kiosk.render.drawing.shapes import DrawnShape, FilledRectangle, Stroke, TextRun, pdf_bytes, svg_text
from kiosk.render.report.dimension_lines import EM_MM, HAIRLINE_MM, LINE_MM, across, down, in_inches
from kiosk.render.report.rule_words import EVIDENCE_WORDS, binding_words, label, rule_words

FRAME_AT_MM = Point(58.0, 62.0)
"""The upper left corner of the photo on the page."""

ABOVE_EYES, HEAD_ASPECT = 0.485, 0.66
"""Share of head height above the eye line, and head breadth over height: ANSUR II, means of men and women (computed
from the public data)."""

_PAGE_MARGIN_MM, _GAUGE_AT_MM, _GAUGE_WIDTH_MM = 18.0, 141.0, 16.0
_TITLE_MM, _LEADING = 5.0, 1.45
_EYES: Colour = (0.80, 0.89, 0.98)
_TOP: Colour = (0.99, 0.87, 0.70)
_DASHES_MM = (4.0, 1.0, 0.8, 1.0)
_OVAL_SIDES = 120
_LINE_LETTERS = 122
_DRAWN = (
    "size",
    "head_top",
    "head_height",
    "eye_line",
    "eyes_from_top",
    "margin_above",
    "margin_below",
    "face_centre",
)


def drawing_svg(document: Document) -> str:
    """Return the drawing as SVG.

    Raises
    ------
    NoPrintSize
        The document is a file to upload.
    """
    return svg_text(_page_mm(document), list(_shapes(document)), _title(document))


def drawing_pdf(document: Document) -> bytes:
    """Return the drawing as a PDF of one page: A4, or Letter for a document measured in inches.

    Raises
    ------
    NoPrintSize
        The document is a file to upload.
    """
    return pdf_bytes(_page_mm(document), list(_shapes(document)), _title(document))


def _title(document: Document) -> str:
    return f"{document.title}, drawn from its rules"


def _page_mm(document: Document) -> Size:
    return medium("letter" if in_inches(document) else "a4").size_mm


def _shapes(document: Document) -> Iterator[DrawnShape]:
    frame = Rect(FRAME_AT_MM.x, FRAME_AT_MM.y, document.size_mm.width, document.size_mm.height)
    yield from _heading(document)
    yield from _bands(document, frame)
    yield from _heads(document, frame)
    for x in _middles(document, frame):
        yield from _dashed(x, frame.y - 5, frame.bottom + 5)
    corners = [(frame.x, frame.y), (frame.right, frame.y), (frame.right, frame.bottom), (frame.x, frame.bottom)]
    yield from _path([*corners, corners[0]], LINE_MM)
    yield from across(document, frame.x, frame.right, frame.bottom + 9)
    yield from down(document, frame.x - 30, frame.y, frame.bottom, frame.x)
    yield from _gauge(document, frame)
    yield from _foot(document, frame)


def _heading(document: Document) -> Iterator[DrawnShape]:
    left, bar_mm = _PAGE_MARGIN_MM, 2 * MM_PER_INCH if in_inches(document) else 50.0
    yield TextRun(document.title, left, 18, _TITLE_MM, "NotoSans-Bold")
    yield TextRun(f"{document.id} · {document.authority} · rules read on {document.read_on}", left, 26, EM_MM)
    yield from across(document, left, left + bar_mm, 38)
    yield TextRun("Print at 100 % and measure this bar before use.", left + bar_mm + 5, 36.6, EM_MM)


def _bands(document: Document, frame: Rect) -> Iterator[DrawnShape]:
    """Draw the limits measured from the edges: bands inside the frame, and their distances beside it."""
    eyes, above, below = document.eye_line_mm, document.margin_above_mm, document.margin_below_mm
    if eyes is not None:
        yield from _band(frame, [frame.bottom - end for end in _ends(eyes)], _EYES)
        for index, end in enumerate(_ends(eyes)):
            yield from down(document, frame.right + 5 + 16 * index, frame.bottom - end, frame.bottom, frame.right)
    if above is not None:
        yield from _band(frame, [frame.y + end for end in _ends(above)], _TOP)
        for index, end in enumerate(_ends(above)):
            yield from down(document, frame.x - 4 - 13 * index, frame.y, frame.y + end, frame.x)
    if below is not None:
        yield from _band(frame, [frame.bottom - end for end in _ends(below)], _TOP)
        for index, end in enumerate(_ends(below)):
            yield from down(document, frame.x - 4 - 13 * index, frame.bottom - end, frame.bottom, frame.x)


def _band(frame: Rect, ends_y: list[float], colour: Colour) -> Iterator[DrawnShape]:
    if len(ends_y) == 2:
        yield FilledRectangle(Rect(frame.x, min(ends_y), frame.width, abs(ends_y[1] - ends_y[0])), colour)
    for y in ends_y:
        yield Stroke(Segment(frame.x, y, frame.right, y), HAIRLINE_MM)


def _heads(document: Document, frame: Rect) -> Iterator[DrawnShape]:
    """Draw the smallest and the largest head as ovals, each in the middle of its permitted range."""
    limits = document.vertical_limits
    if document.eye_line_mm is None and document.margin_above is None and document.margin_below is None:
        limits = replace(limits, eye_line_mm=PRACTICE_EYE_LINE.scaled(frame.height))
    for head_mm in _ends(document.head_height_mm):
        chins = possible_chins_mm(limits, head_mm, ABOVE_EYES)
        if not chins.is_empty:
            middle = fmean(_middles(document, frame))
            centre = Point(middle, frame.bottom - chins.middle - head_mm / 2)
            yield from _oval(centre, head_mm * HEAD_ASPECT, head_mm)


def _middles(document: Document, frame: Rect) -> list[float]:
    """Return the x of the lines between which the face's middle lies: one on which it lies, where no rule gives two."""
    share = document.face_centre_share
    return [frame.centre.x] if share is None else [frame.x + end * frame.width for end in _ends(share)]


def _oval(centre: Point, width_mm: float, height_mm: float) -> Iterator[DrawnShape]:
    turns = (math.tau * side / _OVAL_SIDES for side in range(_OVAL_SIDES + 1))
    points = [(centre.x + width_mm / 2 * math.sin(t), centre.y - height_mm / 2 * math.cos(t)) for t in turns]
    yield from _path(points, HAIRLINE_MM)


def _gauge(document: Document, frame: Rect) -> Iterator[DrawnShape]:
    """Draw the gauge for head height: a line for the chin, and a band for the top of the head."""
    chin, left, right = frame.bottom, _GAUGE_AT_MM, _GAUGE_AT_MM + _GAUGE_WIDTH_MM
    beside = Rect(left, frame.y, _GAUGE_WIDTH_MM, frame.height)
    yield from _band(beside, [chin - end for end in _ends(document.head_height_mm)], _TOP)
    yield Stroke(Segment(left, chin, right, chin), LINE_MM)
    top = chin - max(_ends(document.head_height_mm))
    yield TextRun("chin", left, chin + 0.6, EM_MM)
    yield TextRun("crown" if document.head_top.value == "crown" else "top of the hair", left, top - EM_MM - 0.8, EM_MM)
    for index, end in enumerate(_ends(document.head_height_mm)):
        yield from down(document, right + 5 + 16 * index, chin - end, chin, right)


def _foot(document: Document, frame: Rect) -> Iterator[DrawnShape]:
    """Write how to use the drawing, and what it rests on."""
    in_frame = ["the face lies on the centre line"]
    if document.face_centre is not None:
        in_frame = ["the middle of the face lies between the dashed lines"]
    if document.eye_line_mm is not None:
        in_frame.append("the eyes lie in the blue band")
    if document.margin_above is not None:
        in_frame.append("the top of the head ends in the orange band")
    words = [
        f"Lay the frame over the photo, edge on edge: {', '.join(in_frame)}. Then move the gauge until its lower line "
        "touches the chin: the top of the head ends in its band. The ovals are the smallest and the largest head, of "
        "average shape.",
        *(_sourced(key, rule, document) for key, rule in document.rules() if key.split(".")[0] in _DRAWN),
        "The issuing authority decides; its rules change.",
    ]
    y = frame.bottom + 24
    for paragraph in words:
        for line in textwrap.wrap(paragraph, _LINE_LETTERS):
            yield TextRun(line, _PAGE_MARGIN_MM, y, EM_MM)
            y += _LEADING * EM_MM
        y += EM_MM / 2


def _sourced(key: str, rule: Provenance, document: Document) -> str:
    binding = binding_words(rule, document)
    drawn = f" (drawn as it binds until confirmed, {binding})" if binding else ""
    evidence = f"{EVIDENCE_WORDS[rule.evidence]}, {rule.read_on} ({', '.join(rule.source)})"
    return f"{label(key)}: {rule_words(rule)}{drawn}; {evidence}"


def _dashed(x: float, y0: float, y1: float) -> Iterator[DrawnShape]:
    """Draw an upright dash-dot line, as a centre line is drawn."""
    y, index = y0, 0
    while y < y1:
        end = min(y + _DASHES_MM[index % 4], y1)
        if index % 2 == 0:
            yield Stroke(Segment(x, y, x, end), HAIRLINE_MM)
        y, index = end, index + 1


def _path(points: list[tuple[float, float]], width_mm: float) -> Iterator[DrawnShape]:
    for (x0, y0), (x1, y1) in pairwise(points):
        yield Stroke(Segment(x0, y0, x1, y1), width_mm)


def _ends(limit: Range) -> list[float]:
    return [end for end in (limit.low, limit.high) if end is not None]
