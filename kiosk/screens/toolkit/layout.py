"""The regions of a screen: text and pictures, controls, and the buttons that are always in the same place.

On a portrait screen everything to touch lies in the lower half, within the reach of someone seated (380 to 1220 mm
above the floor: EN 301 549 8.3, ABA 308.3.1); on a landscape screen it lies in the right
column, in every language: the corner with the accessibility sign can then be found by hand, and does not move.
"""

from __future__ import annotations

from dataclasses import dataclass

from kiosk.core.base.geometry import Rect, Size
from kiosk.screens.toolkit.theme import GAP, MARGIN

MARKER_HEIGHT = 64.0
FOOTER_HEIGHT = 150.0
PAD_HEIGHT = 150.0
CORNER_SIDE, CORNER_GAP = 150.0, 12.0
SHOWN_SHARE = 0.6
"""The fraction of the room for low controls that is taken from the display region on a portrait screen."""


@dataclass(frozen=True, slots=True)
class ScreenLayout:
    """The regions of a screen, in design pixels.

    Attributes
    ----------
    marker
        Strip for the word that this is a simulation.
    body
        All below the strip.
    shown
        Text and pictures.
    controls
        What is touched, above the footer.
    footer
        Help, language, start again.
    pad
        The three buttons of low controls, at the lower edge; of no height without them.
    corner
        The accessibility sign, in the lower right corner of the glass.
    """

    marker: Rect
    body: Rect
    shown: Rect
    controls: Rect
    footer: Rect
    pad: Rect
    corner: Rect

    def mirrored(self, rect: Rect, width: float) -> Rect:
        """Return the place of a rectangle in a right-to-left language: regions stay, and what is in them is mirrored.

        Parameters
        ----------
        width
            Of the screen, about whose middle everything outside the regions is mirrored.
        """
        middle, half = rect.centre, width / 2
        for region in (self.corner, self.footer, self.pad, self.shown, self.controls):
            if region.x <= middle.x <= region.right and region.y <= middle.y <= region.bottom:
                half = region.centre.x
                break
        return Rect(2 * half - rect.right, rect.y, rect.width, rect.height)


def layout(size: Size, *, low_controls: bool = False) -> ScreenLayout:
    """Return the regions of a screen of `size` design pixels; low controls reduce the other regions."""
    taken = PAD_HEIGHT + GAP if low_controls else 0.0
    pad_height = PAD_HEIGHT if low_controls else 0.0
    width = size.width - 2 * MARGIN
    marker = Rect(MARGIN, 12, width, MARKER_HEIGHT)
    body = Rect(MARGIN, marker.bottom + 12, width, size.height - marker.bottom - 12 - 36)
    corner = Rect(body.right - CORNER_SIDE, body.bottom - CORNER_SIDE, CORNER_SIDE, CORNER_SIDE)
    beside_corner = corner.x - CORNER_GAP
    if size.height > size.width:
        pad = Rect(body.x, body.bottom - pad_height, beside_corner - body.x, pad_height)
        body = Rect(body.x, body.y, width, body.height - taken)
        middle = size.height / 2 - taken * SHOWN_SHARE
        across = width if low_controls else beside_corner - body.x
        footer = Rect(body.x, body.bottom - FOOTER_HEIGHT, across, FOOTER_HEIGHT)
        shown = Rect(body.x, body.y, width, middle - GAP - body.y)
        controls = Rect(body.x, middle, width, footer.y - GAP - middle)
        return ScreenLayout(marker, body, shown, controls, footer, pad, corner)
    half = (width - 2 * MARGIN) / 2
    right = body.x + half + 2 * MARGIN
    footer = Rect(right, body.bottom - FOOTER_HEIGHT, beside_corner - right, FOOTER_HEIGHT)
    controls = Rect(right, body.y, half, footer.y - GAP - body.y)
    pad = Rect(body.x, body.bottom - pad_height, half, pad_height)
    body = Rect(body.x, body.y, width, body.height - taken)
    shown = Rect(body.x, body.y, half, body.height)
    return ScreenLayout(marker, body, shown, controls, footer, pad, corner)


def columns(rect: Rect, count: int, gap: float = GAP) -> list[Rect]:
    """Split a rectangle into columns of equal width."""
    width = (rect.width - gap * (count - 1)) / count
    return [Rect(rect.x + index * (width + gap), rect.y, width, rect.height) for index in range(count)]


def rows(rect: Rect, count: int, gap: float = GAP) -> list[Rect]:
    """Split a rectangle into rows of equal height."""
    height = (rect.height - gap * (count - 1)) / count
    return [Rect(rect.x, rect.y + index * (height + gap), rect.width, height) for index in range(count)]


def short_rows(rect: Rect, count: int, height: float, gap: float = GAP) -> list[Rect]:
    """Return rows from the top of a rectangle, of a height or of what it has room for."""
    high = min(height, (rect.height - gap * (count - 1)) / max(count, 1))
    return rows(cut_top(rect, count * (high + gap) - gap, 0)[0], count, gap)


def grid(rect: Rect, across: int, down: int, gap: float = GAP) -> list[Rect]:
    """Split a rectangle into cells, in reading order."""
    return [cell for row in rows(rect, down, gap) for cell in columns(row, across, gap)]


def lines_over(upper: Rect, lower: Rect, count: int) -> list[Rect]:
    """Return lines for so many sentences, the first half of them in one rectangle and the others in another."""
    first = -(-count // 2)
    below = rows(lower, count - first, 12) if count > first else []
    return [*rows(upper, first, 12), *below]


def cut_top(rect: Rect, height: float, gap: float = GAP) -> tuple[Rect, Rect]:
    """Return the upper part of a rectangle, and the remainder below a gap."""
    return (
        Rect(rect.x, rect.y, rect.width, height),
        Rect(rect.x, rect.y + height + gap, rect.width, rect.height - height - gap),
    )


def cut_bottom(rect: Rect, height: float, gap: float = GAP) -> tuple[Rect, Rect]:
    """Return the remainder above a gap, and the lower part of a rectangle."""
    return cut_top(rect, rect.height - height - gap, gap)


def cut_start(rect: Rect, width: float, gap: float = GAP) -> tuple[Rect, Rect]:
    """Return the leading part of a rectangle in reading direction, and the remainder after a gap."""
    return (
        Rect(rect.x, rect.y, width, rect.height),
        Rect(rect.x + width + gap, rect.y, rect.width - width - gap, rect.height),
    )


def square(rect: Rect, side: float) -> Rect:
    """Return a square in the middle of a rectangle."""
    centre = rect.centre
    return Rect(centre.x - side / 2, centre.y - side / 2, side, side)
