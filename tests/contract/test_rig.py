"""The rig of the cameras' contract loses no event, however fast a camera is."""

from __future__ import annotations

from kiosk.core.base.ticket import Ticket
from kiosk.devices.base import DeviceReady, StillTaken
from tests.support.camera_rigs import Rig
from tests.support.manual_clock import ManualClock


class FastCamera:
    """A camera that has two stills ready by the first poll, which a driver without a shutter can."""

    def __init__(self) -> None:
        self._events = [DeviceReady("Fast"), StillTaken(Ticket(1), b""), StillTaken(Ticket(2), b"")]

    def poll(self):
        events, self._events = self._events, []
        return events


def test_two_stills_that_arrive_together_are_read_one_after_the_other():
    rig = Rig(FastCamera(), ManualClock())
    assert [rig.until(StillTaken).ticket for _ in range(2)] == [Ticket(1), Ticket(2)]
    assert [type(event) for event in rig.passed_over] == [DeviceReady]
    assert rig.unread == []
