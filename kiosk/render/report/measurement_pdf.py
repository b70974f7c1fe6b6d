"""The measurement report on one page: the photo with its measured lines, and every requirement.

It shows the person at the counter what was measured, what is required and by whom, and how certain each value is.
"""

from __future__ import annotations

from collections.abc import Mapping
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
from kiosk.render.drawing.canvas import BLACK, Colour
from kiosk.render.drawing.chart import BOLD, EM_MM, GREY, SMALL_MM, title, write
from kiosk.render.drawing.outline import words_width_mm, wrapped
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
_LEADING = 1.3
_WHITE: Colour = (1.0, 1.0, 1.0)


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
    _heading(page, document, photo_name, simulated)
    _verdict(page, judgement, override, accepted=accepted)
    if photo is not None and judgement.plan is not None:
        _picture(page, photo, judgement.plan, document)
    _table(page, judgement.findings, sources)
    _footing(page, document)
    return page


def _heading(page: PdfPage, document: Document, photo_name: str, simulated: bool) -> None:
    title(page, document.title, _LEFT, _TOP, 5.5, "H1")
    write(page, f"{document.authority} · {document.id}", _LEFT, _TOP + 8.5, colour=GREY)
    with page.part("P"):
        write(page, "Measurement report ", _LEFT, _TOP + 14.0, font=BOLD)
        write(page, photo_name, _LEFT + words_width_mm("Measurement report  ", EM_MM, BOLD), _TOP + 14.0, colour=GREY)
    if simulated:
        width = words_width_mm("SIMULATION", 5.5, BOLD)
        write(page, "SIMULATION", _RIGHT - width, _TOP, 5.5, COLOURS["fail"], BOLD)


def _picture(page: PdfPage, photo: Photo, plan: CropPlan, document: Document) -> None:
    """Draw the photo, larger than the print, with the lines between which its lengths were measured."""
    head = quantity(plan.measurements["head_size"].value or 0.0, "mm")
    with page.part("Figure", f"The photo, with lines at the top of the head, the eyes and the chin; head {head}."):
        _draw_picture(page, photo, plan, document)


def _draw_picture(page: PdfPage, photo: Photo, plan: CropPlan, document: Document) -> None:
    scale = min(_PICTURE.width / photo.size_mm.width, _PICTURE.height / photo.size_mm.height)
    frame = Rect(_PICTURE.x, _PICTURE.y, photo.size_mm.width * scale, photo.size_mm.height * scale)
    points, measured = plan.points_mm, plan.measurements
    page.draw_picture(page.add_picture(photo.pixels), frame)
    top_of, top_name = document.head_top.value, {"crown": "Crown", "hair": "Hair top"}[document.head_top.value]
    top_y, eye_y, chin_y = (frame.y + y * scale for y in (points.top(top_of).y, points.eye_centre.y, points.chin.y))
    centre_x = frame.x + points.eye_centre.x * scale
    _line(page, Segment(centre_x, frame.y, centre_x, frame.bottom))
    eye_line = quantity(measured["eye_line"].value or 0.0, "mm")
    for y, words in ((top_y, top_name), (eye_y, "Eye line"), (chin_y, "Chin")):
        _line(page, Segment(frame.x - 3, y, frame.right + 3, y))
        write(page, words, frame.right + 4, y - SMALL_MM / 2, SMALL_MM)
    write(page, f"{eye_line} above the edge", frame.right + 4, eye_y + SMALL_MM, SMALL_MM, GREY)
    _head_height(page, frame.x - 5, top_y, chin_y, quantity(measured["head_size"].value or 0.0, "mm"))
    size = f"{photo.size_mm.width:g} × {photo.size_mm.height:g} mm, shown {scale:.2g} times as large"
    write(page, size, frame.x, frame.bottom + 2.0, SMALL_MM, GREY)


def _head_height(page: PdfPage, x_mm: float, top_mm: float, foot_mm: float, words: str) -> None:
    """Draw a dimension line between two ticks, with its length written upwards beside it."""
    page.draw_line(Segment(x_mm, top_mm, x_mm, foot_mm), 0.25)
    for y in (top_mm, foot_mm):
        page.draw_line(Segment(x_mm - 1.2, y, x_mm + 1.2, y), 0.25)
    label = f"Head {words}"
    width = words_width_mm(label, SMALL_MM)
    with page.at(Rect(x_mm - 5.0, (top_mm + foot_mm - width) / 2, SMALL_MM, width), turned=True):
        write(page, label, 0.0, 0.0, SMALL_MM)


