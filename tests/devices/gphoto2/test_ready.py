"""`holdstill ready camera`, on the simulated camera as its user calls it, and on the responder."""

from __future__ import annotations

import json

import cv2
import numpy as np
import pytest

from kiosk.cli import main
from kiosk.core.camera_setup.exposure import Setting
from kiosk.devices.base import DeviceNotice, DeviceReady, DeviceSettings, LiveFrame, StillTaken
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.errors import CameraFault
from kiosk.ready.camera import camera_findings
from kiosk.ready.picture import SHARPNESS, edge_share
from kiosk.system.clock import SystemClock
from tests.ptpip.rig import ROOT, ResponderProcess, sitter_pictures
from tests.support.manual_clock import ManualClock

SETTINGS = """
[booth]
documents = ["gb-passport-print"]
[camera]
backend = "sim"
pictures = "{pictures}"
scenario = {{ arrives_s = 0.0, begins = {{}} }}
[printer]
backend = "folder"
folder = "prints"
"""


@pytest.fixture
def settings(tmp_path):
    path = tmp_path / "booth.toml"
    path.write_text(SETTINGS.format(pictures=ROOT / "demo" / "sitter"))
    return path


def tried(pictures, *options, still_px=(1600, 2000), orders=()):
    with ResponderProcess(*pictures, *options) as responder:
        for order in orders:
            responder.tell(order)
        camera = SupervisedCamera(TetheredDriver(responder.address))
        try:
            return {finding.name: finding for finding in camera_findings(camera, SystemClock(), still_px)}
        finally:
            camera.close()


def test_a_camera_that_is_fit_is_told_so_with_its_numbers(settings, capsys):
    code = main(["ready", "camera", "--settings", str(settings), "--json"])
    findings = {entry["name"]: entry for entry in map(json.loads, capsys.readouterr().out.splitlines())}
    bad = {name for name, finding in findings.items() if not finding["good"]}
    assert bad <= {"live_rate", "shutter_lag"}, "only the machine's own pace may fall short"
    assert code == (1 if bad else 0)
    assert list(findings) == [
        "camera",
        "live_rate",
        "shutter_lag",
        "still_size",
        "mean_luma",
        "burnt_out",
        "sharpness",
    ]
    assert findings["live_rate"]["value"] > 0
    assert findings["still_size"]["value"] == "1600 x 2000"


@pytest.mark.slow
def test_what_is_wrong_is_named_with_a_next_step(tmp_path):
    live, still = sitter_pictures(tmp_path)
    picture = cv2.imread(str(still))
    spoilt = cv2.GaussianBlur((picture * 0.3).astype(np.uint8), (0, 0), 8)
    cv2.imwrite(str(still), spoilt)
    options = ("--frame-interval-s", "0.25", "--clock-s", "0")
    found = tried((live, still), *options, still_px=(4000, 6000), orders=["battery 10"])
    bad = {name for name, finding in found.items() if not finding.good}
    assert bad == {"live_rate", "still_size", "mean_luma", "sharpness", "notice", "battery", "automatic"}
    assert all(found[name].next_step for name in bad)
    assert found["live_rate"].value == pytest.approx(4, abs=1.5)
    assert found["mean_luma"].next_step.startswith("Make the picture brighter")
    assert "10 %" in found["notice"].sentence
    assert found["battery"].sentence == "The camera's battery is at 10%."
    assert (found["card"].value, found["card"].good) == (1000, True)


class ToldAtOnce:
    """A camera whose notice comes in one turn with its first answer."""

    def __init__(self, still):
        self.events = []
        self.still = still

    def start(self):
        self.events = [DeviceReady("Told at once"), DeviceNotice("The camera's battery is at 10 %.")]

    def newest(self):
        return LiveFrame(1, 0.0, self.still)

    def request_settings(self):
        automatic = ("exposure", "white balance")
        self.events.append(DeviceSettings({"battery": Setting("26%")}, {}, room=0, automatic=automatic))

    def shoot(self, ticket):
        self.events = [StillTaken(ticket, self.still)]

    def poll(self):
        told, self.events = self.events, []
        return told


def test_a_notice_that_comes_with_the_first_answer_is_not_lost(tmp_path):
    still = sitter_pictures(tmp_path)[1].read_bytes()
    found = camera_findings(ToldAtOnce(still), ManualClock(), (1600, 2000))
    assert [finding.sentence for finding in found if finding.name == "notice"] == ["The camera's battery is at 10 %."]
    told = {finding.name: (finding.sentence, finding.good) for finding in found}
    assert told["battery"] == ("The camera's battery is at 26%.", True)
    assert told["card"] == ("The camera's card has room for 0 pictures.", False)
    by_itself = "The camera sets exposure and white balance by itself, so that photos differ from sitter to sitter."
    assert told["automatic"] == (by_itself, False)


def test_a_camera_that_refuses_to_shoot_ends_the_try_with_its_reason(tmp_path):
    with pytest.raises(CameraFault, match="could not focus"):
        tried(sitter_pictures(tmp_path), orders=["fault focus 9"])


def test_sharpness_falls_with_blur_and_the_limit_lies_between(tmp_path):
    picture = cv2.imread(str(ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg"))
    shares = [edge_share(cv2.GaussianBlur(picture, (0, 0), sd) if sd else picture) for sd in (0, 1, 2, 4)]
    assert shares == sorted(shares, reverse=True)
    assert shares[1] > SHARPNESS > shares[2]
