"""Letter keys that show only letters which lead to a match, and the comparison of words with typed letters."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence

from kiosk.core.base.geometry import Rect
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.layout import columns, cut_top, grid
from kiosk.screens.toolkit.scene import PanelPlace, Scene, UserAct
from kiosk.screens.toolkit.widgets import button, note

KEY_HEIGHT, KEY_GAP = 100.0, 12.0
KEYS_ACROSS = 7
TYPED_HEIGHT = 150.0
CARET = "▏"

_LOOKS_LIKE = str.maketrans({"ł": "l", "đ": "d", "ø": "o", "ı": "i", "æ": "ae", "œ": "oe"})
"""Letters with marks that Unicode does not decompose."""


def folded(text: str) -> str:
    """Return a text in the form used for searching and sorting: lower case, without marks and isolates."""
    parted = unicodedata.normalize("NFKD", text.casefold())
    bare = (letter for letter in parted if unicodedata.category(letter) not in ("Mn", "Mc", "Cf"))
    return "".join(bare).translate(_LOOKS_LIKE)


def begins(query: str, words: Sequence[str]) -> bool:
    """Return whether one of the folded words starts with the query."""
    return any(word.startswith(query) for word in words)


def leading_on(query: str, words: Sequence[str]) -> tuple[str, ...]:
    """Return the letters that can follow the query in one of the folded words, in the order of their script."""
    return tuple(sorted({word[len(query)] for word in words if word.startswith(query) and len(word) > len(query)}))


def typed(scene: Scene, rect: Rect, query: str, invitation: str) -> None:
    """Write the letters typed so far, or the invitation before the first."""
    if not query:
        scene.text(rect, invitation, theme.BODY, theme.MUTED, align="centre")
        return
    scene.fill(rect, theme.SURFACE)
    scene.text(rect.inset(28, 4, 28, 4), scene.words.own(query.upper()) + CARET, theme.TITLE, bold=True)


def nobody(scene: Scene, rect: Rect, words: str) -> None:
    """Write that nothing matches, or why something was refused."""
    note(scene, rect, "attention", words, theme.GUIDE)


def keys(
    scene: Scene,
    rect: Rect,
    turn: Rect,
    letters: Sequence[str],
    type_: Callable[[str], UserAct],
    *,
    back: UserAct,
    erase: UserAct | None,
    other: tuple[str, UserAct] | None = None,
) -> None:
    """Draw a page of letters, and below it the way back, the next page or another way, and the last letter taken back.

    Parameters
    ----------
    rect, turn
        Where the letters go, and the row below.
    letters
        Those that lead somewhere; a space among them is the other way.
    type_
        What touching a letter does.
    back, erase
        The acts of the back and erase keys, or None to leave one out.
    other
        The words of another way and where it leads, where there is neither another page nor a space.
    """
    tr, place = scene.words.tr, scene.place
    shown = [letter for letter in letters if letter != " "]
    down = max(1, int((rect.height + KEY_GAP) // (KEY_HEIGHT + KEY_GAP)))
    cells = grid(cut_top(rect, down * (KEY_HEIGHT + KEY_GAP) - KEY_GAP)[0], KEYS_ACROSS, down, KEY_GAP)
    pages = max(1, -(-len(shown) // len(cells)))
    page = min(place.page, pages - 1)
    on_page = shown[page * len(cells) : (page + 1) * len(cells)]
    if scene.words.is_right_to_left and not any(map(_is_right_to_left, on_page)):
        cells = [cell for row in range(down) for cell in cells[row * KEYS_ACROSS : (row + 1) * KEYS_ACROSS][::-1]]
    for cell, letter in zip(cells, on_page, strict=False):
        button(scene, cell, scene.words.own(letter.upper()), type_(letter))
    first, middle, last = columns(turn, 3)
    if page:
        button(scene, first, tr("button.previous"), _turned(place, page - 1))
    else:
        button(scene, first, tr("button.back"), back)
    if page + 1 < pages:
        button(scene, middle, tr("button.next"), _turned(place, page + 1))
    elif " " in letters:
        button(scene, middle, tr("button.space"), type_(" "))
    elif other is not None:
        button(scene, middle, other[0], other[1])
    if erase is not None:
        button(scene, last, tr("button.erase"), erase)


def _is_right_to_left(letter: str) -> bool:
    """Return whether a letter is of a script that runs from right to left (UAX #9, classes R and AL)."""
    return unicodedata.bidirectional(letter[0]) in ("R", "AL")


def _turned(place: PanelPlace, page: int) -> PanelPlace:
    return PanelPlace(place.panel, page, query=place.query)
