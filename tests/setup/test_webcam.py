"""A webcam's name in the setup: its serial number stays, until the answer is none."""

import io

from kiosk.setup.ask import Terminal
from kiosk.setup.questions import camera

NOW = {"backend": "uvc", "serial": "AAAA0001", "still_px": [1280, 720]}


def answered(*answers):
    return camera(Terminal(io.StringIO("".join(f"{answer}\n" for answer in answers)), io.StringIO()), NOW)


def test_a_webcam_that_is_named_by_its_serial_number_stays_so():
    assert answered("", "", "") == {"backend": "uvc", "serial": "AAAA0001", "still_px": [1280, 720]}
    assert answered("", "BBBB0002", "")["serial"] == "BBBB0002"


def test_a_webcam_is_named_by_its_number_instead_and_never_by_both():
    assert answered("", "-", "2", "") == {"backend": "uvc", "serial": None, "device": 2, "still_px": [1280, 720]}
