"""A baby that lies below a camera that looks down: the picture comes on its side, and all that is judged is upright."""

from dataclasses import replace

import pytest

from kiosk.core.view.intent import Intent
from kiosk.devices.sim.scenario import Pose, Scenario
from tests.support.pilot import booth

STILL = Scenario(seed=3, arrives_s=0.5, begins=Pose())


@pytest.mark.parametrize("turned_deg", [180])
def test_a_picture_upside_down_is_turned_before_it_is_looked_at(tmp_path, turned_deg, monkeypatch):
    """The demo's sitter is filmed upside down, as a baby with its head towards the camera's foot."""
    import numpy as np

    from kiosk.pipeline import picture_jobs

    decode = picture_jobs.decode_still
    monkeypatch.setattr(picture_jobs, "decode_still", lambda jpeg: np.ascontiguousarray(np.rot90(decode(jpeg), 2)))
    with booth(tmp_path, "gb-passport-print", scenario=STILL, lying_deg=turned_deg) as pilot:
        pilot.advance(0.5)
        pilot.tap("start")
        pilot.tap("choose", "gb-passport-print")
        pilot.tap("ready", "0")
        pilot.tap("agree")
        assert (pilot.view.care, pilot.view.align.mirror) == ("lying", False)
        pilot.until("review")
        assert pilot.view.review.verdict == "pass"
        pilot.tap("accept")
        pilot.until("collect")
        assert replace(pilot.view, state="collect").state == "collect"
        assert list((tmp_path / "prints").glob("*.pdf"))
        assert Intent("done") in [target.act for target in pilot.parts.screen.stage.targets]
