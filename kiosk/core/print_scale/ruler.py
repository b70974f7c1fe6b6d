"""The calibration page as numbers: where its marks and rules lie on a medium.

Twelve round marks, three across and four down, for a scan; one of them, at the upper left, is larger and tells which
way up the page is. Two rules between them for a person with a steel ruler, whose lengths differ from page to page and
are said nowhere, so that nobody can give a reading without measuring. Lengths in millimetres, origin at the upper left
of the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kiosk.core.base.geometry import Point, Rect, Size
from kiosk.core.print_scale.scale import Scale, ruler_axis
from kiosk.core.sheet.imposition import Margins
from kiosk.errors import UnreadableRuler

MARK_MM = 3.0
ORIGIN_MM = 5.0
COLUMNS, ROWS = 3, 4
_STEP_MM = 10.0
"""The marks reach over whole centimetres."""
_SHORTEST_SHARE = 0.88
"""The shortest rule, as a share of what the marks reach over: long enough to be read to 0.2 %."""
_ACROSS_TURN, _DOWN_TURN = (math.sqrt(5) - 1) / 2, math.sqrt(2) - 1
"""By how much of their range the lengths move on from page to page. The multiples of both numbers keep apart as far as
they can, so that one page's length is never that of the next ones (badly approximable numbers; from memory)."""
SHORTEST_MM = 20.0
"""A ruler read to 0.1 mm at both ends would leave more than the 0.5 % that are allowed on anything shorter."""
FURTHEST = 0.25
"""No printer is off by more: the worst that scaling to fit a page did to a photo sheet was 11 %, measured. Other
readings are of another page, another rule, or in inches."""
_FURTHEST_EDGE_MM = 10.0


@dataclass(frozen=True, slots=True)
class Ruler:
    """A page of marks and rules.

    Attributes
    ----------
    frame_mm
        From the middle of the first mark to the middle of the last; both rules begin where it does.
    number
        That of the page, which gives the rules their lengths; those of page 0 are as long as the frame.
    """

    page_mm: Size
    frame_mm: Rect
    number: int = 0

    @property
    def across_mm(self) -> float:
        """The length of the level rule."""
        return _length(self.frame_mm.width, self.number * _ACROSS_TURN)

    @property
    def down_mm(self) -> float:
        """The length of the upright rule."""
        return _length(self.frame_mm.height, self.number * _DOWN_TURN)

    @property
    def marks(self) -> tuple[Point, ...]:
        """The middles of the marks, row by row; the first is the larger one."""
        frame = self.frame_mm
        return tuple(
            Point(frame.x + frame.width * column / (COLUMNS - 1), frame.y + frame.height * row / (ROWS - 1))
            for row in range(ROWS)
            for column in range(COLUMNS)
        )

    @property
    def level_y_mm(self) -> float:
        """Where the level rule lies: midway between the first two rows of marks."""
        return self.frame_mm.y + self.frame_mm.height / (ROWS - 1) / 2

    @property
    def upright_x_mm(self) -> float:
        """Where the upright rule lies: midway between the first two columns of marks."""
        return self.frame_mm.x + self.frame_mm.width / (COLUMNS - 1) / 2


def ruler_for(page_mm: Size, margins: Margins) -> Ruler | None:
    """Return the longest rules that a medium takes within its margins, or None where it takes none of use."""
    room = Rect(0.0, 0.0, page_mm.width, page_mm.height).inset(
        margins.left_mm, margins.top_mm, margins.right_mm, margins.bottom_mm
    )
    width, height = (_whole(side - ORIGIN_MM) for side in (room.width, room.height))
    if min(width, height) < SHORTEST_MM:
        return None
    return Ruler(page_mm, Rect(room.centre.x - width / 2, room.centre.y - height / 2, width, height))


def scale_of_readings(ruler: Ruler, readings_mm: Sequence[float]) -> Scale:
    """Return the scale by what a steel ruler read.

    Parameters
    ----------
    readings_mm
        The lengths of the rules across and down and, where they were read too, where each begins from the left and the
        upper edge of the paper.

    Raises
    ------
    UnreadableRuler
        Not two or four readings, or one that no printer could have made.
    """
    if len(readings_mm) not in (2, 4):
        raise UnreadableRuler(detail="two readings are needed, across and down, or four with both beginnings")
    frame, page = ruler.frame_mm, ruler.page_mm
    edges_mm: Sequence[float | None] = readings_mm[2:] or (None, None)
    axes = []
    for name, nominal_mm, start_mm, side_mm, read_mm, edge_mm in (
        ("across", ruler.across_mm, frame.x, page.width, readings_mm[0], edges_mm[0]),
        ("down", ruler.down_mm, frame.y, page.height, readings_mm[1], edges_mm[1]),
    ):
        # The true lengths stay unsaid: whoever knew them could type them in.
        if not abs(read_mm / nominal_mm - 1) <= FURTHEST:
            raise UnreadableRuler(
                detail=f"no printer makes the rule {name} {read_mm:g} mm long; read it in millimetres"
            )
        if edge_mm is not None and not abs(edge_mm - start_mm) <= _FURTHEST_EDGE_MM:
            raise UnreadableRuler(detail=f"no printer has the rule {name} begin {edge_mm:g} mm from the edge")
        axes.append(ruler_axis(nominal_mm, read_mm, start_mm=start_mm, edge_mm=edge_mm, side_mm=side_mm))
    return Scale(*axes)


def _whole(length_mm: float) -> float:
    return _STEP_MM * math.floor(length_mm / _STEP_MM)


def _length(longest_mm: float, turns: float) -> float:
    """Return a length to a tenth of a millimetre; whole turns give the longest."""
    return round(longest_mm * (1 - (1 - _SHORTEST_SHARE) * (turns % 1)), 1)
