"""A photo whose sheet the printer has failed waits for its sitter, who has it printed again or wiped."""

from dataclasses import replace

import pytest

from kiosk.core.base.measurement import Measurement
from kiosk.core.judging.conformance import judge
from kiosk.core.session.account import Account
from kiosk.core.session.booth_config import UNPRINTED_S, BoothConfig
from kiosk.core.session.commands import Look, Print, Wipe
from kiosk.core.session.events import Failed, Mended, PrintMoved, Still, Tick
from kiosk.core.session.facts import FaultBegan, FaultsMended
from kiosk.core.session.presenter import present
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.session.step_facts import facts_of
from kiosk.core.view.choice import Guest
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from tests.support.sights import DOCUMENT, WHERE, conforming

HOUSE = BoothConfig((DOCUMENT,))
STILL = Still(judge(conforming(DOCUMENT), DOCUMENT), b"the photo")
DOUBTFUL = Still(judge(conforming(DOCUMENT, yaw=Measurement("yaw", None, "deg")), DOCUMENT), accepted=True)
JAMMED = Failed("It has jammed.", "Open it.", "printer_fault")
UNPROVEN = Failed("Its scale is not proven.", "Print a ruler page.", "scale_unproven")
LOST = Failed("It is not known.", "Look in the tray.", "sheet_unknown")
GONE = Failed("The camera has gone.", "Look at its cable.", "camera_fault")
SHUT = Failed("The booth is closed.", "Open it at the desk.", "shut_by_attendant")
PRINTING = Session(state="printing", document=DOCUMENT, where=WHERE, still=STILL, sheets=2, paper="4x6in")


def unprinted(still: Still = STILL, failed: Failed = JAMMED) -> Session:
    session, commands = step(replace(PRINTING, still=still), failed, 50.0, HOUSE)
    assert commands == ()
    return session


def minutes(session: Session, now_s: float) -> int:
    return presented(session, now_s).sheet.photo_minutes


def presented(session: Session, now_s: float = 60.0) -> SessionView:
    return present(session, HOUSE, now_s, simulated=False, copies=1, paper="a6")


@pytest.mark.parametrize("still", [STILL, DOUBTFUL])
@pytest.mark.parametrize("failed", [JAMMED, UNPROVEN, LOST])
def test_a_printers_fault_keeps_the_photo_and_what_was_chosen(still, failed):
    kept = unprinted(still, failed)
    assert (kept.state, kept.still, kept.sheets, kept.paper) == ("unprinted", still, 2, "4x6in")
    again, (order,) = step(kept, Intent("retry"), 60.0, HOUSE)
    assert again.state == "printing"
    assert order == Print(
        kept.ticket.following,
        still.judgement.plan,
        DOCUMENT,
        sheets=2,
        paper="4x6in",
        not_certain=still.not_certain,
    )
    done, commands = step(again, PrintMoved("done"), 70.0, HOUSE)
    assert (done.state, done.still, commands) == ("collect", None, (Wipe("printed"),))


def test_a_second_failure_keeps_it_again():
    again, _ = step(unprinted(), Intent("retry"), 60.0, HOUSE)
    kept, commands = step(again, JAMMED, 80.0, HOUSE)
    assert (kept.state, kept.still, commands) == ("unprinted", STILL, ())


def test_the_sitter_who_gives_it_up_has_it_wiped():
    gone, commands = step(unprinted(), Intent("start_again"), 60.0, HOUSE)
    assert gone.still is None
    assert commands == (Look(False), Wipe("abandoned"))


def test_it_is_wiped_when_its_time_is_over():
    kept = unprinted()
    assert minutes(kept, 50.0) == round(UNPRINTED_S / 60)
    assert minutes(kept, 50.0 + UNPRINTED_S - 30.0) == 1
    assert step(kept, Tick(), 50.0 + UNPRINTED_S - 0.1, HOUSE)[0].still == STILL
    gone, commands = step(kept, Tick(), 50.0 + UNPRINTED_S + 0.1, HOUSE)
    assert gone.still is None
    assert commands == (Look(False), Wipe("fault"))


@pytest.mark.parametrize("failed", [JAMMED, LOST])
@pytest.mark.parametrize("is_mended", [False, True])
def test_what_became_of_the_sheet_stays_after_the_photo_until_it_is_read(failed, is_mended):
    kept = unprinted(failed=failed)
    if is_mended:
        kept, _ = step(kept, Mended(), 60.0, HOUSE)
    session, _ = step(kept, Tick(), 50.1 + UNPRINTED_S, HOUSE)
    for now_s in (1e3, 1e4, 1e5):
        session, _ = step(session, Tick(), now_s, HOUSE)
    told = "sheet_unknown" if failed is LOST else "sheet_not_printed"
    assert (session.state, session.fate, presented(session).trouble) == ("out_of_order", told, told)
    assert session.still is None
    read, _ = step(session, Intent("done"), 2e5, HOUSE)
    assert (read.state, read.fate) == ("welcome" if is_mended else "out_of_order", None)
    assert step(read, Mended(), 3e5, HOUSE)[0].state == "welcome"


@pytest.mark.parametrize("is_mended", [False, True])
def test_who_has_paid_is_told_of_the_money_first_and_then_of_the_sheet(is_mended):
    kept = replace(unprinted(), account=Account(credit=950))
    session, _ = step(kept, Tick(), 50.1 + UNPRINTED_S, HOUSE)
    assert session.state == "money_back"
    if is_mended:
        session, _ = step(session, Mended(), 400.0, HOUSE)
    session, _ = step(session, Intent("done"), 410.0, HOUSE)
    assert (session.state, session.fate) == ("out_of_order", "sheet_not_printed")
    read, _ = step(session, Intent("done"), 420.0, HOUSE)
    assert read.state == ("welcome" if is_mended else "out_of_order")


