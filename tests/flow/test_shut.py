"""A booth that is not fit keeps itself shut, says why, and opens by itself; a sitter in it is never cut off."""

from dataclasses import replace

from kiosk.booth.health.closure import SHUT_CHECK_S
from kiosk.booth.loop import Loop
from kiosk.core.session.booth_config import BoothConfig
from tests.support.pilot import booth
from tests.support.shipped import CATALOGUE

DOCUMENT = "gb-passport-print"
FULL = ("No room on the disk.", "Delete old sheets.")


def test_a_full_disk_shuts_the_booth_between_sitters_alone(tmp_path):
    why = [FULL]
    with booth(tmp_path, DOCUMENT) as pilot:
        parts = replace(pilot.parts, shut=lambda: why[0])
        pilot.loop = Loop(BoothConfig((CATALOGUE.get(DOCUMENT),)), parts)
        pilot.advance(0.1)
        assert pilot.view.state == "out_of_order"
        assert pilot.view.fault == FULL
        pilot.advance(5.0)
        assert pilot.view.state == "out_of_order"  # the camera's coming does not open it
        why[0] = None
        pilot.advance(SHUT_CHECK_S)
        assert pilot.view.state == "welcome"
        pilot.tap("start")
        why[0] = FULL
        pilot.advance(SHUT_CHECK_S + 1)
        assert pilot.view.state == "choose"
        pilot.tap("back")
        pilot.advance(0.1)
        assert pilot.view.state == "out_of_order"
