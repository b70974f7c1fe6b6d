"""The contract of an output line, on the simulated chip and on the kernel's own where the machine has one."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from kiosk.devices.gpio.line import LineAddress, OutputLine
from kiosk.errors import LineFault
from tests.support.gpio_rigs import LAMP, LINES, ChipRig, SimulatedRig, kernel_chip, why_no_kernel_chip


@pytest.fixture(params=["simulated", "gpio-sim"])
def chip(request: pytest.FixtureRequest) -> Iterator[ChipRig]:
    if request.param == "simulated":
        yield SimulatedRig()
        return
    if why := why_no_kernel_chip():
        pytest.skip(why)
    with kernel_chip() as made:
        yield made


def output(chip: ChipRig, line: int | str = LAMP, *, active_low: bool = False) -> OutputLine:
    return OutputLine(LineAddress(chip.path, line, active_low), chip.request)


@pytest.mark.parametrize("line", [LAMP, "LAMP"])
@pytest.mark.parametrize("active_low", [False, True])
def test_a_line_is_switched_by_offset_or_name_and_its_wire_follows(chip, line, active_low):
    lamp = output(chip, line, active_low=active_low)
    lamp.set(True)
    assert chip.is_high(LAMP) is not active_low
    lamp.set(False)
    assert chip.is_high(LAMP) is active_low
    lamp.close()


def test_nothing_is_touched_before_a_line_is_switched(chip):
    output(chip)
    assert not chip.is_held(LAMP)


@pytest.mark.parametrize("active_low", [False, True])
def test_a_closed_line_is_off_and_free_for_the_next(chip, active_low):
    lamp = output(chip, active_low=active_low)
    lamp.set(True)
    lamp.close()
    assert chip.is_high(LAMP) is active_low
    assert not chip.is_held(LAMP)
    lamp.close()
    following = output(chip)
    following.set(True)
    following.close()


def test_two_lines_of_a_chip_do_not_know_each_other(chip):
    lamp, flash = output(chip), output(chip, LAMP + 1)
    lamp.set(True)
    flash.set(True)
    flash.close()
    assert chip.is_high(LAMP)
    assert not chip.is_high(LAMP + 1)
    lamp.close()


def test_a_line_that_another_has_is_a_fault_until_it_is_free(chip):
    first, second = output(chip), output(chip)
    first.set(False)
    with pytest.raises(LineFault, match="busy"):
        second.set(True)
    first.close()
    second.set(True)
    assert chip.is_high(LAMP)
    second.close()


@pytest.mark.parametrize("line", [LINES, "NOBODY"])
def test_a_line_that_the_chip_has_not_is_a_fault(chip, line):
    with pytest.raises(LineFault, match=str(line)):
        output(chip, line).set(True)


def test_a_chip_that_is_pulled_is_a_fault_and_can_still_be_closed(chip):
    lamp = output(chip)
    lamp.set(True)
    chip.pull()
    with pytest.raises(LineFault, match="no such device"):
        lamp.set(False)
    lamp.close()


@pytest.mark.parametrize(("path", "reason"), [("/dev/gpiochip99", "no such file"), ("/dev/null", "no such device")])
def test_libgpiod_itself_refuses_what_is_no_chip(path, reason):
    with pytest.raises(LineFault, match=reason):
        OutputLine(LineAddress(path, 0)).set(True)
