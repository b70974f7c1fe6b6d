"""A receipt printer behind a private print server: one slip a paid sheet, and none of its faults is a sitter's."""

import contextlib
import threading
from types import SimpleNamespace

import pytest

from kiosk.booth.receipt_tracker import ReceiptTracker, SlipTerms
from kiosk.core.base.geometry import Size
from kiosk.core.view.intent import Intent
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import Patience
from kiosk.devices.cups.slips import CupsSlipPrinter
from kiosk.devices.printer.slips import LATE_S, SlipQueue
from kiosk.devices.sim.payment import SimulatedPayment
from kiosk.errors import PrinterFault, SheetUnknown
from kiosk.pipeline.offering import layout_of
from kiosk.ready.receipt import receipt_findings
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.receipt.slip import Slip
from kiosk.settings import read_settings
from kiosk.system.clock import SystemClock
from tests.flow.test_payment import FailingPrinter, balanced, go, wait
from tests.support.cups_booth import cups_booth
from tests.support.manual_clock import ManualClock
from tests.support.printed import read_page
from tests.support.printer_lab import printer_lab
from tests.support.quick_booth import opened
from tests.support.virtual_printer import Model, paper, wait_for

ROLL = Model((paper("om_roll_80x200mm"), paper("om_short_80x100mm"), paper("om_narrow_58x100mm")), dpi=(203,))
SHOP = ("Foto Müller", "Hauptstraße 1, Berlin")
PATIENCE = Patience(limit_s=50.0, obstacle_s=0.6, recall_s=40.0)


@pytest.fixture(scope="module")
def lab():
    with printer_lab() as made:
        yield SimpleNamespace(server=made, device=made.queue("receipt", ROLL))


@pytest.fixture
def device(lab):
    """Return the receipt printer, ready and with an empty tray."""
    yield lab.device
    lab.device.say()
    lab.server.connection().enablePrinter("receipt")
    for slip in lab.device.came_out():
        slip.unlink()


def printer(lab, queue="receipt"):
    return CupsSlipPrinter(Queue(queue, "localhost", lab.server.port), {}, SystemClock(), PATIENCE)


@contextlib.contextmanager
def receipts(slip_printer):
    slips = SlipQueue(slip_printer, SystemClock())
    with contextlib.closing(ReceiptTracker(slips, SlipTerms(SHOP, 80.0, 4.0), SystemClock())) as tracker:
        yield tracker


@contextlib.contextmanager
def paid_booth(folder, slip_printer, sheets=None):
    """Open a paid booth with a receipt printer."""
    with (
        receipts(slip_printer) as tracker,
        opened(folder, unit=SimulatedPayment(step_s=0.001), printer=sheets, receipts=tracker) as (loop, parts),
    ):
        yield loop, parts


def left(lab):
    """Return what the print server keeps of slips."""
    return lab.server.connection().getJobs(which_jobs="all", my_jobs=False)


def test_a_paid_sheet_has_one_slip_of_the_rolls_width_and_nothing_of_it_is_kept(lab, device, tmp_path):
    with paid_booth(tmp_path, printer(lab)) as (loop, parts):
        go(loop, parts, "collect")
        wait_for(device.came_out)
        go(loop, parts, "welcome")
    (slip,) = device.came_out()
    page = read_page(slip)
    assert page.size_mm == pytest.approx((80.0, 100.0), abs=0.2)
    left_mm, top_mm, width_mm, height_mm = page.box_mm((0, 0, 0))
    assert 4.0 - 0.2 <= left_mm < left_mm + width_mm <= 76.0 + 0.2
    assert 4.0 - 0.2 <= top_mm < top_mm + height_mm < 96.0
    assert left(lab) == {}


@pytest.mark.parametrize("fault", [PrinterFault, SheetUnknown])
def test_a_sheet_that_did_not_surely_come_out_has_no_slip(lab, device, tmp_path, fault):
    with paid_booth(tmp_path, printer(lab), FailingPrinter(tmp_path / "prints", fault)) as (loop, parts):
        go(loop, parts, "unprinted", "out_of_order")
        parts.receipts.close()
    assert device.came_out() == []


