"""Pulses are money: none is lost, none is counted for somebody else, and a lost line loses nothing that was counted."""

import os
import pty
import threading
import time
from contextlib import closing
from pathlib import Path
from types import SimpleNamespace

import gpiod
import pytest
from gpiod.line import Bias, Direction, Edge, Value

from kiosk.devices.base import Charge
from kiosk.devices.pulses.gpio_line import GpioLine
from kiosk.devices.pulses.serial_line import SerialLine
from kiosk.devices.pulses.unit import PulseUnit
from kiosk.errors import PaymentFault
from tests.devices.camera_process.patience import wait_for

CHARGE = Charge("k1", 950, "EUR")
FALLING_S = 0.4
UNHURRIED_S = 3.0
"""A pause between two pulses that a busy machine does not make."""


@pytest.fixture
def wire():
    ours, theirs = pty.openpty()
    yield SimpleNamespace(send=lambda pulses: os.write(ours, pulses), path=os.ttyname(theirs))
    for end in (ours, theirs):
        os.close(end)


def ask(unit, stop=None):
    counted = []
    return unit.ask(CHARGE, counted.append, stop or threading.Event()), counted


def later(do, *arguments, after_s=0.05):
    threading.Timer(after_s, do, arguments).start()


def when(unit, is_open, do, *arguments):
    """Do something once the unit has opened its validator, or has closed it."""
    accept = unit._line.accept

    def accepted(*, on):
        accept(on=on)
        if on is is_open:
            do(*arguments)

    unit._line.accept = accepted


def arrived(unit, count):
    """Wait until so many bytes can be read; the kernel hands them on by and by."""
    wait_for(lambda: unit._line._port.in_waiting == count)


def fall(wire, pulses):
    """Send pulses one by one."""
    for _ in range(pulses):
        wire.send(b"p")
        time.sleep(0.01)


def test_bytes_are_pulses_and_other_bytes_are_noise(wire):
    with closing(PulseUnit(SerialLine(wire.path, byte=0x70), 50, FALLING_S)) as unit:
        unit.check()

        def send():
            wire.send(b"p" * 10 + b"\xff\x00")
            later(wire.send, b"p" * 9)

        when(unit, True, send)
        answer, counted = ask(unit)
    assert (answer.end, answer.paid) == ("approved", 950)
    assert counted[-1] == 950


def test_a_note_whose_last_pulses_are_still_coming_counts_whole(wire):
    with closing(PulseUnit(SerialLine(wire.path), 50, UNHURRIED_S)) as unit:
        unit.check()
        when(unit, True, later, fall, wire, 40)
        answer, _ = ask(unit)
    assert (answer.end, answer.paid) == ("approved", 2000), "no change, but all of it is credit"


def test_a_coin_that_falls_while_the_request_ends_counts(wire):
    with closing(PulseUnit(SerialLine(wire.path), 50, FALLING_S)) as unit:
        unit.check()
        stop = threading.Event()
        stop.set()
        when(unit, False, wire.send, b"pppp")
        answer, _ = ask(unit, stop)
    assert (answer.end, answer.paid) == ("cancelled", 200)


def test_pulses_that_nobody_was_asked_for_pay_for_nothing_and_are_logged(wire, caplog):
    with closing(PulseUnit(SerialLine(wire.path), 50, FALLING_S)) as unit:
        unit.check()
        wire.send(b"p" * 19)
        arrived(unit, 19)
        stop = threading.Event()
        stop.set()
        answer, _ = ask(unit, stop)
    assert answer.paid == 0
    assert "19 pulses came while nobody was asked" in caplog.text


def test_a_port_that_goes_away_is_a_fault_and_comes_back(tmp_path):
    ours, theirs = pty.openpty()
    path = tmp_path / "port"
    path.symlink_to(os.ttyname(theirs))
    unit = PulseUnit(SerialLine(str(path)), 50, FALLING_S)
    counted = []
    unit.check()

    def unplug():
        os.write(ours, b"pp")
        while not counted:
            time.sleep(0.001)
        path.unlink()
        for end in (ours, theirs):
            os.close(end)

    when(unit, True, later, unplug)
    with pytest.raises(PaymentFault):
        unit.ask(CHARGE, counted.append, threading.Event())
    assert counted == [100], "what was counted stays counted"
    with pytest.raises(PaymentFault, match="port"):
        unit.check()
    ours, theirs = pty.openpty()
    path.symlink_to(os.ttyname(theirs))
    unit.check()
    unit.close()
    for end in (ours, theirs):
        os.close(end)


