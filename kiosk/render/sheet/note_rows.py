"""The rows that the notes of a sheet are made of, each of which knows its width and draws itself."""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.sheet.cut_marks import Segment
from kiosk.fonts import FontName
from kiosk.render.drawing.canvas import Canvas
from kiosk.render.drawing.outline import outline, words_width_mm

SCALE_BAR_MM = 50.0
HAIRLINE_MM = 0.15
_BAR_LABEL = f"{SCALE_BAR_MM:g} mm"
_BAR_GAP_MM = 0.8


@dataclass(frozen=True, slots=True)
class Words:
    """Words in one line."""

    text: str
    font: FontName = "NotoSans-Regular"

    def width_mm(self, em_mm: float) -> float:
        """Return the width at a height of the type."""
        return words_width_mm(self.text, em_mm, self.font)

    def draw(self, page: Canvas, y_mm: float, em_mm: float) -> None:
        """Draw the row with its upper edge at `y_mm`."""
        page.draw_words(outline(self.text, em_mm, self.font), 0.0, y_mm)


@dataclass(frozen=True, slots=True)
class ScaleBar:
    """A line that is `SCALE_BAR_MM` long between the centres of two ticks, labelled with its length."""

    def width_mm(self, em_mm: float) -> float:
        """Return the width at a height of the type."""
        return HAIRLINE_MM + SCALE_BAR_MM + _BAR_GAP_MM + words_width_mm(_BAR_LABEL, em_mm)

    def draw(self, page: Canvas, y_mm: float, em_mm: float) -> None:
        """Draw the row with its upper edge at `y_mm`."""
        left, middle = HAIRLINE_MM / 2, y_mm + em_mm / 2
        right = left + SCALE_BAR_MM
        page.draw_line(Segment(left, middle, right, middle), HAIRLINE_MM)
        for x_mm in (left, right):
            page.draw_line(Segment(x_mm, y_mm, x_mm, y_mm + em_mm), HAIRLINE_MM)
        page.draw_words(outline(_BAR_LABEL, em_mm), right + _BAR_GAP_MM, y_mm)
