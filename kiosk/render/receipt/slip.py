"""The slip of a receipt printer: one column of lines on paper from a roll."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.cut_marks import Segment
from kiosk.fonts.paragraph import Align
from kiosk.render.drawing.direction import reads_right_to_left
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.drawing.text import SetWords, set_words

_ROW_MM = 5.5
"""A line of 7 pt in Arabic script, whose lines are twice as high as its letters, takes 5.2 mm (measured)."""
_SMALLEST_PT, _USUAL_PT, _NAME_PT = 7.0, 9.5, 12.0
"""From 7 pt on, the dots of a receipt printer, 8 in a millimetre, make clear letters of any script (practice)."""
_MOST_ROWS = 3
_RULE_MM = 0.25
_RULE_ROOM_MM = 3.0


@dataclass(frozen=True, slots=True)
class Slip:
    """A receipt on paper of a width.

    Attributes
    ----------
    shop
        The shop's lines, centred, the first one large.
    lines
        What was bought, aligned at the side where its language begins.
    margin_mm
        What the printer cannot reach at the left and at the right, and the paper left free above and below.
    """

    shop: tuple[str, ...]
    lines: tuple[str, ...]
    width_mm: float
    margin_mm: float

    @property
    def least_mm(self) -> Size:
        """The width, and the least length of paper."""
        column_mm = sum(rows * _ROW_MM for _, rows in self._column())
        return Size(self.width_mm, 2 * self.margin_mm + _RULE_ROOM_MM + column_mm)

    def pdf(self, page_mm: Size) -> bytes:
        """Return the slip at the top of a page that is at least as long, and about as wide."""
        page = PdfPage(page_mm, "Receipt")
        y_mm = self.margin_mm
        for index, (words, rows) in enumerate(self._column()):
            if index == len(self.shop):
                middle = y_mm + _RULE_ROOM_MM / 2
                page.draw_line(Segment(self.margin_mm, middle, self.width_mm - self.margin_mm, middle), _RULE_MM)
                y_mm += _RULE_ROOM_MM
            page.draw_set_words(words, self.margin_mm, y_mm)
            y_mm += rows * _ROW_MM
        return page.finish()

    def _column(self) -> Iterator[tuple[SetWords, int]]:
        """Yield each line with the number of rows that it takes."""
        start: Align = "right" if reads_right_to_left(self.lines[-1]) else "left"
        room_mm = self.width_mm - 2 * self.margin_mm
        for index, line in enumerate(self.shop):
            yield _set(line, room_mm, _USUAL_PT if index else _NAME_PT, "centre", bold=not index)
        for line in self.lines:
            yield _set(line, room_mm, _USUAL_PT, start)


def _set(text: str, width_mm: float, largest_pt: float, align: Align, *, bold: bool = False) -> tuple[SetWords, int]:
    """Return a line in as few rows as it is legible in, and their number."""
    for rows in range(1, _MOST_ROWS + 1):
        box = Rect(0.0, 0.0, width_mm, rows * _ROW_MM)
        words = set_words(text, box, largest_pt=largest_pt, least_pt=_SMALLEST_PT, lines=rows, align=align, bold=bold)
        if words.fits:
            break
    return words, rows
