"""The attendant's desk on the screen: every text fits, every target can be hit, and no sitter opens it by chance."""

from datetime import UTC, datetime
from itertools import combinations

import numpy as np
import pygame
import pytest

from kiosk.core.base.geometry import Rect
from kiosk.core.judging.override import REASONS
from kiosk.core.view.attendant import DeskIntent, DeskView, GuestList, KnownGuest, StatusLine
from kiosk.core.view.intent import Intent
from kiosk.core.view.kept_sheet import MOST_SHEETS, KeptSheet
from kiosk.ready.picture import still_findings
from kiosk.screens.hardware.input import HOLD_S, Input, LongPress, Tap, Typed
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.keyboard import PAGES, is_capital
from kiosk.screens.toolkit.scene import PanelPlace
from tests.support.shipped import CATALOGUE
from tests.support.views import altered

LONG = (
    "The camera does not answer: the USB device went away while a still was being fetched. Check its cable, battery "
    "and switch; the booth connects again by itself."
)
LINES = (
    StatusLine("Call", "A sitter asks for you.", "look"),
    StatusLine("Sitter", f"A sitter looks at the result. {LONG}", "none"),
    StatusLine("Camera", LONG, "bad"),
    StatusLine("Paper", "10x15cm; 4 sheets left by the count.", "look"),
    *(StatusLine("Check", LONG, "look") for _ in range(4)),
    StatusLine("Fault 119 min ago", LONG),
)
BUSY = frozenset({"release", "answer", "override", "shut", "end", "start_again"})
LONGEST_TITLE = max((document.title for document in CATALOGUE.all()), key=len)
SHEETS = tuple(
    KeptSheet(str(minute), LONGEST_TITLE, datetime(2026, 11, 25, 9, minute, tzinfo=UTC))
    for minute in range(MOST_SHEETS)
)
BAD_SHOT = still_findings(np.zeros((600, 400, 3), np.uint8), (4000, 6000))
TOLD = tuple(f"{finding.sentence} {finding.next_step}" for finding in BAD_SHOT)
LADY = KnownGuest(
    "EV01234567",
    "Adelheid Wölfflin-Óscarsdóttir von der Warthe",
    (
        ("name", "Adelheid Wölfflin-Óscarsdóttir von der Warthe"),
        ("organisation", "Institut für angewandte Kristallographie"),
        ("role", "speaker"),
    ),
    (
        "Badge 1 with a photo, printed, at till 2, 10:12",
        "Badge 12 without a photo, outcome unknown, at till 2, 10:12",
    ),
    has_badge=True,
    has_photo=True,
)
MAN = KnownGuest("W7K3QDP2", "عبد الرحمن الدمشقي", (("name", "عبد الرحمن الدمشقي"),))
DESKS = {
    "pin": DeskView("pin", typed=12),
    "pin_checking": DeskView("pin", is_checking=True),
    "pin_waits": DeskView("pin", wait_s=900, notice="That is not the PIN."),
    "state": DeskView("state", lines=LINES, orders=BUSY),
    "state_said": DeskView(
        "state",
        lines=LINES[:4],
        orders=frozenset({"open_again"}),
        notice="The photo is passed; the sitter may accept it.",
    ),
    "paper": DeskView("paper", number="9999"),
    "override": DeskView("override", reasons=tuple(REASONS.items())),
    "override_not": DeskView("override", why_no_override="it has fewer pixels than the document asks for"),
    "help": DeskView("help", orders=BUSY),
    "help_child": DeskView("help", orders=BUSY, ages=(0, 1, 6), seat="The seat is 12 cm too low: raise it."),
    "ease": DeskView("ease"),
    "age": DeskView("age", ages=(0, 1, 6)),
    "age_none": DeskView("age"),
    "shot": DeskView("shot", orders=frozenset({"test_shot"}), test_report=TOLD),
    "shot_waits": DeskView("shot"),
    "state_kept": DeskView("state", lines=LINES, orders=(BUSY - {"override"}) | {"reprint"}),
    "reprint": DeskView("reprint", kept=SHEETS),
    "reprint_none": DeskView("reprint"),
    "state_owed": DeskView("state", lines=LINES, orders=(BUSY - {"override"}) | {"settle"}),
    "owed": DeskView("owed", owed=tuple((f"k{count}", f"7C0D{count}: 1209.50 GBP") for count in range(9))),
    "owed_none": DeskView("owed"),
    "guests": DeskView("guests", guests=GuestList("Adelheid Wölff", (LADY, MAN, MAN))),
    "guests_none": DeskView("guests", guests=GuestList("Adelheid Wölff")),
    "guest": DeskView(
        "guest",
        guests=GuestList(chosen=LADY),
        ways=("new_photo", "kept_photo", "without_photo"),
        notice="The guest is on the list.",
    ),
    "guest_waits": DeskView("guest", guests=GuestList(chosen=MAN)),
    "entry": DeskView("entry", guests=GuestList(entered=LADY.values), notice=LONG[:110]),
    "entry_role": DeskView(
        "entry", guests=GuestList(entered=LADY.values, at=2), choices=("visitor", "speaker", "staff")
    ),
    "doubles": DeskView("doubles", guests=GuestList(entered=LADY.values, doubles=(LADY, MAN))),
    "sure_shut": DeskView("sure_shut"),
    "sure_end": DeskView("sure_end"),
}


