"""What the session is told of lost shots, lost devices and a shut booth, and that it opens when nobody is to blame."""

from dataclasses import dataclass

import pytest

from kiosk.booth.health.camera import GRACE_S, MOST_NOTICES, REFUSED_REST_S, REFUSED_SHOTS, CameraHealth
from kiosk.booth.health.closure import SHUT_CHECK_S, Closure
from kiosk.booth.health.light import LightHealth
from kiosk.booth.health.mains import GRACE_S as MAINS_GRACE_S
from kiosk.booth.health.mains import MainsHealth
from kiosk.booth.health.out_of_order import OutOfOrder, failure
from kiosk.booth.health.payment import PaymentHealth
from kiosk.booth.health.printer import UNSEATED, PrinterHealth
from kiosk.core.attendant.state import Desk
from kiosk.core.base.mains import Mains
from kiosk.core.base.ticket import Ticket
from kiosk.core.session.events import Failed, Mended, PrinterStood, PrintMoved, ShotArrived, ShotFailed
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.devices.base import DeviceFailed, DeviceNotice, DeviceReady, PrintStatus, StillTaken
from kiosk.errors import CameraFault, LineFault, PaymentFault, PrinterFault

LOST = CameraFault(detail="its connection broke")
JAMMED = PrinterFault(printer="lab", detail="the paper has jammed")
SHOT = Ticket(7)
FULL = ("No room on the disk.", "Delete old sheets.")


@dataclass
class Answering:
    """All that the watch asks of a camera."""

    state: str = "ready"


@pytest.fixture
def out_of_order():
    return OutOfOrder()


@pytest.fixture
def camera():
    return Answering()


@pytest.fixture
def watch(camera, out_of_order):
    """Watch a camera that has answered."""
    made = CameraHealth(camera, out_of_order, 0.0)
    assert list(made.heard(DeviceReady("lab"), 0.0)) == []
    return made


def test_a_camera_that_never_comes_is_given_up_once(camera, out_of_order):
    watch = CameraHealth(camera, out_of_order, 100.0)
    assert "no picture has come" in watch.trouble
    assert list(watch.waited(100.0 + GRACE_S)) == []
    assert [type(event) for event in watch.waited(100.1 + GRACE_S)] == [Failed]
    assert list(watch.waited(200.0)) == []
    assert list(watch.heard(DeviceReady("lab"), 200.0)) == [Mended()]
    assert watch.trouble == ""


def test_a_camera_that_is_back_in_time_costs_a_shot_alone(watch, camera):
    camera.state = "fault"
    assert list(watch.heard(DeviceFailed(LOST, SHOT), 10.0)) == [ShotFailed(SHOT)]
    assert watch.trouble == str(LOST)
    assert list(watch.waited(10.0 + GRACE_S)) == []
    camera.state = "ready"
    assert list(watch.heard(DeviceReady("lab"), 10.0 + GRACE_S)) == []
    assert list(watch.waited(100.0)) == []


def test_the_wait_counts_from_the_first_word_of_the_loss(watch, camera):
    camera.state = "fault"
    for at_s in (10.0, 12.0, 13.9):
        assert list(watch.heard(DeviceFailed(LOST, SHOT), at_s)) == [ShotFailed(SHOT)]
    assert list(watch.waited(10.1 + GRACE_S)) == [failure(LOST)]


def test_a_lost_camera_that_tells_another_reason_changes_the_words(watch, camera):
    camera.state = "fault"
    list(watch.heard(DeviceFailed(LOST, SHOT), 10.0))
    assert list(watch.waited(20.0)) == [failure(LOST)]
    other = CameraFault(detail="it is switched off")
    assert list(watch.heard(DeviceFailed(other), 21.0)) == [failure(other)]


