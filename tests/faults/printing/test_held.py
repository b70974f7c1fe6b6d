"""Somebody holds the sheet at the print server: it waits without a fault, and is printed once it is released."""

import time

from kiosk.devices.cups.options import TITLE
from tests.faults.printing.conftest import PATIENCE_S, sheet
from tests.support.virtual_printer import wait_for

PENDING, HELD = 3, 4


def test_a_held_sheet_waits_longer_than_any_obstacle_and_is_printed_when_it_is_released(rig):
    connection = rig.lab.connection()
    rig.device.say("media-low")
    other = connection.createJob("photo", "a page of another program", {"media": "4x6"})
    pdf = sheet().pdf
    connection.startDocument("photo", other, "page", "application/pdf", 1)
    connection.writeRequestData(pdf, len(pdf))
    connection.finishDocument("photo")
    ended = rig.begin(rig.open())
    wait_for(lambda: PENDING in ours(connection).values(), "the sheet never waited for the other page")
    (number,) = ours(connection)
    rig.lab.run("/usr/bin/lp", "-i", str(number), "-H", "hold")
    rig.device.say()
    wait_for(lambda: len(rig.device.received()) == 1 and ours(connection)[number] == HELD)
    time.sleep(2 * PATIENCE_S)
    assert not ended
    rig.lab.run("/usr/bin/lp", "-i", str(number), "-H", "resume")
    assert isinstance(rig.wait(ended), str)
    assert len(rig.device.received()) == 2


def ours(connection):
    """Return the states of the booth's sheets that the server knows."""
    jobs = connection.getJobs(which_jobs="all", requested_attributes=["job-id", "job-name", "job-state"])
    return {number: job["job-state"] for number, job in jobs.items() if job.get("job-name") == TITLE}
