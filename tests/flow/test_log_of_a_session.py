"""A whole session with the log on: what was done is in it in the field's words, and nothing of the sitter is."""

import json
import logging
import re

import pytest

from kiosk.devices.sim.scenario import Pose, Scenario
from kiosk.system.json_log import NAME, keep_log
from tests.support.pilot import booth

DOCUMENT = "gb-passport-print"


@pytest.mark.slow
def test_the_log_tells_the_session_and_nothing_of_the_sitter(tmp_path):
    scenario = Scenario(arrives_s=0.0, begins=Pose(), spoil_shots=["eyes_closed"])
    with keep_log(tmp_path / "log", "till"), booth(tmp_path, DOCUMENT, scenario=scenario) as pilot:
        pilot.to_align(DOCUMENT)
        pilot.until("review")
        review = pilot.view
        logging.getLogger("kiosk.booth.loop").info("what would be wrong: %s", review.review.photo_jpeg)
        pilot.tap("accept")
        pilot.until("collect")
    text = (tmp_path / "log" / NAME).read_bytes()
    lines = [json.loads(line) for line in text.splitlines()]
    said = [line["says"] for line in lines]
    assert "align -> shooting" in said
    assert "printing -> collect" in said
    assert b"\xff\xd8\xff" not in text  # the start of a JPEG file: ITU-T T.81, B.1.1.3
    assert "JFIF" not in text.decode()
    points = review.review.photo_points_mm
    told = {
        f"{value:.1f}"
        for point in (points.crown, points.chin, points.right_eye, points.left_eye)
        for value in (point.x, point.y)
    }
    measured = {number for row in review.review.rows for number in re.findall(r"\d+\.\d", row.number)}
    assert told
    assert measured
    assert not (told | measured) & set(re.findall(r"\d+\.\d", " ".join(said)))
