"""The device's own word on a sheet, from its list of jobs before and after; the device is a double with a list."""

import pytest

from kiosk.devices.cups.device import DeviceJob
from kiosk.devices.cups.witness import Habits, Output, witness_of, word_on


class Listed:
    """A device that keeps a list of jobs, or cannot be asked for it."""

    def __init__(self, jobs):
        self.known = jobs

    def jobs(self):
        return self.known


DONE, ABORTED, OTHER = DeviceJob(9, impressions=1), DeviceJob(8), DeviceJob(9, named=False)
PRINTING, CALLED_BACK = DeviceJob(5), DeviceJob(7)


@pytest.mark.parametrize(
    ("before", "after", "found"),
    [
        ({}, {1: DONE}, DONE),
        ({1: DONE, 2: DONE}, {1: DONE, 2: DONE, 3: ABORTED}, ABORTED),
        ({1: DONE}, {1: DONE}, None),
        ({1: DONE}, {1: ABORTED}, None),  # a device that begins to count anew and has no other mark tells nothing
        ({1: DeviceJob(9, uuid="a")}, {1: DeviceJob(8, uuid="b")}, DeviceJob(8, uuid="b")),
        ({}, {1: ABORTED, 2: OTHER}, ABORTED),  # somebody else's sheet came in between
        ({}, {1: OTHER}, OTHER),  # a device that keeps no titles
        ({}, {1: DONE, 2: PRINTING}, DeviceJob(5, impressions=1)),  # sent twice, and the second is still under way
        ({}, {1: DONE, 2: CALLED_BACK}, DONE),
        ({}, {1: CALLED_BACK, 2: CALLED_BACK}, CALLED_BACK),
    ],
)
def test_the_new_sheet_is_the_one_that_was_not_there_before(before, after, found):
    device = Listed(before)
    witness = witness_of(device, Habits())
    device.known = after
    assert witness.ask().sheet == found


def test_a_device_that_does_not_answer_is_not_one_that_knows_of_no_sheet():
    device = Listed({})
    witness = witness_of(device, Habits())
    device.known = None
    assert witness.ask() is None


@pytest.mark.parametrize(
    ("before", "after", "remembers"),
    [({}, {}, True), ({1: DONE, 2: DONE}, {2: DONE}, True), ({1: DONE, 2: DONE}, {1: DONE}, False)],
)
def test_a_device_that_was_switched_off_no_longer_knows_the_last_sheet_before(before, after, remembers):
    device = Listed(before)
    witness = witness_of(device, Habits())
    device.known = after
    assert witness.ask().remembers is remembers


@pytest.mark.parametrize("done", [DONE, DeviceJob(9)])
def test_a_device_that_has_counted_a_sheet_counts_though_it_has_forgotten_it(done):
    habits, device = Habits(), Listed({1: done})
    witness_of(device, habits)
    device.known = {}
    later = witness_of(device, habits)
    device.known = {2: ABORTED}
    assert later.ask().counts is bool(done.impressions)


REFUSED = DeviceJob(8, ("document-format-error",))


TWO = Output(2, 2)


@pytest.mark.parametrize(
    ("sheet", "counts", "end"),
    [
        (DeviceJob(9, impressions=2), True, "printed"),
        (DeviceJob(9, impressions=1), True, "unknown"),  # one of two
        (DeviceJob(9), True, "not_printed"),
        (DeviceJob(9), False, "printed"),  # nothing is counted, so that 0 says nothing
        (ABORTED, True, "not_printed"),
        (ABORTED, False, "unknown"),
        (REFUSED, False, "not_printed"),
        (DeviceJob(7), True, "not_printed"),
        (DeviceJob(7), False, "unknown"),
        (DeviceJob(7, impressions=1), True, "unknown"),  # one of two
        (DeviceJob(7, impressions=2), True, "printed"),  # called back too late
    ],
)
def test_a_device_that_counts_proves_a_sheet_or_that_there_is_none(sheet, counts, end):
    assert word_on(sheet, "", TWO, counts=counts, whole=True).end == end
    if end == "printed":
        assert word_on(sheet, "", TWO, counts=counts, whole=False).end == "unknown"


@pytest.mark.parametrize(("counted", "end"), [(1, "unknown"), (2, "unknown"), (3, "printed"), (6, "printed")])
def test_three_pieces_printed_on_both_sides_are_printed_where_sides_or_pieces_are_counted(counted, end):
    ended = word_on(DeviceJob(9, impressions=counted), "", Output(sides=6, pieces=3), counts=True, whole=True)
    assert ended.end == end
    assert end == "printed" or ended.detail == f"it counted {counted} of 3 pieces of paper"


def test_pieces_that_were_called_back_are_printed_only_where_every_side_is_counted():
    ended = word_on(DeviceJob(7, impressions=1), "", Output(sides=2, pieces=1), counts=True, whole=True)
    assert ended.end == "unknown"


@pytest.mark.parametrize(
    ("counted", "counts", "end"), [(2, True, "unknown"), (1, True, "printed"), (0, False, "unknown")]
)
def test_a_sheet_that_was_sent_twice_is_printed_where_it_was_counted_once(counted, counts, end):
    sheet = DeviceJob(9, impressions=counted)
    assert word_on(sheet, "", Output(), counts=counts, whole=True, times=2).end == end
    if counts:
        assert word_on(sheet, "", Output(), counts=counts, whole=True).end == "printed", "a device may count every pass"


def test_a_device_without_a_list_is_no_witness():
    assert witness_of(None, Habits()) is None
    assert witness_of(Listed(None), Habits()) is None
