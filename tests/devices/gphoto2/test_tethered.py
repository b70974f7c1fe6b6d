"""The driver's parts, over the real libgphoto2 and the responder; Pillow is the independent reader of Exif."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageOps

from kiosk.core.base.ticket import Ticket
from kiosk.devices.backends import make_camera
from kiosk.devices.base import StillTaken
from kiosk.devices.camera.driver import NotThere
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gphoto2.connect import Connection, ConnectionLost
from kiosk.devices.gphoto2.library import Library, library
from kiosk.devices.gphoto2.live import marked_upright
from kiosk.devices.gphoto2.picture_times import NO_TIME
from kiosk.errors import CameraFault, SettingsRefused
from kiosk.settings import read_settings
from tests.devices.camera_process.patience import wait_for
from tests.ptpip.rig import ResponderProcess
from tests.ptpip.works import RAW_FILE


def test_a_still_and_a_frame_come_byte_for_byte(driver, pictures):
    assert driver.open() in {"Nikon Corporation Responder N", "Canon EOS 0D Responder"}
    assert driver.next_frame() == pictures[0].read_bytes()
    assert driver.shoot() == pictures[1].read_bytes()
    assert driver.next_frame() == pictures[0].read_bytes()


@pytest.mark.parametrize("order", [("first",), ("last",), ("last", "--raw-after-s", "0.3")])
def test_of_a_raw_file_and_a_jpeg_the_jpeg_is_used_and_neither_stays(pictures, maker, order):
    with ResponderProcess(*pictures, "--raw", *order, "--maker", maker) as responder:
        driver = TetheredDriver(responder.address, wanted={"quality": "NEF+Fine"} if maker == "nikon" else {})
        driver.open()
        for _ in range(3):
            driver.next_frame()
            assert driver.shoot() == pictures[1].read_bytes()
        assert driver.next_frame()
        assert responder.tell("objects") == "0"
        driver.close()


@pytest.mark.parametrize("order", [("first",), ("last",), ("last", "--raw-after-s", "0.3")])
def test_the_raw_file_goes_to_the_lab_folder_and_off_the_camera(pictures, maker, order, tmp_path):
    with ResponderProcess(*pictures, "--raw", *order, "--maker", maker) as responder:
        driver = TetheredDriver(responder.address, raw_folder=tmp_path / "lab")
        driver.open()
        for count in (1, 2):
            driver.next_frame()
            assert driver.shoot() == pictures[1].read_bytes()
            files = list((tmp_path / "lab").iterdir())
            assert [file.read_bytes() for file in files] == [RAW_FILE] * count
        assert {file.stat().st_mode & 0o777 for file in files} == {0o600}
        assert (tmp_path / "lab").stat().st_mode & 0o777 == 0o700
        driver.next_frame()
        assert responder.tell("objects") == "0"
        driver.close()


def test_a_lab_folder_that_cannot_be_written_costs_no_photo_and_is_told(pictures, maker, tmp_path):
    (tmp_path / "lab").touch()
    with ResponderProcess(*pictures, "--raw", "first", "--maker", maker) as responder:
        driver = TetheredDriver(responder.address, raw_folder=tmp_path / "lab")
        driver.open()
        driver.notices()
        assert driver.shoot() == pictures[1].read_bytes()
        assert driver.notices() == [f"A raw file could not be kept in {tmp_path / 'lab'}: file exists.", NO_TIME]
        assert driver.notices() == []
        driver.close()


def test_a_body_that_writes_no_raw_file_is_told_of(driver, pictures, tmp_path):
    driver._raw_folder = tmp_path
    driver.open()
    driver.notices()
    assert driver.shoot() == pictures[1].read_bytes()
    assert driver.notices() == [
        "The camera wrote no raw file beside the last picture; set it to raw and JPEG.",
        NO_TIME,
    ]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("maker", ["nikon"], indirect=True)
def test_a_body_is_set_to_write_both_where_a_lab_folder_is_set(driver, responder, tmp_path):
    driver._raw_folder = tmp_path
    driver.open()
    assert driver._settings.read("quality") == "NEF+Fine"
    assert driver.settings().settings["quality"].now == "NEF+Fine"


@pytest.mark.parametrize(
    ("fault", "words"),
    [("focus", "could not focus"), ("full", "card is full"), ("busy_capture", "is busy|could not focus")],
)
def test_a_refusal_says_why_and_the_connection_stays(driver, responder, fault, words):
    driver.open()
    driver.next_frame()
    responder.fault(fault, 1_000_000)
    with pytest.raises(CameraFault, match=words) as refused:
        driver.shoot()
    assert not isinstance(refused.value, ConnectionLost)
    responder.fault(fault, 0)
    assert driver.next_frame()


@pytest.mark.parametrize("fault", ["stall_capture", "drop_capture"])
def test_after_a_break_every_call_says_that_the_connection_is_lost(driver, responder, fault):
    driver.open()
    driver.next_frame()
    responder.fault(fault)
    with pytest.raises(CameraFault):
        driver.shoot()
    with pytest.raises(ConnectionLost):
        driver.next_frame()
    with pytest.raises(ConnectionLost):
        driver.next_frame()


def test_a_closed_handle_is_never_used_again(responder):
    connection = Connection(responder.address)
    connection.close()
    connection.close()
    with pytest.raises(ConnectionLost, match="not open"):
        connection.call("get_storageinfo")


@pytest.mark.parametrize("maker", ["nikon"], indirect=True)
def test_the_battery_is_told_once(driver, responder):
    responder.tell("battery 26")
    driver.open()
    assert driver.notices() == []
    driver.close()
    responder.tell("battery 20")
    driver.open()
    assert driver.notices() == ["The camera's battery is at 20 %; a mains adapter keeps it from stopping."]
    assert driver.notices() == []


@pytest.mark.parametrize("maker", ["nikon"], indirect=True)
def test_a_library_known_to_be_bad_for_the_camera_is_told_with_its_thread(responder, monkeypatch):
    driver = TetheredDriver(responder.address)
    with monkeypatch.context() as patch:
        patch.setattr(Library, "version", "2.5.32")
        driver.open()
    (notice,) = driver.notices()
    assert notice.startswith("libgphoto2 2.5.32 is known to be bad for this camera: ")
    assert "issue 1146" in notice
    driver.close()
    assert library().version == "2.5.34"


def test_no_camera_is_told_as_such():
    with pytest.raises(NotThere, match="no camera is connected, or it is switched off"):
        Connection()


def test_nothing_is_written_to_the_users_own_settings(driver, tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    driver.open()
    driver.shoot()
    driver.close()
    assert list(tmp_path.rglob("*")) == []


@pytest.mark.parametrize("turned_deg", [0, 90, 180, 270])
def test_a_frame_of_a_camera_on_its_side_is_marked(pictures, turned_deg):
    upright = Image.open(pictures[0])
    stored = io.BytesIO()
    upright.rotate(turned_deg, expand=True).save(stored, "JPEG", quality=95)
    marked = marked_upright(stored.getvalue(), turned_deg)
    seen = ImageOps.exif_transpose(Image.open(io.BytesIO(marked)))
    assert seen.size == upright.size
    assert np.abs(np.asarray(seen, int) - np.asarray(upright, int)).mean() < 2.0
    assert marked.endswith(stored.getvalue()[2:])


CABLE = "The camera has a fault: the connection broke; its cable may be loose."


@pytest.mark.parametrize("moment", ["next_frame", "shoot", "forget", "settings"])
def test_a_pulled_cable_is_named_whatever_the_library_says_of_it(responder, driver, moment):
    driver.open()
    driver.next_frame()
    responder.tell("off")
    with pytest.raises(ConnectionLost) as caught:
        getattr(driver, moment)()
    assert str(caught.value) == CABLE


@pytest.mark.parametrize("fault", ["drop_preview", "drop_capture"])
def test_a_cable_pulled_in_the_middle_of_a_call_is_named(responder, driver, fault):
    driver.open()
    responder.fault(fault)
    with pytest.raises(ConnectionLost) as caught:
        (driver.next_frame if fault == "drop_preview" else driver.shoot)()
    assert str(caught.value) == CABLE


def test_an_empty_file_is_no_fault_of_the_quality(pictures, maker, tmp_path):
    empty = tmp_path / "empty.jpg"
    empty.touch()
    with ResponderProcess(pictures[0], empty, "--maker", maker) as responder:
        driver = TetheredDriver(responder.address)
        driver.open()
        with pytest.raises(CameraFault, match="the picture arrived empty"):
            driver.shoot()
        driver.close()


SETTINGS = """
[booth]
documents = ["gb-passport-print"]
[camera]
backend = "gphoto2"
port = "{port}"
[printer]
backend = "folder"
folder = "prints"
"""


def written(tmp_path, port):
    path = tmp_path / "booth.toml"
    path.write_text(SETTINGS.format(port=port))
    return path


def test_a_camera_in_the_network_is_reached_at_the_port_of_the_settings_alone(pictures, tmp_path):
    """Two responders, of which the settings name one; both listen on ports of their own, not on 15740."""
    with ResponderProcess(*pictures) as other, ResponderProcess(*pictures) as responder:
        camera, _ = make_camera(read_settings(written(tmp_path, f"ptpip:127.0.0.1:{responder.port}")))
        camera.start()
        wait_for(lambda: camera.state == "ready" or camera.poll() is None)
        camera.shoot(Ticket(1))
        events = []
        wait_for(lambda: events.extend(camera.poll()) or any(isinstance(each, StillTaken) for each in events))
        assert (responder.tell("taken"), other.tell("taken")) == ("1", "0")
        camera.close()


def test_a_camera_in_the_network_is_no_simulation():
    assert not TetheredDriver("ptpip:192.0.2.1").simulated
    assert TetheredDriver("ptpip:127.0.0.1:15740").simulated


@pytest.mark.parametrize("port", ["192.0.2.1", "ptpip:camera.example", "ptpip:192.0.2.1:1:2:3", "serial:/dev/ttyS0"])
def test_a_port_is_an_address_in_numbers(tmp_path, port):
    with pytest.raises(SettingsRefused, match=r"camera\.(gphoto2\.)?port"):
        read_settings(written(tmp_path, port))
