"""The grey card, through the command as a technician gives it, on a folder camera and on the responder."""

from __future__ import annotations

import json
import threading

import numpy as np
import pytest
import simplejpeg

from kiosk.cli import main
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.ready.grey_card import grey_card_findings
from kiosk.system.clock import SystemClock
from tests.ptpip.rig import ResponderProcess, sitter_pictures

SETTINGS = """
[booth]
documents = ["gb-passport-print"]
[camera]
backend = "folder"
folder = "in"
[printer]
backend = "folder"
folder = "prints"
"""
DAYLIGHT = {"nikon": {"white_balance": "Daylight"}, "canon": {}}


def card(light=0.18, channels=(1.0, 1.0, 1.0)):
    """Return a JPEG of an even field, encoded by IEC 61966-2-1."""
    code = 255 * (1.055 * (light * np.ones((1000, 800, 3)) * channels) ** (1 / 2.4) - 0.055)
    return simplejpeg.encode_jpeg(np.round(code).astype(np.uint8), quality=95, colorspace="RGB")


def test_a_card_as_it_should_be_is_told_so_by_the_command(tmp_path, capsys):
    inbox = tmp_path / "in"
    inbox.mkdir()
    (tmp_path / "booth.toml").write_text(SETTINGS)
    over = threading.Event()

    def release():
        number = 0
        while not over.wait(0.2):
            number += 1
            (inbox / f"{number}.jpg").write_bytes(card())

    attendant = threading.Thread(target=release)
    attendant.start()
    try:
        code = main(["ready", "grey-card", "--settings", str(tmp_path / "booth.toml"), "--json"])
    finally:
        over.set()
        attendant.join()
    told = {entry["name"]: entry for entry in map(json.loads, capsys.readouterr().out.splitlines())}
    assert (code, set(told)) == (0, {"grey_card_exposure", "grey_card_white"})
    assert told["grey_card_exposure"]["value"] == pytest.approx(0, abs=0.03)


@pytest.mark.parametrize(("maker", "word"), [("nikon", '"Fluorescent"'), ("canon", "camera's own menu")])
def test_a_tethered_camera_is_told_in_its_own_words(tmp_path, maker, word):
    """A card a stop too bright and too yellow: light of some 4000 K at Daylight, 5200 K."""
    live, still = sitter_pictures(tmp_path)
    still.write_bytes(card(0.36, (1.12, 1.0, 0.66)))
    with ResponderProcess(live, still, "--maker", maker) as responder:
        camera = SupervisedCamera(TetheredDriver(responder.address, wanted=DAYLIGHT[maker]))
        try:
            told = {finding.name: finding for finding in grey_card_findings(camera, SystemClock())}
        finally:
            camera.close()
    assert "1.00 stops too bright" in told["grey_card_exposure"].sentence
    assert 'iso = "200"' in told["grey_card_exposure"].next_step
    assert word in told["grey_card_white"].next_step