@pytest.fixture(params=DESKS)
def shown(request, views):
    return altered(views["review_fail"], desk=DESKS[request.param])


@pytest.mark.parametrize("shape", [(1080, 1920), (1920, 1080), (1280, 720), (1024, 768), (1200, 1920)])
def test_every_text_fits_and_every_target_can_be_hit(draw, shown, shape):
    stage, _ = draw(shown, shape)
    assert [block.text for _, block in stage.blocks if not block.fits] == []
    whole, scale = Rect(0, 0, *map(float, shape)), min(shape) / theme.SHORT_SIDE
    for target in stage.targets:
        assert min(target.rect.width, target.rect.height) >= min(theme.TARGET * scale, 80 * scale), target
        assert whole.contains(target.rect), target
        assert shape[0] > shape[1] or target.rect.y >= shape[1] / 2 - 1
    for one, other in combinations(stage.targets, 2):
        assert not one.rect.overlaps(other.rect), (one, other)


def test_every_line_is_on_one_of_the_pages(draw, views, size):
    view = altered(views["welcome"], desk=DESKS["state"])
    told = []
    for page in range(9):
        stage, _ = draw(view, size, place=PanelPlace(page=page))
        told += [block.text for _, block in stage.blocks]
        if not any(target.act == PanelPlace(page=page + 1) for target in stage.targets):
            break
    assert all(told.count(line.words) >= 1 for line in LINES)
    assert told.count(LONG) == sum(line.words == LONG for line in LINES)


def test_the_desk_speaks_english_to_staff_and_the_sitter_keeps_the_language(draw, views):
    stage, _ = draw(altered(views["review_fail"], desk=DESKS["sure_end"]), (540, 960), "ar")
    assert "End the program?" in [block.text for _, block in stage.blocks]
    stage, _ = draw(views["review_fail"], (540, 960), "ar")
    assert stage.words.is_right_to_left


def test_no_screen_has_anything_to_touch_on_the_strip_that_opens_the_desk(draw, views, size):
    small = size[0] // 4, size[1] // 4
    for view in views.values():
        stage, _ = draw(view, small)
        strip = stage._scene.area.body.y * stage._scale
        assert all(target.rect.y >= strip for target in stage.targets)
        assert stage.desk_at(5, strip - 1) == DeskIntent("open")
        assert stage.desk_at(5, strip + 1) is None


