"""The drawing surface of a screen: a canvas in design pixels that mirrors its layout for right-to-left languages.

A screen is laid out once, in reading order, and `Scene` mirrors the places of things within their region.
What lies inside a place is not mirrored: not the camera picture, not a drawing of the body.
"""

from __future__ import annotations

import math
from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import Literal, Protocol

import numpy as np
import skia
from numpy.typing import NDArray

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.document.requirements import DocumentKind
from kiosk.core.view.attendant import DeskIntent
from kiosk.core.view.intent import Ease, Intent
from kiosk.core.view.sitter import SessionView
from kiosk.fonts.paragraph import Align
from kiosk.i18n import Words
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.icons import ICONS, READING_ORDER
from kiosk.screens.toolkit.layout import ScreenLayout, layout
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.text import Block, Settled, Style, fit
from kiosk.screens.toolkit.theme import ThemeColour, TypeScale

ScenePicture = NDArray[np.uint8]
Panel = Literal["", "help", "called", "language", "ease", "countries", "kinds", "search", "delete", "details"]
TextSide = Literal["start", "centre", "end"]
Stand = Literal["top", "middle", "bottom"]


@dataclass(frozen=True, slots=True)
class PanelPlace:
    """The sitter's position within a screen: an open panel, a page of a list, and the filter on the list.

    The session need not know. `query` holds the letters typed so far, as they are compared.
    """

    panel: Panel = ""
    page: int = 0
    country: str | None = None
    kind: DocumentKind | None = None
    query: str = ""


@dataclass(frozen=True, slots=True)
class Nudge:
    """An act of low controls: move the focus by `steps` targets, or press the focused one if it is 0."""

    steps: int


UserAct = Intent | DeskIntent | PanelPlace | Nudge

CROWDED = 0.6
TALLER = 1.6


@dataclass(frozen=True, slots=True)
class Target:
    """A touch target in design pixels, and its act."""

    rect: Rect
    act: UserAct


@dataclass(frozen=True, slots=True)
class Glass:
    """A picture being drawn: its pixels, and a skia surface over the same memory.

    Attributes
    ----------
    pixels
        BGRA, height x width x 4.
    scale
        Screen pixels to a design pixel.
    """

    pixels: ScenePicture
    surface: skia.Surface
    scale: float

    @classmethod
    def blank(cls, width_px: int, height_px: int, scale: float) -> Glass:
        """Return an empty glass whose canvas takes design pixels."""
        pixels = np.zeros((height_px, width_px, 4), np.uint8)
        surface = skia.Surface(pixels, skia.kBGRA_8888_ColorType)
        surface.getCanvas().scale(scale, scale)
        return cls(pixels, surface, scale)

    @property
    def canvas(self) -> skia.Canvas:
        """The canvas to draw on, in design pixels."""
        return self.surface.getCanvas()

    def part(self, rect: Rect) -> tuple[slice, slice]:
        """Return the rows and columns of pixels touched by a rectangle in design pixels."""
        height_px, width_px = self.pixels.shape[:2]
        x, y, right, bottom = (edge * self.scale for edge in (rect.x, rect.y, rect.right, rect.bottom))
        return (
            slice(max(math.floor(y), 0), min(math.ceil(bottom), height_px)),
            slice(max(math.floor(x), 0), min(math.ceil(right), width_px)),
        )


class Moving(Protocol):
    """A part of a screen that is repainted by itself."""

    @property
    def rect(self) -> Rect:
        """The area it covers, in design pixels."""
        ...

    @property
    def opaque(self) -> bool:
        """Whether it paints its whole area; if not, the still parts of the screen are restored there first."""
        ...

    def beat(self, view: SessionView) -> Hashable:
        """Return what the part shows; it is painted anew when this changes, and in every frame if it is None."""
        ...

    def paint(self, glass: Glass, view: SessionView, frame_rgb: ScenePicture | None) -> None:
        """Paint the part for one frame."""
        ...


