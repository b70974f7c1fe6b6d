"""What a screen draws on: a canvas in design pixels that mirrors its layout for right-to-left languages.

A screen is laid out once, in reading order, and `Scene` mirrors the places of things about the middle of the screen.
What lies inside a place is not mirrored: not the camera picture, not a drawing of the body.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
import skia
from numpy.typing import NDArray

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.document.requirements import DocumentKind
from kiosk.core.view.attendant import DeskIntent
from kiosk.core.view.sitter import Ease, Intent, SessionView
from kiosk.fonts.paragraph import Align
from kiosk.i18n import Words
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.icons import ICONS, READING_ORDER
from kiosk.screens.toolkit.layout import ScreenLayout, layout
from kiosk.screens.toolkit.line_pen import Pen
from kiosk.screens.toolkit.text import Block, Settled, Style, fit
from kiosk.screens.toolkit.theme import ThemeColour, TypeScale

ScenePicture = NDArray[np.uint8]
Panel = Literal["", "help", "called", "language", "ease", "countries", "kinds", "search"]
TextSide = Literal["start", "centre", "end"]
Stand = Literal["top", "middle", "bottom"]


@dataclass(frozen=True, slots=True)
class PanelPlace:
    """Where the sitter is within a screen: an open panel, a page of a list, and what the list is narrowed to.

    The session need not know. `query` holds the letters typed so far, as they are compared.
    """

    panel: Panel = ""
    page: int = 0
    country: str | None = None
    kind: DocumentKind | None = None
    query: str = ""


@dataclass(frozen=True, slots=True)
class Nudge:
    """Move the focus by some targets, or press what has it where `steps` is 0: the three buttons of low controls."""

    steps: int


UserAct = Intent | DeskIntent | PanelPlace | Nudge

CROWDED = 0.6
TALLER = 1.4


@dataclass(frozen=True, slots=True)
class Target:
    """Something to touch, in design pixels, and what it does."""

    rect: Rect
    act: UserAct


@dataclass(frozen=True, slots=True)
class Glass:
    """The finished picture in the making: pixels, and a surface over the same memory.

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
        """Return an empty one whose canvas takes design pixels."""
        pixels = np.zeros((height_px, width_px, 4), np.uint8)
        surface = skia.Surface(pixels, skia.kBGRA_8888_ColorType)
        surface.getCanvas().scale(scale, scale)
        return cls(pixels, surface, scale)

    @property
    def canvas(self) -> skia.Canvas:
        """What to draw on, in design pixels."""
        return self.surface.getCanvas()

    def part(self, rect: Rect) -> tuple[slice, slice]:
        """Return the rows and columns of pixels that a place in design pixels touches."""
        height_px, width_px = self.pixels.shape[:2]
        x, y, right, bottom = (edge * self.scale for edge in (rect.x, rect.y, rect.right, rect.bottom))
        return (
            slice(max(math.floor(y), 0), min(math.ceil(bottom), height_px)),
            slice(max(math.floor(x), 0), min(math.ceil(right), width_px)),
        )


class Moving(Protocol):
    """A part of a screen that is painted anew for every frame."""

    @property
    def rect(self) -> Rect:
        """What it covers, in design pixels."""
        ...

    @property
    def opaque(self) -> bool:
        """Whether it paints all that it covers; if not, what stands still is put back there before."""
        ...

    def paint(self, glass: Glass, view: SessionView, frame_rgb: ScenePicture | None) -> None:
        """Paint it."""
        ...


class Scene:
    """One screen being laid out.

    Attributes
    ----------
    size
        In design pixels.
    ease
        What makes it easier for this sitter.
    targets, moving
        What can be touched and what moves, in the order they were drawn.
    blocks
        Every text with the place it takes, for those who check that it fits.
    """

    def __init__(self, canvas: skia.Canvas, words: Words, size: Size, place: PanelPlace, ease: Ease) -> None:
        self.canvas = canvas
        self.words = words
        self.size = size
        self.place = place
        self.ease = ease
        self.targets: list[Target] = []
        self.moving: list[Moving] = []
        self.blocks: list[tuple[Rect, Block]] = []

    @property
    def is_portrait(self) -> bool:
        """Whether the screen is higher than wide."""
        return self.size.height > self.size.width

    @property
    def area(self) -> ScreenLayout:
        """The regions of the screen."""
        return layout(self.size, low_controls=self.ease.low_controls)

    def colour(self, colour: ThemeColour) -> ThemeColour:
        """Return a colour as it is painted for this sitter."""
        return theme.shown(colour, strong=self.ease.strong_contrast)

    def scale(self, scale: TypeScale) -> TypeScale:
        """Return the sizes that a text may have for this sitter."""
        return theme.larger(scale) if self.ease.large_type and not isinstance(scale, Settled) else scale

    def high(self, height: float) -> float:
        """Return the height of a line of a list, which large type makes higher."""
        return height * TALLER if self.ease.large_type else height

    def share(self, share: float) -> float:
        """Return the share of a region that a drawing above words takes; words that need room leave it less."""
        return share * CROWDED if self.ease.large_type or self.ease.low_controls else share

    def at(self, rect: Rect) -> Rect:
        """Return where a place of the layout lies on the screen."""
        if not self.words.is_right_to_left:
            return rect
        return Rect(self.size.width - rect.right, rect.y, rect.width, rect.height)

    def fill(self, rect: Rect, colour: ThemeColour, radius: float = theme.RADIUS) -> None:
        """Fill a rectangle with round corners."""
        paint = skia.Paint(AntiAlias=True, Color=self.colour(colour).argb)
        self.canvas.drawRoundRect(skia_rect(self.at(rect)), radius, radius, paint)

    def outline(
        self, rect: Rect, colour: ThemeColour, width: float = theme.STROKE, radius: float = theme.RADIUS
    ) -> None:
        """Draw the edge of a rectangle, inside it."""
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
        """Set a text in a box, as large as it goes; return the part of the box it takes, in reading order."""
        style = Style(self.colour(colour), bold, self._side(align))
        block = fit(text, rect.width, rect.height, self.scale(scale), style)
        spare = rect.height - block.height
        y = rect.y + {"top": 0.0, "middle": spare / 2, "bottom": spare}[stand]
        block.paint(self.canvas, self.at(rect).x, y)
        taken = Rect(rect.x, y, rect.width, block.height)
        self.blocks.append((self.at(taken), block))
        return taken

    def icon(self, rect: Rect, name: str, colour: ThemeColour = theme.TEXT, stroke: float = 8.0) -> None:
        """Draw a sign in a square; a chevron points along the reading order."""
        mirrored = self.words.is_right_to_left and name in READING_ORDER
        with Pen(self.canvas, self.at(rect), self.colour(colour), stroke, mirrored=mirrored) as pen:
            ICONS[name](pen)

    def touch(self, rect: Rect, act: UserAct) -> None:
        """Make a rectangle do something when it is touched."""
        self.targets.append(Target(self.at(rect), act))

    def _side(self, align: TextSide) -> Align:
        if align == "centre":
            return "centre"
        return "right" if (align == "end") != self.words.is_right_to_left else "left"


def skia_rect(rect: Rect) -> skia.Rect:
    """Return the rectangle as skia takes it."""
    return skia.Rect.MakeXYWH(rect.x, rect.y, rect.width, rect.height)