def test_keys_mean_something_at_the_desk_and_nothing_to_a_sitter(draw, views):
    stage, _ = draw(views["welcome"], (540, 960))
    assert [stage.typed(key) for key in ("7", "erase", "leave", "desk")] == [None, None, None, DeskIntent("open")]
    assert stage.press_focus() is None
    stage, _ = draw(altered(views["welcome"], desk=DESKS["pin"]), (540, 960))
    assert [stage.typed(key) for key in ("7", "erase", "leave")] == [
        DeskIntent("digit", "7"),
        DeskIntent("erase"),
        DeskIntent("leave"),
    ]
    assert stage.press_focus() == DeskIntent("enter")


def event(kind, **what):
    return pygame.event.Event(kind, **what)


def test_a_finger_that_rests_is_a_hold_and_no_tap():
    hand = Input((540, 960))
    down, up = (event(kind, button=1, pos=(10, 10)) for kind in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP))
    assert hand.read([down], 1.0) == []
    assert hand.read([], 1.0 + HOLD_S - 0.1) == []
    assert hand.read([], 1.0 + HOLD_S) == [LongPress(10.0, 10.0)]
    assert hand.read([], 2.0 + HOLD_S) == []
    assert hand.read([up], 2.1 + HOLD_S) == []
    assert hand.read([down, up], 9.0) == [Tap(10.0, 10.0)]


def test_two_fingers_are_no_hold():
    hand = Input((540, 960))
    fingers = [event(pygame.FINGERDOWN, finger_id=index, x=0.1, y=0.1 * index) for index in (0, 1)]
    assert hand.read(fingers, 1.0) == []
    assert hand.read([], 9.0) == []


def test_a_staff_keyboard_types_digits_and_asks_for_the_desk():
    hand = Input((540, 960))
    keys = [
        (pygame.K_F9, ""),
        (pygame.K_4, "4"),
        (pygame.K_KP7, "7"),
        (pygame.K_BACKSPACE, "\b"),
        (pygame.K_ESCAPE, "\x1b"),
    ]
    events = [event(pygame.KEYDOWN, key=key, mod=0, unicode=text) for key, text in keys]
    assert [each.key for each in hand.read(events, 1.0)] == ["desk", "4", "7", "erase", "leave"]
    assert hand.read([event(pygame.KEYDOWN, key=pygame.K_x, mod=0, unicode="٧")], 1.0) == []
    assert isinstance(hand.read(events[:1], 1.0)[0], Typed)


def test_a_sitter_s_intents_are_not_offered_at_the_desk(draw, shown):
    stage, _ = draw(shown, (540, 960))
    assert not any(isinstance(target.act, Intent) for target in stage.targets)


def test_a_keyboard_types_words_where_guests_are_written_and_digits_elsewhere(draw, views):
    stage, _ = draw(altered(views["welcome"], desk=DESKS["entry"]), (1080, 1920))
    assert [stage.typed(key) for key in ("é", "7", "erase")] == [
        DeskIntent("letter", "é"),
        DeskIntent("letter", "7"),
        DeskIntent("erase"),
    ]
    assert stage.press_focus() == DeskIntent("enter")
    hand = Input((1080, 1920))
    typed = [pygame.event.Event(pygame.TEXTINPUT, text=text) for text in ("é", "中文", "7", " ")]
    assert hand.read(typed, 1.0) == [Typed("é"), Typed("中文")], "digits and spaces come as keys"


@pytest.mark.parametrize(
    ("text", "shift", "large"),
    [("", False, True), ("A", False, False), ("Ada ", False, True), ("Anne-", False, True), ("Mc", True, True)],
)
def test_a_name_is_written_with_large_letters_where_it_has_them(text, shift, large):
    assert is_capital(text, shift=shift) is large


def test_every_key_of_every_page_of_letters_is_its_own():
    keys = "".join(PAGES)
    assert len(keys) - len(set(keys)) <= 9, "only marks of punctuation stand on several pages"
    assert all(len(page) <= 80 for page in PAGES)