def test_the_booth_stays_closed_after_its_sitter_has_left_until_the_printer_is_mended():
    closed, _ = step(unprinted(), Intent("start_again"), 60.0, HOUSE)
    assert (closed.state, closed.fault) == ("out_of_order", (JAMMED.sentence, JAMMED.next_step))
    assert step(closed, Mended(), 70.0, HOUSE)[0].state == "welcome"
    ready, _ = step(unprinted(), Mended(), 60.0, HOUSE)
    assert (ready.state, ready.print_state, ready.still) == ("unprinted", "ready", STILL)
    assert step(ready, Intent("start_again"), 70.0, HOUSE)[0].state == "welcome"


def test_another_device_that_fails_meanwhile_takes_nothing_and_closes_the_booth_afterwards():
    kept, commands = step(unprinted(), GONE, 60.0, HOUSE)
    assert (kept.state, kept.still, commands) == ("unprinted", STILL, ())
    for event in (Intent("retry"), PrintMoved("done"), Intent("done"), Intent("done")):
        kept, _ = step(kept, event, 70.0, HOUSE)
    assert (kept.state, kept.fault_key) == ("out_of_order", GONE.key)


def test_a_camera_that_fails_while_a_sheet_is_printed_closes_the_booth_after_its_sitter_has_the_photos():
    """Nobody else learns of a sheet that comes out while the screen speaks of the camera."""
    session = PRINTING
    states = []
    for event in (GONE, PrintMoved("done"), GONE, Intent("done"), Intent("done")):
        session, _ = step(session, event, 60.0, HOUSE)
        states.append(session.state)
    assert states == ["printing", "collect", "collect", "thanks", "out_of_order"]
    assert session.fault_key == GONE.key


@pytest.mark.parametrize("state", ["review", "copies", "release"])
def test_a_photo_that_passed_is_not_lost_with_the_camera(state):
    chosen = replace(PRINTING, state=state)
    kept, commands = step(chosen, GONE, 50.0, HOUSE)
    assert (kept.state, kept.still, commands) == (state, STILL, ())
    gone, commands = step(kept, Intent("start_again"), 60.0, HOUSE)
    assert (gone.state, gone.still, gone.fault_key) == ("out_of_order", None, GONE.key)
    assert Wipe("abandoned") in commands


def test_no_other_photo_is_offered_or_taken_once_the_camera_has_failed():
    review, _ = step(replace(PRINTING, state="review"), GONE, 50.0, HOUSE)
    assert not presented(review).review.can_retake
    still_there, commands = step(review, Intent("retake"), 60.0, HOUSE)
    assert (still_there.state, still_there.still, commands) == ("review", STILL, ())
    back, _ = step(review, Mended(), 70.0, HOUSE)
    assert presented(back).review.can_retake
    assert step(back, Intent("retake"), 80.0, HOUSE)[0].state == "align"


@pytest.mark.parametrize("still", [DOUBTFUL, None])
def test_a_photo_that_did_not_pass_goes_with_the_camera(still):
    gone, commands = step(replace(PRINTING, state="review", still=still), GONE, 50.0, HOUSE)
    assert gone.state == "out_of_order"
    assert Wipe("fault") in commands


def test_a_booth_that_its_attendant_closes_prints_the_sheet_first():
    session, states = PRINTING, []
    for event in (SHUT, PrintMoved("done"), Intent("done"), Intent("done")):
        session, _ = step(session, event, 60.0, HOUSE)
        states.append(session.state)
    assert states == ["printing", "collect", "thanks", "out_of_order"]


def test_a_sheet_that_fails_after_the_camera_did_is_kept_for_its_sitter():
    lost, _ = step(PRINTING, GONE, 50.0, HOUSE)
    kept, _ = step(lost, JAMMED, 60.0, HOUSE)
    assert (kept.state, kept.print_state, kept.still) == ("unprinted", "failed", STILL)


def test_a_camera_that_is_back_before_the_sheet_is_out_closes_nothing_and_its_fault_has_an_end():
    lost, commands = step(PRINTING, GONE, 50.0, HOUSE)
    assert list(facts_of(PRINTING, GONE, lost, commands)) == [FaultBegan(GONE.key)]
    back, commands = step(lost, Mended(), 55.0, HOUSE)
    assert list(facts_of(lost, Mended(), back, commands)) == [FaultsMended()]
    for event in (PrintMoved("done"), Intent("done"), Intent("done")):
        back, _ = step(back, event, 60.0, HOUSE)
    assert back.state == "welcome"


@pytest.mark.parametrize(
    "printing", [replace(PRINTING, still=None), replace(PRINTING, guest=Guest("G1", "Ana Öz"))], ids=["none", "badge"]
)
def test_where_no_photo_is_the_sitters_the_booth_is_out_of_order(printing):
    down, commands = step(printing, JAMMED, 50.0, HOUSE)
    assert (down.state, commands) == ("out_of_order", (Look(False), Wipe("fault")))


def test_a_sheet_that_may_have_come_out_is_printed_again_at_the_sitters_word_alone():
    kept = unprinted(failed=LOST)
    assert (kept.state, kept.print_state) == ("unprinted", "unknown")
    ready, commands = step(kept, Mended(), 60.0, HOUSE)
    assert (ready.print_state, commands) == ("unknown", ())
    again, (order,) = step(ready, Intent("retry"), 70.0, HOUSE)
    assert (again.state, type(order)) == ("printing", Print)
