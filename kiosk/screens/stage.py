"""The stage: it draws a view and the camera picture, and interprets touches on the result."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import skia

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.view.attendant import DeskIntent, DeskPage
from kiosk.core.view.intent import Ease, Intent
from kiosk.core.view.sitter import SessionView, State
from kiosk.i18n import Words
from kiosk.screens.painters import painter
from kiosk.screens.toolkit import theme, widgets
from kiosk.screens.toolkit.scene import Glass, Moving, Nudge, PanelPlace, Scene, ScenePicture, Target, skia_rect
from kiosk.screens.toolkit.shop import Logo
from kiosk.screens.toolkit.text import Block

STAFF_TAG = "en"
"""The language of the attendant's desk."""

SCAN_S = 2.0
"""How long the focus stays on a target when it moves by itself (practice; people press a switch within 1 s)."""


class Stage:
    """Draws the session's views on a picture of a fixed size.

    The result depends on the view, the camera picture, and the sitter's position within the screen (an open panel, a
    page, the focused button), which the stage keeps itself and resets when the state changes. Parts that
    do not move are painted only when they change.

    Parameters
    ----------
    size
        Width and height of the screen in pixels.
    words
        The words of the language to start with.
    logo
        The shop's, on every screen of a sitter; None for none.

    Attributes
    ----------
    changed
        Regions (rows, columns) of the last drawing that may differ from the previous one.
    """

    def __init__(self, size: tuple[int, int], words: Words, logo: Logo | None = None) -> None:
        width_px, height_px = size
        self.words = words
        self._logo = logo
        self.changed: list[tuple[slice, slice]] = []
        self._scale = min(min(size) / theme.SHORT_SIDE, max(size) / theme.LONG_SIDE)
        self._size = Size(width_px / self._scale, height_px / self._scale)
        self._place = PanelPlace()
        self._still = Glass.blank(width_px, height_px, self._scale)
        self._shown = Glass.blank(width_px, height_px, self._scale)
        self._ease = Ease()
        self._focus: int | None = None
        self._moved_s = 0.0
        self._painted: object = None
        self._picture: ScenePicture | None = None
        self._beats: dict[int, object] = {}
        self._state: State = "welcome"
        self._warns = False
        self._desk: DeskPage = "closed"
        self._staff_words: Words | None = None
        self._scene = self._fresh_scene(SessionView())

    def draw(self, view: SessionView, frame_rgb: ScenePicture | None) -> ScenePicture:
        """Return the screen as BGRA of shape (height, width, 4), valid until the next drawing.

        Parameters
        ----------
        frame_rgb
            The newest camera picture as RGB of shape (height, width, 3), not mirrored, or None.
        """
        warns = view.time_left_s is not None
        desk: DeskPage = view.desk.page if view.desk is not None else "closed"
        if (view.state, warns, desk) != (self._state, self._warns, self._desk):
            self._focus = None
        if (view.state, desk) != (self._state, self._desk):
            self._place = PanelPlace()
        self._state, self._warns, self._desk = view.state, warns, desk
        if self.words.tag != view.language:
            self.words = Words.load(view.language)
        self._ease = view.ease if view.desk is None else Ease()
        self.changed = []
        self._refresh(view)
        if self._ease.one_switch and (self._focus is None or view.now_s - self._moved_s >= SCAN_S):
            self.move_focus(1)
            self._moved_s = view.now_s
            self._refresh(view)
        self._picture = _shown_picture(self._picture, view, frame_rgb)
        for index, part in enumerate(self._scene.moving):
            beat = part.beat(view)
            if beat is not None and self._beats.get(index) == beat:
                continue
            self._beats[index] = beat
            place = self._shown.part(part.rect)
            if not part.opaque:
                self._shown.pixels[place] = self._still.pixels[place]
            part.paint(self._shown, view, self._picture)
            self.changed.append(place)
        return self._shown.pixels

    @property
    def targets(self) -> list[Target]:
        """The touch targets of the last drawing, in pixels."""
        return [Target(_scaled(target.rect, self._scale), target.act) for target in self._scene.targets]

    @property
    def blocks(self) -> list[tuple[Rect, Block]]:
        """All texts of the last drawing, with their places in design pixels."""
        return list(self._scene.blocks)

    @property
    def moving(self) -> list[Moving]:
        """The moving parts of the last drawing."""
        return list(self._scene.moving)

    def desk_at(self, x: float, y: float) -> DeskIntent | None:
        """Return the order of a long press on a pixel: on the strip at the upper edge it opens the attendant's desk.

        No screen has a target there, and no sitter has a reason to hold a finger there for seconds.
        """
        strip = self._scene.area.body.y * self._scale
        return DeskIntent("open") if y < strip else None

    def typed(self, key: str) -> DeskIntent | None:
        """Return the order of a key; all keys except `desk` have an effect at the open desk only."""
        if key == "desk":
            return DeskIntent("open")
        if self._desk == "closed":
            return None
        match key:
            case "erase":
                return DeskIntent("erase")
            case "leave":
                return DeskIntent("leave")
        is_digit = key.isascii() and key.isdecimal()
        return DeskIntent("digit" if is_digit and not self.takes_words else "letter", key)

    @property
    def takes_words(self) -> bool:
        """Whether the attendant's desk in the last drawing takes text."""
        return self._desk in ("guests", "entry")

    def intent_at(self, x: float, y: float) -> Intent | DeskIntent | None:
        """Act on a touch at a pixel, and return its intent or order, or None if no target is there.

        Turning a page or opening a panel happens here; the session still gets an intent, because somebody is there.
        """
        for target in self.targets:
            if target.rect.x <= x < target.rect.right and target.rect.y <= y < target.rect.bottom:
                return self._do(target)
        return None

    def go(self, place: PanelPlace) -> None:
        """Open a panel or turn to a page, from the next drawing on."""
        self._place, self._focus = place, None

    def move_focus(self, steps: int) -> None:
        """Move the focus along the targets, for people who use keys or a switch."""
        start = -1 if self._focus is None and steps > 0 else self._focus or 0
        self._focus = (start + steps) % max(len(self._focusable), 1)

    def press_focus(self) -> Intent | DeskIntent | None:
        """Act on the focused target as on a touch."""
        if self._focus is None or self._focus >= len(self._focusable):
            return DeskIntent("enter") if self._desk in ("pin", "paper", "entry") else None
        return self._do(self._focusable[self._focus])

    @property
    def _focusable(self) -> list[Target]:
        """The targets that can have the focus: all except the buttons that move it."""
        return [target for target in self._scene.targets if not isinstance(target.act, Nudge)]

    def _refresh(self, view: SessionView) -> None:
        """Repaint the parts that do not move if any of them has changed."""
        wanted = (_still_part(view), self._place, self._focus)
        if wanted != self._painted:
            self._paint_still(view)
            self._painted = wanted

    def _do(self, target: Target) -> Intent | DeskIntent:
        if isinstance(target.act, PanelPlace):
            self.go(target.act)
            return Intent("help" if target.act.panel == "help" else "more_time")
        if isinstance(target.act, Nudge):
            return self._nudge(target.act)
        if target.act.name not in ("ease", "volume"):
            self.go(PanelPlace("called") if target.act.name == "call" else PanelPlace())
        return target.act

    def _nudge(self, act: Nudge) -> Intent | DeskIntent:
        pressed = None if act.steps else self.press_focus()
        if pressed is None:
            self.move_focus(act.steps or 1)
        return pressed or Intent("more_time")

    def _paint_still(self, view: SessionView) -> None:
        scene = self._fresh_scene(view)
        scene.canvas.clear(scene.colour(theme.INK).argb)
        painter(view, self._place)(scene, view)
        has_logo = self._logo is not None and view.desk is None
        widgets.marker(scene, self._logo.paint(scene) if self._logo and has_logo else scene.area.marker, view)
        if view.desk is None:
            widgets.accessibility_corner(scene)
        if self._ease.low_controls:
            widgets.pad(scene)
        self._scene = scene
        if self._focus is not None and self._focus < len(self._focusable):
            _focus_ring(scene, self._focusable[self._focus].rect)
        self._shown.pixels[:] = self._still.pixels
        self._beats.clear()
        self.changed = [self._shown.part(Rect(0, 0, self._size.width, self._size.height))]

    def _fresh_scene(self, view: SessionView) -> Scene:
        words = self.words
        if view.desk is not None:
            words = self._staff_words = self._staff_words or Words.load(STAFF_TAG)
        return Scene(self._still.canvas, words, self._size, self._place, self._ease, theme.palette_of(view))


def _still_part(view: SessionView) -> SessionView:
    """Return the view without the values that change from frame to frame."""
    left_s = None if view.time_left_s is None else float(np.ceil(view.time_left_s))
    align = replace(view.align, hold_fraction=0.0, guide=None, inner=None, outer=None)
    return replace(view, since_s=0.0, now_s=0.0, align=align, time_left_s=left_s)


def _shown_picture(last: ScenePicture | None, view: SessionView, frame_rgb: ScenePicture | None) -> ScenePicture | None:
    """Return the picture to show: the last one stays while the shot is taken and measured, and is then released."""
    if frame_rgb is None and view.state in ("shooting", "measuring"):
        return last
    return frame_rgb


def _focus_ring(scene: Scene, rect: Rect) -> None:
    paint = skia.Paint(
        AntiAlias=True, Color=scene.colour(theme.FOCUS).argb, Style=skia.Paint.kStroke_Style, StrokeWidth=8
    )
    outer = rect.grown(6)
    scene.canvas.drawRoundRect(skia_rect(outer), theme.RADIUS + 6, theme.RADIUS + 6, paint)


def _scaled(rect: Rect, factor: float) -> Rect:
    return Rect(rect.x * factor, rect.y * factor, rect.width * factor, rect.height * factor)