def _line(page: PdfPage, line: Segment) -> None:
    """Draw a measured line, dark between two bright edges, so that it stands out on hair and on the background."""
    page.draw_line(line, 0.6, _WHITE)
    page.draw_line(line, 0.2, BLACK)


def _verdict(page: PdfPage, judgement: Judgement, override: str, *, accepted: bool) -> None:
    word, words = VERDICTS[judgement.verdict]
    x, y, width = 132.0, 40.0, _RIGHT - 132.0
    draw_sign(page, word, x, y, 14.0)
    below = y + 18.0
    with page.part("H2"):
        for line in wrapped(words, width, 4.6, BOLD):
            write(page, f"{line} ", x, below, 4.6, COLOURS[word], BOLD)
            below += 6.2
    if override:
        below = _paragraph(page, f"Passed by attendant: {override}.", x, below + 1.5, width)
    if accepted:
        below = _paragraph(
            page, f"Printed at the sitter's wish, {not_certain(judgement.reasons)}.", x, below + 1.5, width
        )
    below = _paragraph(page, "The issuing authority decides.", x, below + 1.5, width) + 3.0
    order: tuple[Word, ...] = ("fail", "refer", "unmeasured", "advise", "pass")
    for each in order:
        count = sum(finding.word == each for finding in judgement.findings)
        if count == 0:
            continue
        draw_sign(page, each, x, below, EM_MM)
        write(page, f"{count} {WORDS[each]}", x + 5.0, below)
        below += 5.2


def _paragraph(
    page: PdfPage, text: str, x_mm: float, y_mm: float, width_mm: float, em_mm: float = EM_MM, colour: Colour = BLACK
) -> float:
    """Write wrapped words and return the y below them."""
    with page.part("P"):
        for line in wrapped(text, width_mm, em_mm):
            write(page, f"{line} ", x_mm, y_mm, em_mm, colour)
            y_mm += _LEADING * em_mm
    return y_mm


def _table(page: PdfPage, findings: tuple[Assessment, ...], sources: Mapping[str, Source]) -> None:
    """Write a row for every requirement and the sources below them, in smaller type if there are many."""
    notes = _source_notes(findings, sources)
    for share in _SHARES:
        em = EM_MM * share
        rows = [_cells(finding, em) for finding in findings]
        heights = [(max(map(len, cells.values())) * _LEADING + 0.45) * em for cells in rows]
        lines = [line for note in notes for line in wrapped(note, _RIGHT - _LEFT, SMALL_MM * share)]
        if sum(heights) + 3.0 + len(lines) * _LEADING * SMALL_MM * share <= _TABLE_FOOT - _TABLE_TOP:
            break
    with page.part("Table"):
        _table_head(page)
        y = _TABLE_TOP
        for finding, cells, height in zip(findings, rows, heights, strict=True):
            page.draw_line(Segment(_LEFT, y - em * 0.25, _RIGHT, y - em * 0.25), 0.1, GREY)
            draw_sign(page, finding.word, _LEFT + 1.0, y, em)
            with page.part("TR"):
                _row(page, finding, cells, y, em)
            y += height
    y += 3.0
    for line in lines:
        write(page, line, _LEFT, y, SMALL_MM * share, GREY)
        y += _LEADING * SMALL_MM * share


def _table_head(page: PdfPage) -> None:
    with page.part("TR"):
        for name, x in _COLUMNS.items():
            with page.part("TH"):
                write(page, name.capitalize(), x, _TABLE_TOP - 5.0, SMALL_MM, GREY, BOLD)


def _row(page: PdfPage, finding: Assessment, cells: dict[str, list[str]], y_mm: float, em_mm: float) -> None:
    colours = {"verdict": COLOURS[finding.word], "source": GREY}
    for name, cell in cells.items():
        with page.part("TD"):
            for index, line in enumerate(cell):
                y = y_mm + index * _LEADING * em_mm
                write(page, f"{line} ", _COLUMNS[name], y, em_mm, colour=colours.get(name, BLACK))


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


def _footing(page: PdfPage, document: Document) -> None:
    notice = "" if document.channel.value == "self_service" else f" {document.channel.text}"
    text = (
        f"Rules as read on {document.read_on.isoformat()}. Numbers are given with one standard uncertainty; which of "
        f"those near their limit pass, and which a person is to judge, each limit's rule of decision says.{notice}"
    )
    _paragraph(page, text, _LEFT, _FOOT - 12.0, _RIGHT - _LEFT, SMALL_MM, GREY)