@dataclass(eq=False, slots=True)
class Scene:
    """One screen being laid out.

    Attributes
    ----------
    size
        In design pixels.
    ease, palette
        What makes it easier for this sitter, and the colours.
    targets, moving
        What can be touched and what moves, in the order they were drawn.
    blocks
        Every text with the place it takes, for those who check that it fits.
    """

    canvas: skia.Canvas
    words: Words
    size: Size
    place: PanelPlace
    ease: Ease
    palette: theme.Palette
    targets: list[Target] = field(default_factory=list)
    moving: list[Moving] = field(default_factory=list)
    blocks: list[tuple[Rect, Block]] = field(default_factory=list)

    @property
    def is_portrait(self) -> bool:
        """Whether the screen is taller than wide."""
        return self.size.height > self.size.width

    @property
    def area(self) -> ScreenLayout:
        """The regions of the screen."""
        return layout(self.size, low_controls=self.ease.low_controls)

    def colour(self, colour: ThemeColour) -> ThemeColour:
        """Return a colour as painted in this scene's look."""
        return theme.shown(colour, self.palette)

    def scale(self, scale: TypeScale) -> TypeScale:
        """Return the type sizes for this sitter, which depend on large type."""
        return theme.larger(scale) if self.ease.large_type and not isinstance(scale, Settled) else scale

    def high(self, height: float) -> float:
        """Return the height of a list's line, which grows with large type."""
        return height * TALLER if self.ease.large_type else height

    def share(self, share: float) -> float:
        """Return the fraction of a region for a drawing above text, which shrinks if the text needs more room."""
        return share * CROWDED if self.ease.large_type or self.ease.low_controls else share

    def at(self, rect: Rect) -> Rect:
        """Return the screen position of a rectangle of the layout."""
        if not self.words.is_right_to_left:
            return rect
        return self.area.mirrored(rect, self.size.width)

    def fill(self, rect: Rect, colour: ThemeColour, radius: float = theme.RADIUS) -> None:
        """Fill a rectangle with rounded corners."""
        paint = skia.Paint(AntiAlias=True, Color=self.colour(colour).argb)
        self.canvas.drawRoundRect(skia_rect(self.at(rect)), radius, radius, paint)

    def outline(
        self, rect: Rect, colour: ThemeColour, width: float = theme.STROKE, radius: float = theme.RADIUS
    ) -> None:
        """Draw the edge of a rectangle on its inside."""
        argb = self.colour(colour).argb
        paint = skia.Paint(AntiAlias=True, Color=argb, Style=skia.Paint.kStroke_Style, StrokeWidth=width)
        inner = self.at(rect.inset(width / 2, width / 2, width / 2, width / 2))
        self.canvas.drawRoundRect(skia_rect(inner), radius - width / 2, radius - width / 2, paint)

    def text(
        self,
        rect: Rect,
        text: str,
        scale: TypeScale,
        colour: ThemeColour = theme.TEXT,
        *,
        bold: bool = False,
        align: TextSide = "start",
        stand: Stand = "middle",
    ) -> Rect:
        """Set a text as large as its box permits, and return the part of the box that it takes."""
        style = Style(self.colour(colour), bold, self._side(align))
        block = fit(text, rect.width, rect.height, self.scale(scale), style)
        spare = rect.height - block.height
        y = rect.y + {"top": 0.0, "middle": spare / 2, "bottom": spare}[stand]
        block.paint(self.canvas, self.at(rect).x, y)
        taken = Rect(rect.x, y, rect.width, block.height)
        self.blocks.append((self.at(taken), block))
        return taken

    def icon(self, rect: Rect, name: str, colour: ThemeColour = theme.TEXT, stroke: float = 8.0) -> None:
        """Draw an icon in a square; chevrons point along the reading direction."""
        mirrored = self.words.is_right_to_left and name in READING_ORDER
        with Pen(self.canvas, self.at(rect), self.colour(colour), stroke, mirrored=mirrored) as pen:
            ICONS[name](pen)

    def touch(self, rect: Rect, act: UserAct) -> None:
        """Make a rectangle a touch target."""
        self.targets.append(Target(self.at(rect), act))

    def _side(self, align: TextSide) -> Align:
        if align == "centre":
            return "centre"
        return "right" if (align == "end") != self.words.is_right_to_left else "left"


def skia_rect(rect: Rect) -> skia.Rect:
    """Convert a rectangle to skia's type."""
    return skia.Rect.MakeXYWH(rect.x, rect.y, rect.width, rect.height)