def test_refusals_in_a_row_close_the_booth_for_a_rest(watch):
    told = [event for at_s in range(REFUSED_SHOTS) for event in watch.heard(DeviceFailed(LOST, SHOT), float(at_s))]
    assert told == [ShotFailed(SHOT)] * (REFUSED_SHOTS - 1) + [failure(LOST)]
    last_s = REFUSED_SHOTS - 1.0
    assert list(watch.waited(last_s + REFUSED_REST_S)) == []
    assert list(watch.waited(last_s + REFUSED_REST_S + 0.1)) == [Mended()]
    assert list(watch.heard(DeviceFailed(LOST, SHOT), 100.0)) == [ShotFailed(SHOT)]


def test_a_still_between_refusals_begins_the_count_again(watch):
    for _ in range(REFUSED_SHOTS):
        assert list(watch.heard(DeviceFailed(LOST, SHOT), 1.0)) == [ShotFailed(SHOT)]
        assert list(watch.heard(StillTaken(SHOT, b"x"), 2.0)) == [ShotArrived(SHOT, b"x")]


def told(watch, *texts):
    for text in texts:
        assert list(watch.heard(DeviceNotice(text), 1.0)) == []
    return watch.notices


def test_notices_stay_until_the_camera_is_ready_again(watch):
    battery, stray = "The battery is low.", "A stray picture."
    assert told(watch, battery, stray, battery, stray) == (battery, stray)
    list(watch.heard(DeviceReady("lab"), 2.0))
    assert watch.notices == ()


def test_of_many_notices_the_first_ones_and_the_newest_stay(watch):
    texts = [str(number) for number in range(MOST_NOTICES + 3)]
    assert told(watch, *texts) == (*texts[: MOST_NOTICES - 1], texts[-1])


@pytest.mark.parametrize("is_sitters", [True, False])
def test_only_the_sitters_own_sheet_stops_the_session(out_of_order, is_sitters):
    printer = PrinterHealth(out_of_order)
    failed = PrintStatus("a", "failed", error=JAMMED)
    assert (
        list(printer.heard(PrintStatus("a", "printing"), is_sitters=is_sitters))
        == [PrintMoved("printing")] * is_sitters
    )
    assert list(printer.heard(failed, is_sitters=is_sitters)) == [failure(JAMMED)] * is_sitters
    assert printer.trouble == str(JAMMED)
    assert list(printer.idle("align")) == []
    assert list(printer.idle("welcome")) == [failure(JAMMED)] * (not is_sitters)
    assert list(printer.heard(PrintStatus("b", "done"), is_sitters=False)) == [Mended()]
    assert printer.trouble == ""


def test_who_chooses_sheets_hears_whether_they_could_be_printed_and_when_that_changes(out_of_order):
    printer = PrinterHealth(out_of_order)
    assert list(printer.idle("review")) == []
    assert list(printer.idle("copies")) == [PrinterStood(True)]
    assert list(printer.heard(DeviceFailed(JAMMED), is_sitters=False)) == []
    assert list(printer.idle("copies")) == [PrinterStood(False)]
    assert list(printer.idle("copies")) == []
    list(printer.heard(DeviceReady("lab"), is_sitters=False))
    assert list(printer.idle("copies")) == [PrinterStood(True)]
    list(printer.heard(DeviceFailed(JAMMED), is_sitters=False))
    assert list(printer.idle("review")) == []
    assert list(printer.idle("copies")) == [PrinterStood(False)]
    assert list(printer.idle("welcome")) == [failure(JAMMED)], "the next one hears of it as before"


@pytest.mark.parametrize("state", UNSEATED)
def test_an_idle_printer_tells_each_new_trouble(out_of_order, state):
    printer = PrinterHealth(out_of_order)
    for error in (JAMMED, PrinterFault(printer="lab", detail="the paper has run out")):
        assert list(printer.heard(DeviceFailed(error), is_sitters=False)) == []
        assert list(printer.idle(state)) == [failure(error)]
        assert list(printer.idle(state)) == []


def test_a_ribbon_that_runs_out_is_a_notice_and_no_trouble(out_of_order):
    printer = PrinterHealth(out_of_order)
    assert list(printer.heard(DeviceNotice("Ribbon of lab is at 2 %."), is_sitters=False)) == []
    assert (printer.trouble, printer.notice) == ("", "Ribbon of lab is at 2 %.")
    assert list(printer.idle("welcome")) == []
    assert list(printer.heard(DeviceNotice(""), is_sitters=False)) == []
    assert printer.notice == ""


