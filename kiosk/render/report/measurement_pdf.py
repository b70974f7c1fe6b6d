"""The measurement report on one page: the photo with its measured lines, and every requirement.

It shows the person at the counter what was measured, what is required and by whom, and how certain each value is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from kiosk.catalogue.documents import Source
from kiosk.core.base.decision import Word
from kiosk.core.base.geometry import Rect
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Assessment, Judgement
from kiosk.core.judging.crop import CropPlan
from kiosk.core.session.quantities import quantity
from kiosk.core.sheet.cut_marks import Segment
from kiosk.core.sheet.media import medium
from kiosk.fonts import FontName
from kiosk.render.drawing.canvas import BLACK, Colour
from kiosk.render.drawing.outline import outline, words_width_mm, wrapped
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.drawing.verdict_signs import COLOURS, draw_sign
from kiosk.render.report.plain_words import VERDICTS, WORDS, asked_text, measured_number, requirement
from kiosk.render.sheet.doubt import not_certain
from kiosk.render.sheet.photo import Photo

_PAPER = medium("a4")
_LEFT, _RIGHT, _TOP, _FOOT = 18.0, 192.0, 16.0, 281.0
_PICTURE = Rect(_LEFT + 14, 40.0, 64.0, 80.0)
_TABLE_TOP, _TABLE_FOOT = 137.0, 265.0
_COLUMNS = {"requirement": 25.0, "measured": 66.0, "asked": 98.0, "verdict": 131.0, "source": 155.0}
_SHARES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5)
_EM, _SMALL = 3.1, 2.5
_LEADING = 1.3
_GREY: Colour = (0.35, 0.35, 0.35)
_WHITE: Colour = (1.0, 1.0, 1.0)
_BOLD: FontName = "NotoSans-Bold"


@dataclass(frozen=True, slots=True)
class _Pen:
    """Words on a page."""

    page: PdfPage

    def write(
        self,
        text: str,
        x_mm: float,
        y_mm: float,
        em_mm: float = _EM,
        font: FontName = "NotoSans-Regular",
        colour: Colour = BLACK,
    ) -> None:
        self.page.draw_words(outline(text, em_mm, font), x_mm, y_mm, colour)

    def paragraph(
        self, text: str, x_mm: float, y_mm: float, width_mm: float, em_mm: float = _EM, colour: Colour = BLACK
    ) -> float:
        """Write wrapped words and return the y below them."""
        with self.page.part("P"):
            for line in wrapped(text, width_mm, em_mm):
                self.write(f"{line} ", x_mm, y_mm, em_mm, colour=colour)
                y_mm += _LEADING * em_mm
        return y_mm


def report_page(
    photo: Photo | None,
    judgement: Judgement,
    document: Document,
    sources: Mapping[str, Source],
    *,
    photo_name: str = "",
    simulated: bool = False,
    override: str = "",
    accepted: bool = False,
) -> PdfPage:
    """Return the report on a still as one A4 page; equal judgements give equal bytes.

    It is read aloud in the order of heading, verdict, photo, table and sources.

    Parameters
    ----------
    photo
        The crop that was judged, or None where no crop lies inside the still.
    judgement, document
        What was measured, and the rules.
    sources
        The sources of the rules, by id.
    photo_name
        The still's file name, if the reader knows it.
    simulated
        Whether any device was simulated, which the page then states.
    override
        The attendant's reason for overriding the verdict; empty without an override.
    accepted
        Whether the sitter had the doubtful photo printed.
    """
    page = PdfPage(_PAPER.size_mm, f"Measurement report: {document.title}")
    pen = _Pen(page)
    _heading(pen, document, photo_name, simulated)
    _verdict(pen, judgement, override, accepted=accepted)
    if photo is not None and judgement.plan is not None:
        _picture(pen, photo, judgement.plan, document)
    _table(pen, judgement.findings, sources)
    _footing(pen, document)
    return page


def _heading(pen: _Pen, document: Document, photo_name: str, simulated: bool) -> None:
    with pen.page.part("H1"):
        pen.write(document.title, _LEFT, _TOP, 5.5, _BOLD)
    pen.write(f"{document.authority} · {document.id}", _LEFT, _TOP + 8.5, colour=_GREY)
    with pen.page.part("P"):
        pen.write("Measurement report ", _LEFT, _TOP + 14.0, _EM, _BOLD)
        pen.write(photo_name, _LEFT + words_width_mm("Measurement report  ", _EM, _BOLD), _TOP + 14.0, colour=_GREY)
    if simulated:
        width = words_width_mm("SIMULATION", 5.5, _BOLD)
        pen.write("SIMULATION", _RIGHT - width, _TOP, 5.5, _BOLD, COLOURS["fail"])


def _picture(pen: _Pen, photo: Photo, plan: CropPlan, document: Document) -> None:
    """Draw the photo, larger than the print, with the lines between which its lengths were measured."""
    head = quantity(plan.measurements["head_size"].value or 0.0, "mm")
    with pen.page.part("Figure", f"The photo, with lines at the top of the head, the eyes and the chin; head {head}."):
        _draw_picture(pen, photo, plan, document)


def _draw_picture(pen: _Pen, photo: Photo, plan: CropPlan, document: Document) -> None:
    scale = min(_PICTURE.width / photo.size_mm.width, _PICTURE.height / photo.size_mm.height)
    frame = Rect(_PICTURE.x, _PICTURE.y, photo.size_mm.width * scale, photo.size_mm.height * scale)
    page, points, measured = pen.page, plan.points_mm, plan.measurements
    page.draw_picture(page.add_picture(photo.pixels), frame)
    top_of, top_name = document.head_top.value, {"crown": "Crown", "hair": "Hair top"}[document.head_top.value]
    top_y, eye_y, chin_y = (frame.y + y * scale for y in (points.top(top_of).y, points.eye_centre.y, points.chin.y))
    centre_x = frame.x + points.eye_centre.x * scale
    _line(page, Segment(centre_x, frame.y, centre_x, frame.bottom))
    eye_line = quantity(measured["eye_line"].value or 0.0, "mm")
    for y, words in ((top_y, top_name), (eye_y, "Eye line"), (chin_y, "Chin")):
        _line(page, Segment(frame.x - 3, y, frame.right + 3, y))
        pen.write(words, frame.right + 4, y - _SMALL / 2, _SMALL)
    pen.write(f"{eye_line} above the edge", frame.right + 4, eye_y + _SMALL, _SMALL, colour=_GREY)
    _head_height(pen, frame.x - 5, top_y, chin_y, quantity(measured["head_size"].value or 0.0, "mm"))
    size = f"{photo.size_mm.width:g} × {photo.size_mm.height:g} mm, shown {scale:.2g} times as large"
    pen.write(size, frame.x, frame.bottom + 2.0, _SMALL, colour=_GREY)


def _head_height(pen: _Pen, x_mm: float, top_mm: float, foot_mm: float, words: str) -> None:
    """Draw a dimension line between two ticks, with its length written upwards beside it."""
    pen.page.draw_line(Segment(x_mm, top_mm, x_mm, foot_mm), 0.25)
    for y in (top_mm, foot_mm):
        pen.page.draw_line(Segment(x_mm - 1.2, y, x_mm + 1.2, y), 0.25)
    label = f"Head {words}"
    width = words_width_mm(label, _SMALL)
    with pen.page.at(Rect(x_mm - 5.0, (top_mm + foot_mm - width) / 2, _SMALL, width), turned=True):
        pen.write(label, 0.0, 0.0, _SMALL)


def _line(page: PdfPage, line: Segment) -> None:
    """Draw a measured line, dark between two bright edges, so that it stands out on hair and on the background."""
    page.draw_line(line, 0.6, _WHITE)
    page.draw_line(line, 0.2, BLACK)


def _verdict(pen: _Pen, judgement: Judgement, override: str, *, accepted: bool) -> None:
    word, title = VERDICTS[judgement.verdict]
    x, y, width = 132.0, 40.0, _RIGHT - 132.0
    draw_sign(pen.page, word, x, y, 14.0)
    below = y + 18.0
    with pen.page.part("H2"):
        for line in wrapped(title, width, 4.6, _BOLD):
            pen.write(f"{line} ", x, below, 4.6, _BOLD, COLOURS[word])
            below += 6.2
    if override:
        below = pen.paragraph(f"Passed by attendant: {override}.", x, below + 1.5, width)
    if accepted:
        below = pen.paragraph(f"Printed at the sitter's wish, {not_certain(judgement.reasons)}.", x, below + 1.5, width)
    below = pen.paragraph("The issuing authority decides.", x, below + 1.5, width) + 3.0
    words: tuple[Word, ...] = ("fail", "refer", "unmeasured", "advise", "pass")
    for each in words:
        count = sum(finding.word == each for finding in judgement.findings)
        if count == 0:
            continue
        draw_sign(pen.page, each, x, below, _EM)
        pen.write(f"{count} {WORDS[each]}", x + 5.0, below)
        below += 5.2


def _table(pen: _Pen, findings: tuple[Assessment, ...], sources: Mapping[str, Source]) -> None:
    """Write a row for every requirement and the sources below them, in smaller type if there are many."""
    notes = _source_notes(findings, sources)
    for share in _SHARES:
        em = _EM * share
        rows = [_cells(finding, em) for finding in findings]
        heights = [(max(map(len, cells.values())) * _LEADING + 0.45) * em for cells in rows]
        lines = [line for note in notes for line in wrapped(note, _RIGHT - _LEFT, _SMALL * share)]
        if sum(heights) + 3.0 + len(lines) * _LEADING * _SMALL * share <= _TABLE_FOOT - _TABLE_TOP:
            break
    with pen.page.part("Table"):
        _table_head(pen)
        y = _TABLE_TOP
        for finding, cells, height in zip(findings, rows, heights, strict=True):
            pen.page.draw_line(Segment(_LEFT, y - em * 0.25, _RIGHT, y - em * 0.25), 0.1, _GREY)
            draw_sign(pen.page, finding.word, _LEFT + 1.0, y, em)
            with pen.page.part("TR"):
                _row(pen, finding, cells, y, em)
            y += height
    y += 3.0
    for line in lines:
        pen.write(line, _LEFT, y, _SMALL * share, colour=_GREY)
        y += _LEADING * _SMALL * share


def _table_head(pen: _Pen) -> None:
    with pen.page.part("TR"):
        for name, x in _COLUMNS.items():
            with pen.page.part("TH"):
                pen.write(name.capitalize(), x, _TABLE_TOP - 5.0, _SMALL, _BOLD, _GREY)


def _row(pen: _Pen, finding: Assessment, cells: dict[str, list[str]], y_mm: float, em_mm: float) -> None:
    colours = {"verdict": COLOURS[finding.word], "source": _GREY}
    for name, cell in cells.items():
        with pen.page.part("TD"):
            for index, line in enumerate(cell):
                y = y_mm + index * _LEADING * em_mm
                pen.write(f"{line} ", _COLUMNS[name], y, em_mm, colour=colours.get(name, BLACK))


def _cells(finding: Assessment, em_mm: float) -> dict[str, list[str]]:
    texts = {
        "requirement": requirement(finding.measurement.name),
        "measured": measured_number(finding),
        "asked": asked_text(finding),
        "verdict": WORDS[finding.word],
        "source": finding.source,
    }
    ends = [*_COLUMNS.values(), _RIGHT + 2.0]
    return {
        name: wrapped(text, right - left - 2.0, em_mm)
        for (name, text), (left, right) in zip(texts.items(), pairwise(ends), strict=True)
    }


def _source_notes(findings: tuple[Assessment, ...], sources: Mapping[str, Source]) -> list[str]:
    """Return a line for each cited source, in the order of first use."""
    named = dict.fromkeys(name for finding in findings for name in finding.source.split("; "))
    texts = {name: sources[name] for name in named if name in sources}
    return [f"{name}: {', '.join(filter(None, (text.publisher, text.title)))}" for name, text in texts.items()]


def _footing(pen: _Pen, document: Document) -> None:
    notice = "" if document.channel.value == "self_service" else f" {document.channel.text}"
    text = (
        f"Rules as read on {document.read_on.isoformat()}. Numbers are given with one standard uncertainty; which of "
        f"those near their limit pass, and which a person is to judge, each limit's rule of decision says.{notice}"
    )
    pen.paragraph(text, _LEFT, _FOOT - 12.0, _RIGHT - _LEFT, _SMALL, _GREY)