def test_a_sheet_that_came_out_at_the_second_try_has_one_slip(lab, device, tmp_path):
    with paid_booth(tmp_path, printer(lab), FailingPrinter(tmp_path / "prints", PrinterFault)) as (loop, parts):
        go(loop, parts, "unprinted")
        loop._step(Intent("retry"))
        go(loop, parts, "collect")
    assert len(device.came_out()) == 1


def paused(lab):
    lab.server.connection().disablePrinter("receipt")
    return printer(lab), "its queue is paused"


def absent(lab):
    return printer(lab, "nowhere"), "knows no such queue"


def out_of_paper(lab):
    lab.device.say("media-empty")
    return printer(lab), "receipt"


@pytest.mark.parametrize("broken", [paused, absent, out_of_paper])
def test_a_receipt_printer_that_fails_changes_nothing_for_the_sitter_and_the_desk_says_so(
    lab, device, tmp_path, broken
):
    slip_printer, why = broken(lab)
    with paid_booth(tmp_path, slip_printer) as (loop, parts):
        go(loop, parts, "collect")
        wait(loop, parts, lambda: loop._poller.status().faults)
        assert "A receipt was not printed." in loop._poller.status().faults[0][1]
        assert why in loop._poller.status().faults[0][1]
        go(loop, parts, "welcome")
        assert loop.session.state == "welcome"
        assert parts.ledger.flush(limit_s=60.0)
        balanced(tmp_path, parts.cashier.unit)
    device.say()
    lab.server.connection().enablePrinter("receipt")
    assert left(lab) == {}, "nothing waits for somebody else"
    assert device.came_out() == []


def test_what_a_crash_has_left_in_the_queue_is_called_back_and_a_strangers_job_is_not(lab, device):
    lab.server.connection().disablePrinter("receipt")
    page = PdfPage(Size(80.0, 100.0)).finish()
    queue = Queue("receipt", "localhost", lab.server.port)
    ours = queue.create({})
    queue.send(ours, page)
    server = lab.server.connection()
    theirs = server.createJob("receipt", "a stranger's", {})
    with receipts(printer(lab)):
        pass
    assert set(left(lab)) == {theirs}
    server.cancelJob(theirs, purge_job=True)


class SlowPrinter:
    """Takes longer for its first slip than the next sitter waits."""

    name = "slow"

    def __init__(self, clock):
        self.clock = clock
        self.printed = 0

    def clear(self):
        pass

    def print_slip(self, least_mm, drawn):
        self.printed += 1
        self.clock.sleep(LATE_S + 1.0)


def test_a_slip_that_waited_behind_another_until_its_sitter_was_gone_is_given_up():
    clock = ManualClock(100.0)
    slow = SlowPrinter(clock)
    slips = SlipQueue(slow, clock)
    slip, begin = Slip(SHOP, ("1 sheet",), 80.0, 4.0), threading.Event()

    def first():
        begin.wait(10.0)
        return slip

    slips.submit(first)
    slips.submit(lambda: slip)
    begin.set()
    slips.close()
    (fault,) = slips.poll()
    assert slow.printed == 1
    assert "was given up" in str(fault)


def test_no_error_ends_the_thread():
    class Odd(SlowPrinter):
        def print_slip(self, least_mm, drawn):
            self.printed += 1
            raise ZeroDivisionError

    odd = Odd(ManualClock(100.0))
    slips = SlipQueue(odd, odd.clock)
    for _ in range(2):
        slips.submit(lambda: Slip(SHOP, ("1 sheet",), 80.0, 4.0))
    slips.close()
    assert odd.printed == 2
    assert ["ZeroDivisionError" in str(fault) for fault in slips.poll()] == [True, True]


@pytest.mark.parametrize(
    ("queue", "width", "grade"), [("receipt", 80.0, "ok"), ("nowhere", 80.0, "warn"), ("receipt", 72.0, "warn")]
)
def test_the_queue_and_the_width_of_its_paper_are_looked_at_before_opening(lab, tmp_path, queue, width, grade):
    more = f'[prices]\nsheet = 9.50\n[receipt]\nby = "queue"\nqueue = "{queue}"\nwidth_mm = {width}\nlines = ["Shop"]'
    settings = read_settings(cups_booth(tmp_path / "settings.toml", lab.server.port, "photo", more))
    (finding,) = receipt_findings(settings, [], layout_of(settings), SystemClock())
    assert (finding.name, finding.grade) == ("receipt", grade)
