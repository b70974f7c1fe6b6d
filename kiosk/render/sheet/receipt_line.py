"""The lines of a receipt on a sheet, in any script."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kiosk.core.base.geometry import Rect
from kiosk.core.base.units import points_from_mm
from kiosk.fonts.paragraph import Align
from kiosk.render.drawing.canvas import Canvas
from kiosk.render.drawing.direction import reads_right_to_left
from kiosk.render.drawing.text import LEAST_PT, SetWords, set_words

_HEIGHTS_MM = (4.2, 3.6, 3.1, 2.7, 2.3, 2.0)
"""The heights of a line."""
_LEGIBLE_PT = 4.0
"""The smallest type that is read in the hand without effort (practice of small print)."""
_WIDEST_MM = 1000.0
_SPARE = 1.02
"""How much wider the box of a line is than the line, so that rounding does not break it."""


@dataclass(frozen=True, slots=True)
class ReceiptLine:
    """One of several lines, aligned at the side where the language of the last one begins."""

    lines: tuple[str, ...]
    index: int

    def width_mm(self, em_mm: float) -> float:
        """Return the width of the longest line."""
        return _SPARE * max(self._set(line, _WIDEST_MM, em_mm).block_mm.width for line in self.lines)

    def draw(self, page: Canvas, y_mm: float, em_mm: float) -> None:
        """Draw the line, `em_mm` high."""
        page.draw_set_words(self._set(self.lines[self.index], self.width_mm(em_mm), em_mm), 0.0, y_mm)

    def size_pt(self, em_mm: float) -> float:
        """Return the size of the type in a line of that height."""
        return self._set(self.lines[self.index], _WIDEST_MM, em_mm).size_pt

    def _set(self, text: str, width_mm: float, height_mm: float) -> SetWords:
        box = Rect(0.0, 0.0, width_mm, height_mm)
        align: Align = "right" if reads_right_to_left(self.lines[-1]) else "left"
        return set_words(text, box, largest_pt=points_from_mm(height_mm), least_pt=LEAST_PT, align=align)


def receipt_heights_mm(lines: Sequence[str]) -> list[float]:
    """Return the heights of a line at which every line is legible; scripts such as Arabic need a higher one."""
    rows = receipt_rows(lines)
    return [height for height in _HEIGHTS_MM if all(row.size_pt(height) >= _LEGIBLE_PT for row in rows)]


def receipt_rows(lines: Sequence[str]) -> tuple[ReceiptLine, ...]:
    """Return a receipt as rows one below the other."""
    return tuple(ReceiptLine(tuple(lines), index) for index in range(len(lines)))