def test_two_booths_cannot_count_the_same_coins(wire):
    with closing(PulseUnit(SerialLine(wire.path), 50)) as first:
        first.check()
        with pytest.raises(PaymentFault):
            PulseUnit(SerialLine(wire.path), 50).check()


def test_an_input_of_the_port_counts_its_rising_edges_while_dtr_opens_the_validator(monkeypatch):
    """A pseudo-terminal has no modem lines; what is below pyserial is made up here, edge by edge."""
    levels, dtrs = iter([True, True, False, True, False, False, True]), []

    class Port:
        def __init__(self, **how):
            assert how["exclusive"]

        def open(self):
            self.is_open = True

        def close(self):
            pass

        @property
        def cts(self):
            return next(levels, False)

        @property
        def dtr(self):
            return dtrs[-1]

        @dtr.setter
        def dtr(self, on):
            dtrs.append(on)

    monkeypatch.setattr("serial.Serial", Port)
    unit = PulseUnit(SerialLine("/dev/ttyX", signal="cts"), 475, 0.02)
    unit.check()
    answer, counted = ask(unit)
    assert counted == [475, 950], "an input that is on from the start is no pulse"
    assert answer.paid == 950
    assert dtrs == [False, True, False]


class MadeUpChip:
    """Stands below `gpiod.request_lines`, since this machine has no chip: edges by the kernel's running number."""

    def __init__(self):
        self.seqno = 0
        self.unread = 0
        self.values = {}
        self.config = {}

    def request_lines(self, path, consumer, config):
        if not path.startswith("/dev/gpiochip"):
            raise FileNotFoundError(2, "No such file or directory")
        self.config = config
        return self

    def edges(self, count, lost=0):
        self.seqno += lost + count
        self.unread = count

    def wait_edge_events(self, timeout):
        if not self.unread:
            time.sleep(timeout.total_seconds())
        return self.unread > 0

    def read_edge_events(self):
        events = [SimpleNamespace(line_seqno=self.seqno - back) for back in reversed(range(self.unread))]
        self.unread = 0
        return events

    def set_value(self, line, value):
        self.values.setdefault(line, []).append(value)

    def release(self):
        pass


def test_edges_are_counted_by_their_number_even_those_that_the_kernels_buffer_lost(monkeypatch):
    chip = MadeUpChip()
    monkeypatch.setattr(gpiod, "request_lines", chip.request_lines)
    unit = PulseUnit(GpioLine("/dev/gpiochip0", 17, enable_line=27), 50, 0.02)
    unit.check()
    when(unit, True, chip.edges, 4, 15)
    answer, _ = ask(unit)
    assert (answer.end, answer.paid) == ("approved", 950)
    assert chip.values == {27: [Value.ACTIVE, Value.INACTIVE]}, "the validator is open only while money is asked for"
    line = chip.config[17]
    assert (line.direction, line.edge_detection, line.bias, line.active_low) == (
        Direction.INPUT,
        Edge.RISING,
        Bias.PULL_UP,
        True,
    )
    with pytest.raises(PaymentFault, match="no such file"):
        PulseUnit(GpioLine("/dev/nothing", 1), 50).check()


SIMULATED = Path("/sys/kernel/config/gpio-sim")


@pytest.mark.skipif(not SIMULATED.is_dir(), reason="the kernel's gpio-sim is not there: modprobe gpio-sim, as root")
def test_edges_of_the_kernels_own_simulated_chip_are_counted():
    """Documentation/admin-guide/gpio/gpio-sim.rst of the Linux kernel."""
    device = SIMULATED / "holdstill"
    bank = device / "bank0"
    bank.mkdir(parents=True)
    try:
        (bank / "num_lines").write_text("4")
        (device / "live").write_text("1")
        chip = (bank / "chip_name").read_text().strip()
        pull = Path("/sys/devices/platform") / (device / "dev_name").read_text().strip() / chip / "sim_gpio1" / "pull"
        with closing(PulseUnit(GpioLine(f"/dev/{chip}", 1), 475, 0.1)) as unit:
            unit.check()

            def pulse():
                for _ in range(2):
                    pull.write_text("pull-down")
                    time.sleep(0.03)
                    pull.write_text("pull-up")
                    time.sleep(0.03)

            when(unit, True, later, pulse)
            answer, _ = ask(unit)
        assert answer.paid == 950
    finally:
        (device / "live").write_text("0")
        bank.rmdir()
        device.rmdir()
