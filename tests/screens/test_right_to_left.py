"""A right-to-left language mirrors where things stand, and nothing that shows a body."""

import numpy as np
import pytest

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.view.choice import Search
from kiosk.core.view.intent import Intent
from kiosk.screens.toolkit.layout import layout
from kiosk.screens.toolkit.live_picture import LivePicture
from kiosk.screens.toolkit.scene import PanelPlace, Target
from tests.support.views import altered


def mirrored(rect: Rect, size: tuple[int, int]) -> Rect:
    """Return the place in a right-to-left language: mirrored within the footer, the column or the picture's half."""
    regions = layout(Size(*map(float, size)))
    for region in (regions.corner, regions.footer, regions.shown, regions.controls):
        if region.contains(rect, 1e-6):
            return Rect(region.x + region.right - rect.right, rect.y, rect.width, rect.height)
    raise AssertionError(f"{rect} lies in no region")


def close(one: Rect, other: Rect) -> bool:
    return one.contains(other, 1e-6) and other.contains(one, 1e-6)


def is_letter(target: Target) -> bool:
    return isinstance(target.act, Intent) and target.act.name == "type" and target.act.argument != " "


def test_targets_stand_mirrored(draw, view, size):
    english, arabic = draw(view, size, "en")[0], draw(view, size, "ar")[0]
    acts = {str(target.act): target.rect for target in arabic.targets}
    for target in english.targets:
        if "argument='ar'" not in str(target.act) and not is_letter(target):
            assert close(acts[str(target.act)], mirrored(target.rect, size)), target


def test_the_accessibility_sign_has_one_corner_on_every_screen_in_every_language(draw, view, small, language):
    """A corner can be found by hand, so it does not move, whichever way the language reads."""
    (opens,) = [target for target in draw(view, small, language)[0].targets if target.act == PanelPlace("ease")]
    side, right, bottom = 150 / 4, small[0] - 48 / 4, small[1] - 36 / 4
    assert close(opens.rect, Rect(right - side, bottom - side, side, side))


@pytest.mark.parametrize(("letters", "first_is_leftmost"), [("abcdefghi", True), ("ابتثجحخدذ", False)])
def test_letters_run_as_their_script_does(draw, views, size, letters, first_is_leftmost):
    """Latin keys of a roster keep the order of the alphabet in an Arabic screen, short last rows too."""
    stage, _ = draw(altered(views["find"], search=Search("", (), tuple(letters))), size, "ar")
    place = {target.act.argument: target.rect for target in stage.targets if is_letter(target)}
    rows = [letters[:7], letters[7:]]
    for row in rows:
        xs = [place[letter].x for letter in row]
        assert xs == sorted(xs, reverse=not first_is_leftmost)
    assert place[letters[0]].x == place[letters[7]].x


@pytest.mark.parametrize("name", ["align", "align_holding", "shooting"])
def test_the_camera_picture_is_the_same_in_arabic(draw, views, size, name):
    (english, shown_en), (arabic, shown_ar) = draw(views[name], size, "en"), draw(views[name], size, "ar")
    place_en, place_ar = panel(english), panel(arabic)
    assert close(place_ar, place_en), "the lens does not move"
    assert differing(cut(shown_en, place_en), cut(shown_ar, place_ar)) < 0.002
    assert differing(cut(shown_en, place_en), cut(shown_ar, place_ar)[:, ::-1]) > 0.008


def test_left_stays_left_in_the_drawing_of_an_instruction(draw, every_instruction, size):
    for name, view in every_instruction.items():
        shown_en, shown_ar = draw(view, size, "en")[1], draw(view, size, "ar")[1]
        disc = Rect(48, 88, 280, 330) if size[1] > size[0] else Rect(1008, 88, 134, 134)
        assert differing(cut(shown_en, disc), cut(shown_ar, mirrored(disc, size))) < 0.002, name
    left, right = (draw(every_instruction[name], size)[1] for name in ("turn_left", "turn_right"))
    assert differing(cut(left, disc), cut(right, disc)) > 0.02


def panel(stage) -> Rect:
    (rect,) = [part.rect for part in stage.moving if isinstance(part, LivePicture)]
    return rect


def cut(picture, rect: Rect):
    return picture[round(rect.y) : round(rect.bottom), round(rect.x) : round(rect.right)]


def differing(one, other) -> float:
    """Return the share of pixels that differ by more than antialiasing at another place does."""
    return float(np.mean(np.max(np.abs(one.astype(int) - other.astype(int)), axis=2) > 64))