def test_a_printer_that_gives_another_reason_while_the_sheet_is_printed_again_is_mended_by_that_sheet(out_of_order):
    """Else the booth stays out of order for ever after its sitter has gone, with printers that could print."""
    printer = PrinterHealth(out_of_order)
    assert list(printer.heard(PrintStatus("a", "failed", error=JAMMED), is_sitters=True)) == [failure(JAMMED)]
    other = PrinterFault(printer="lab", detail="a cover is open")
    assert list(printer.heard(DeviceFailed(other), is_sitters=False)) == []
    assert list(printer.idle("printing")) == []
    assert list(printer.heard(PrintStatus("b", "done"), is_sitters=True)) == [PrintMoved("done"), Mended()]
    assert list(printer.idle("welcome")) == []


def test_a_payment_unit_that_gives_another_reason_is_mended_when_it_answers(out_of_order):
    silent, full = PaymentFault(unit="lab", detail="it is silent"), PaymentFault(unit="lab", detail="its box is full")
    payment = PaymentHealth(out_of_order)
    assert list(payment.heard(DeviceFailed(silent))) == []
    assert list(payment.idle("align")) == []
    assert list(payment.idle("welcome")) == [failure(silent)]
    assert list(payment.heard(DeviceFailed(full))) == [failure(full)]
    assert list(payment.heard(DeviceReady("lab"))) == [Mended()]
    assert list(payment.idle("welcome")) == []


def test_the_booth_opens_when_the_last_to_blame_is_mended(out_of_order, camera):
    why = [FULL]
    watch, printer, shut = (
        CameraHealth(camera, out_of_order, 0.0),
        PrinterHealth(out_of_order),
        Closure(lambda: why[0], out_of_order),
    )
    desk = Desk(is_shut=True)
    told = [
        *watch.waited(2 * GRACE_S),
        *printer.heard(DeviceFailed(JAMMED), is_sitters=False),
        *printer.idle("out_of_order"),
        *shut.by_machine("out_of_order", 0.0),
        *shut.by_desk(desk, "out_of_order"),
    ]
    assert [type(event) for event in told] == [Failed] * 4
    why[0] = None
    mended = [
        *printer.heard(DeviceReady("lab"), is_sitters=False),
        *shut.by_machine("out_of_order", SHUT_CHECK_S),
        *shut.by_desk(Desk(), "out_of_order"),
    ]
    assert mended == []
    assert list(watch.heard(DeviceReady("lab"), 60.0)) == [Mended()]


def test_the_machine_is_asked_between_sitters_and_not_all_the_time(out_of_order):
    asked = []
    shut = Closure(lambda: asked.append(1), out_of_order)
    for now_s in (0.0, SHUT_CHECK_S - 0.1, SHUT_CHECK_S):
        assert list(shut.by_machine("welcome", now_s)) == []
        assert list(shut.by_machine("align", now_s)) == []
    assert len(asked) == 2


def test_an_order_shuts_at_once_and_an_empty_printer_after_the_sitter(out_of_order):
    shut, empty = Closure(lambda: None, out_of_order), Desk(sheets=0)
    assert list(shut.by_desk(empty, "align")) == []
    assert [event.key for event in shut.by_desk(empty, "welcome")] == ["no_paper"]
    assert list(shut.by_desk(Desk(sheets=20), "out_of_order")) == [Mended()]
    assert [event.key for event in shut.by_desk(Desk(is_shut=True), "align")] == ["shut_by_attendant"]


def test_a_camera_unplugged_while_it_rests_stays_out_of_order_until_it_answers(watch, camera):
    for _ in range(REFUSED_SHOTS):
        list(watch.heard(DeviceFailed(LOST, SHOT), 10.0))
    camera.state = "fault"
    assert [type(event) for event in watch.heard(DeviceFailed(LOST, SHOT), 12.0)] == [Failed]
    for second in range(300):
        assert list(watch.waited(12.0 + second)) == []
    camera.state = "ready"
    assert list(watch.heard(DeviceReady("lab"), 320.0)) == [Mended()]
    assert list(watch.waited(320.0 + REFUSED_REST_S + 1)) == []
    assert list(watch.heard(DeviceFailed(LOST, SHOT), 400.0)) == [ShotFailed(SHOT)]


