"""An on-screen keyboard for names: a page for each common script; others need a real keyboard."""

from __future__ import annotations

from kiosk.core.base.geometry import Rect
from kiosk.core.view.attendant import DeskIntent
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import columns, cut_bottom, grid
from kiosk.screens.toolkit.scene import PanelPlace, Scene, UserAct

LEAST, GAP = 80.0, 8.0
"""The smallest side of a key, and the gap between keys."""
LABEL: theme.TypeScale = (*theme.BODY, 40, 36, 32)
PAGES = (
    "1234567890qwertyuiopasdfghjkl'zxcvbnm-.@",
    "áàâãäåāăąæćčçďđðéèêëēėęěğíìîïīįıłļñńňņóòôõöøōőœŕřśšşșßťțþúùûüūůűųýÿźžżẑ·’–ķģļ"[:80],
    "йцукенгшщзхъфывапролджэячсмитьбюёіїєґ'-ў",
    "αβγδεζηθικλμνξοπρσςτυφχψωάέήίόύώϊϋΐΰ'-.",
    "ابتثجحخدذرزسشصضطظعغفقكلمنهويءآأإؤئةىپچژگ",
    "אבגדהוזחטיכךלמםנןסעפףצץקרשת׳״-.",
)
"""Latin, Latin with marks, Cyrillic, Greek, Arabic and Hebrew, each in keyboard or alphabetical order."""

BEFORE_CAPITAL = " -'’"
"""The characters after which a name's next letter is a capital, as at its beginning."""


def is_capital(text: str, *, shift: bool) -> bool:
    """Return whether the next letter is a capital; `shift` inverts the rule."""
    return (not text or text[-1] in BEFORE_CAPITAL) != shift


def letter_keys(scene: Scene, rect: Rect, text: str, *, shift: bool, last: tuple[str, DeskIntent]) -> None:
    """Draw a page of letters with, below, another page, large letters, space, erase, and what ends the typing.

    Parameters
    ----------
    text
        What is typed so far.
    last
        Label and order of the last key.
    """
    large = is_capital(text, shift=shift)
    keys, turn = cut_bottom(rect, min(120.0, rect.height * 0.18), 14)
    least = LEAST * min(scene.size.width, scene.size.height) / theme.SHORT_SIDE
    across, down = (
        min(most, int((room + GAP) // (least + GAP))) for room, most in ((keys.width, 10), (keys.height, 4))
    )
    chunks = [page[start : start + across * down] for page in PAGES for start in range(0, len(page), across * down)]
    page = scene.place.page % len(chunks)
    for cell, letter in zip(grid(keys, across, down, GAP), chunks[page], strict=False):
        shown = letter.upper() if large and len(letter.upper()) == 1 else letter
        _key(scene, cell, scene.words.own(shown), DeskIntent("letter", shown))
    following = chunks[(page + 1) % len(chunks)]
    other, shifted, space, erase, end = columns(turn, 5, 10)
    _key(scene, other, following[10:13] if following[0] == "1" else following[:3], PanelPlace(page=page + 1))
    _key(scene, shifted, "ABC" if not large else "abc", DeskIntent("shift"))
    _key(scene, space, "Space", DeskIntent("letter", " "))
    _key(scene, erase, "Erase", DeskIntent("erase"))
    _key(scene, end, last[0], last[1], is_main=True)


def _key(scene: Scene, rect: Rect, label: str, act: UserAct, *, is_main: bool = False) -> None:
    scene.fill(rect, theme.GUIDE if is_main else theme.RAISED)
    if not is_main:
        scene.outline(rect, theme.LINE, 3)
    colour = theme.INK if is_main else theme.TEXT
    scene.text(rect.inset(4, 2, 4, 2), label, LABEL, colour, bold=True, align="centre")
    scene.touch(rect, act)
