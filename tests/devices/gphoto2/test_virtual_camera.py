"""The driver on libgphoto2's virtual USB camera, which the wheel brings along: a card, and stills byte for byte.

It has no live view. The library reads VCAMERADIR once, so each test has a process of its own. Once its shutter has been
read it reports without end that it has changed, which no body does; therefore no dial is watched here.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
STILL = ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg"

PROGRAM = """
import hashlib, json, sys
from kiosk.devices.gphoto2 import settings
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gphoto2.connect import Connection
from kiosk.errors import KioskError

settings.WATCHED = ()
keep, shots, wanted = json.loads(sys.argv[1])
driver = TetheredDriver(wanted=wanted, keep=keep)
told = {"shots": [], "error": "", "simulated": driver.simulated}
def files(connection, folder="/"):
    found = list(connection.call("folder_list_files", folder).keys())
    for name in connection.call("folder_list_folders", folder).keys():
        found += files(connection, folder.rstrip("/") + "/" + name)
    return found
try:
    told["model"] = driver.open()
    before = files(driver._connection)
    for _ in range(shots):
        told["shots"].append(hashlib.sha256(driver.shoot()).hexdigest())
        driver._shooting.tidy()
    told["left"] = len(files(driver._connection)) - len(before)
    told["aperture"] = driver._settings.read("aperture")
    told["choices"] = driver._settings.choices("aperture")
except KioskError as error:
    told["error"] = str(error)
finally:
    driver.close()
if not told["error"]:
    connection = Connection()
    told["aperture_after"] = connection.call("get_single_config", "f-number").get_value()
    connection.close()
print(json.dumps(told))
"""


@pytest.fixture
def run(tmp_path):
    (tmp_path / "card").mkdir()
    (tmp_path / "card" / "sitter.jpg").write_bytes(STILL.read_bytes())

    def ran(keep: bool = False, shots: int = 1, wanted: dict[str, str] | None = None) -> dict:
        environment = os.environ | {"VCAMERADIR": str(tmp_path / "card"), "PYTHONPATH": str(ROOT)}
        command = [sys.executable, "-c", PROGRAM, json.dumps([keep, shots, wanted or {}])]
        result = subprocess.run(command, env=environment, capture_output=True, text=True, check=False, timeout=300)
        assert result.returncode == 0, result.stderr
        return json.loads(result.stdout)

    return ran


def test_the_still_is_the_cameras_own_file(run):
    import hashlib

    told = run(shots=2)
    assert told["model"] == "Nikon DSC D750"
    assert told["shots"] == [hashlib.sha256(STILL.read_bytes()).hexdigest()] * 2
    assert told["simulated"]


@pytest.mark.parametrize(("keep", "left"), [(True, 2), (False, 0)])
def test_pictures_stay_on_the_card_only_where_the_site_says_so(run, keep, left):
    assert run(keep=keep, shots=2)["left"] == left


def test_a_setting_is_set_and_put_back(run):
    choices = run(shots=0)["choices"]
    before = run(shots=0)["aperture"]
    other = next(choice for choice in choices if choice != before)
    told = run(shots=0, wanted={"aperture": other})
    assert told["aperture"] == other
    assert told["aperture_after"] == before


def test_a_value_that_the_camera_does_not_offer_is_refused_with_what_it_offers(run):
    error = run(shots=0, wanted={"aperture": "123"})["error"]
    assert error.startswith("The camera cannot be set to aperture = '123': it offers ")


def test_a_setting_that_the_camera_has_not_is_refused(run):
    assert run(shots=0, wanted={"zoom": "1"})["error"] == (
        "The camera cannot be set to zoom = '1': it has no such setting."
    )
