"""The attendant and the guests, whole: somebody is added, corrected, given a badge again."""

from dataclasses import replace

import numpy as np
import pygame
import pytest
import simplejpeg
from pypdf import PdfReader

from kiosk.core.attendant.state import Desk
from kiosk.core.view.attendant import DeskIntent
from kiosk.render.badge.badge_sheet import BadgeOrder, card_pages
from tests.flow.test_event_desk import DESIGN, STILL, badges_of, event, roster, settle  # noqa: F401
from tests.render.test_badge import rendered
from tests.support.pilot import booth


@pytest.fixture
def pilot(tmp_path, event):  # noqa: F811
    with booth(tmp_path, scenario=STILL, event=event, paper="card") as pilot:
        pilot.advance(0.3)
        pilot.parts.desk.desk = Desk(page="state", active_s=pilot.parts.clock.now_s())
        pilot.advance(0.1)
        yield pilot


def type_words(pilot, words):
    """Type on a keyboard that is plugged in."""
    for letter in words:
        key = pygame.K_SPACE if letter == " " else pygame.K_a
        pygame.event.post(pygame.event.Event(pygame.KEYDOWN, key=key, mod=0, unicode=letter, scancode=0))
        if letter != " ":
            pygame.event.post(pygame.event.Event(pygame.TEXTINPUT, text=letter))
    pilot.advance(0.04 * len(words) + 0.1)


def open_guest(pilot, letters, guest):
    pilot.order("show", "guests")
    type_words(pilot, letters)
    pilot.order("guest", guest)


def offered(pilot):
    acts = [target.act for target in pilot.parts.screen.stage.targets]
    return [act.argument for act in acts if isinstance(act, DeskIntent) and act.name == "badge"]


def sheet_of(tmp_path):
    (sheet,) = (tmp_path / "prints").glob("*.pdf")
    return sheet


def is_badge_of(sheet, person, tmp_path):
    """Tell whether a sheet looks as this person's badge without a photo does."""
    wanted = card_pages(DESIGN, [BadgeOrder(person.values)], upright=True)
    return np.array_equal(rendered(sheet.read_bytes(), tmp_path, 100), rendered(wanted, tmp_path, 100))


def test_somebody_who_is_not_on_the_list_is_added_after_a_warning_and_has_a_badge(tmp_path, pilot, roster):  # noqa: F811
    pilot.order("show", "guests")
    type_words(pilot, "ada lind")
    assert [guest.id for guest in pilot.view.desk.guests.found] == ["E1"]
    pilot.order("walk_in")
    pilot.order("save")
    assert (pilot.view.desk.page, pilot.view.desk.guests.doubles[0].id) == ("doubles", "E1")
    pilot.order("save")
    added = pilot.view.desk.guests.chosen
    assert (pilot.view.desk.page, added.name, added.has_badge) == ("guest", "ada lind", False)
    pilot.order("badge", "without_photo")
    pilot.until("collect")
    settle(pilot, roster, added.id)
    assert pilot.view.desk is None
    (known,) = roster.find(added.id)
    assert known.walk_in
    assert badges_of(roster, added.id) == [("printed", False)]
    assert is_badge_of(sheet_of(tmp_path), known.person, tmp_path)


def test_letters_on_the_screen_begin_names_with_a_large_one(pilot):
    pilot.order("show", "guests")
    pilot.order("walk_in")
    for letter in ("J", "o", " ", "L"):
        pilot.order("letter", letter)
    assert dict(pilot.view.desk.guests.entered)["name"] == "Jo L"
    pilot.order("next_field")
    assert pilot.view.desk.guests.at == 1


def test_a_name_that_no_badge_can_show_is_refused_with_the_reason(pilot, roster):  # noqa: F811
    pilot.order("show", "guests")
    pilot.order("walk_in")
    type_words(pilot, "Wolfeschlegelstein" * 6)
    pilot.order("save")
    assert (pilot.view.desk.page, "too long for its place" in pilot.view.desk.notice) == ("entry", True)
    assert len(list(roster.everybody())) == 3


def test_a_late_change_is_in_the_roster_and_on_the_badge(tmp_path, pilot, roster):  # noqa: F811
    open_guest(pilot, "adele", "E2")
    pilot.order("edit")
    pilot.order("erase")
    pilot.order("erase")
    type_words(pilot, "Özkan")
    pilot.order("save")
    assert pilot.view.desk.guests.chosen.name == "Adele Özkan"
    pilot.order("badge", "without_photo")
    pilot.until("collect")
    settle(pilot, roster, "E2")
    assert roster.person("E2").name == "Adele Özkan"
    assert is_badge_of(sheet_of(tmp_path), roster.person("E2"), tmp_path)


def test_a_lost_badge_is_printed_again_with_the_photo_that_the_organiser_keeps(tmp_path, pilot, roster):  # noqa: F811
    photo = np.random.default_rng(1).integers(0, 255, (413, 315, 3), np.uint8)
    pilot.parts.badges.desk._photos.put("E1", simplejpeg.encode_jpeg(photo, colorspace="RGB"))
    roster.end(roster.begin("E1", with_photo=True), "printed")
    open_guest(pilot, "ada", "E1")
    assert offered(pilot) == ["new_photo", "kept_photo", "without_photo"]
    pilot.order("badge", "kept_photo")
    pilot.until("collect")
    settle(pilot, roster, "E1")
    assert badges_of(roster, "E1") == [("printed", True), ("printed", True)]
    assert len(PdfReader(sheet_of(tmp_path)).pages[0].images) == 1


def test_where_the_photo_is_wiped_a_new_one_is_taken_or_none(tmp_path, pilot, roster):  # noqa: F811
    roster.end(roster.begin("E1", with_photo=True), "printed")
    open_guest(pilot, "ada", "E1")
    assert offered(pilot) == ["new_photo", "without_photo"]
    pilot.order("badge", "new_photo")
    assert (pilot.view.state, pilot.view.event.guest.name, pilot.view.desk) == ("privacy", "Ada Lind", None)
    pilot.tap("without_photo")
    pilot.until("collect")
    settle(pilot, roster, "E1")
    assert badges_of(roster, "E1") == [("printed", True), ("printed", False)]


def test_nobody_is_sent_to_the_camera_while_another_guest_is_there(pilot):
    open_guest(pilot, "ada", "E1")
    pilot.loop.session = replace(pilot.loop.session, state="review")
    pilot.advance(0.1)
    assert offered(pilot) == []