ON_BATTERY, LOW, THERE = Mains(("OB", "DISCHRG")), Mains(("OB", "LB")), Mains(("OL", "CHRG"))


def test_a_sheet_that_is_being_printed_may_come_out_while_the_battery_lasts(out_of_order):
    said = [ON_BATTERY]
    watch = MainsHealth(lambda: said[0], out_of_order)
    assert list(watch.watched("printing", 0.0)) == []
    assert list(watch.watched("printing", 10 * MAINS_GRACE_S)) == []
    (failed,) = watch.watched("collect", 10 * MAINS_GRACE_S)
    assert failed.key == "mains_failed"
    assert list(watch.watched("out_of_order", 11 * MAINS_GRACE_S)) == []
    said[0] = THERE
    assert list(watch.watched("out_of_order", 12 * MAINS_GRACE_S)) == [Mended()]


def test_a_battery_that_is_nearly_empty_waits_for_no_sheet(out_of_order):
    (failed,) = MainsHealth(lambda: LOW, out_of_order).watched("printing", 0.0)
    assert "nearly empty" in failed.sentence
    waiting = Session(state="printing", since_s=0.0, active_s=0.0, language="en")
    down, _ = step(waiting, failed, 1.0, None)
    assert (down.state, down.fate) == ("out_of_order", "sheet_unknown")


@pytest.mark.parametrize("unknown", [None, Mains(trouble="the UPS booth does not answer")])
def test_a_ups_that_says_nothing_neither_shuts_the_booth_nor_opens_it(out_of_order, unknown):
    said = [unknown]
    watch = MainsHealth(lambda: said[0], out_of_order)
    assert list(watch.watched("align", 100.0)) == []
    said[0] = LOW
    assert len(list(watch.watched("align", 100.0))) == 1
    said[0] = unknown
    assert list(watch.watched("out_of_order", 200.0)) == []
    assert "mains" in out_of_order


@dataclass
class Lit:
    """All that the watch asks of a camera with its light."""

    fault: LineFault | None = None
    needed: int = 0

    def need_light(self):
        self.needed += 1


BROKEN = LineFault(line=3, chip="/dev/gpiochip0", detail="no such device")


def test_lamps_are_needed_from_the_first_tap_until_the_booth_is_at_rest(out_of_order):
    camera = Lit()
    watch = LightHealth(camera, out_of_order)
    for state, needed in (("welcome", 0), ("choose", 1), ("align", 2), ("collect", 3), ("out_of_order", 3)):
        assert list(watch.watched(state)) == []
        assert camera.needed == needed


@pytest.mark.parametrize("state", ["welcome", "choose", "align", "shooting"])
def test_a_booth_without_its_light_is_out_of_order_until_the_line_obeys(out_of_order, state):
    camera = Lit(BROKEN)
    watch = LightHealth(camera, out_of_order)
    assert list(watch.watched(state)) == [failure(BROKEN)]
    assert watch.trouble == str(BROKEN)
    assert list(watch.watched("out_of_order")) == []
    camera.fault = None
    assert list(watch.watched("out_of_order")) == [Mended()]
    assert watch.trouble == ""


@pytest.mark.parametrize("state", ["review", "copies", "printing", "unprinted", "collect"])
def test_a_photo_that_is_taken_needs_no_light(out_of_order, state):
    watch = LightHealth(Lit(BROKEN), out_of_order)
    assert list(watch.watched(state)) == []
    assert list(watch.watched("welcome")) == [failure(BROKEN)]


def test_a_booth_whose_light_is_somebody_elses_asks_nobody(out_of_order):
    watch = LightHealth(None, out_of_order)
    assert list(watch.watched("align")) == []
    assert watch.trouble == ""
