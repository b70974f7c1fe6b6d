"""A whole session, from welcome to the printed sheet, makes no internet socket; the kernel watches."""

import pytest

from tests.support.no_network import run_without_network, supported

pytestmark = pytest.mark.skipif(not supported(), reason="needs seccomp")

SESSION = """
import sys, pathlib
from tests.support.pilot import booth
from kiosk.devices.sim.scenario import Pose, Scenario
with booth(pathlib.Path(sys.argv[1]), "gb-passport-print", scenario=Scenario(arrives_s=0.0, begins=Pose())) as pilot:
    pilot.to_align("gb-passport-print")
    pilot.until("review")
    pilot.tap("accept")
    pilot.until("collect")
"""


def test_a_whole_session_makes_no_internet_socket(tmp_path):
    run = run_without_network(["-c", SESSION, str(tmp_path)])
    assert run.returncode == 0, run.stderr
    assert len(list((tmp_path / "prints").glob("*.pdf"))) == 1
