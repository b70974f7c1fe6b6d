"""The driver's parts, over the real libgphoto2 and the responder; Pillow is the independent reader of Exif."""

from __future__ import annotations

import io
import time

import numpy as np
import pytest
from PIL import Image, ImageOps

from kiosk.core.base.ticket import Ticket
from kiosk.core.camera_setup.exposure import Setting
from kiosk.devices.backends import make_camera
from kiosk.devices.base import StillTaken
from kiosk.devices.camera.driver import NotThere
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gphoto2.connect import Connection, ConnectionLost
from kiosk.devices.gphoto2.library import Library, library
from kiosk.devices.gphoto2.live import marked_upright
from kiosk.devices.gphoto2.picture_times import NO_TIME
from kiosk.devices.gphoto2.profile import camera_profile_of, shipped_cameras
from kiosk.devices.gphoto2.settings import CameraSettings
from kiosk.errors import CameraFault, CameraSettingRefused, SettingsRefused
from kiosk.settings import read_settings
from tests.devices.camera_process.patience import wait_for
from tests.ptpip.body import RAW_FILE
from tests.ptpip.rig import ResponderProcess, sitter_pictures

CACHED_S = 2.5
"""libgphoto2 2.5.34 does not ask a Nikon body again for a property that it has read just now; after this time it does
(measured)."""


@pytest.fixture(scope="module")
def pictures(tmp_path_factory):
    return sitter_pictures(tmp_path_factory.mktemp("pictures"))


@pytest.fixture(params=["nikon", "canon"])
def maker(request):
    return request.param


@pytest.fixture
def responder(pictures, maker):
    with ResponderProcess(*pictures, "--maker", maker) as made:
        yield made


@pytest.fixture
def driver(responder):
    made = TetheredDriver(responder.address)
    yield made
    made.close()


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


@pytest.mark.parametrize("maker", ["nikon"], indirect=True)
def test_the_camera_tells_its_settings_in_its_own_words(driver):
    driver.open()
    told = driver.settings()
    assert told.settings["iso"] == Setting("400", ("100", "200", "400"))
    assert told.settings["aperture"].choices == ("f/4", "f/5.6", "f/8")
    assert told.settings["white_balance"].now in told.settings["white_balance"].choices
    assert set(told.temperatures_k) & set(told.settings["white_balance"].choices)


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
def test_settings_are_set_read_and_put_back_by_role(responder):
    connection = Connection(responder.address)
    settings = CameraSettings(connection, camera_profile_of(connection.model, shipped_cameras()).names)
    before = {role: settings.read(role) for role in ("iso", "aperture", "white_balance")}
    assert settings.choices("iso") == ("100", "200", "400")
    settings.require("iso", "100")
    settings.require("aperture", "8")
    assert settings.prefer("white_balance", ["Candle", "DAYLIGHT"]) == "Daylight"
    assert settings.prefer("white_balance", ["Candle"]) is None
    assert (settings.read("iso"), settings.read("aperture"), settings.read("white_balance")) == (
        "100",
        "f/8",
        "Daylight",
    )
    with pytest.raises(CameraSettingRefused, match="it offers 100, 200, 400"):
        settings.require("iso", "51200")
    settings.restore()
    assert {role: settings.read(role) for role in before} == before
    connection.close()


@pytest.mark.parametrize("maker", ["nikon"], indirect=True)
def test_a_raw_body_is_set_to_jpeg_and_put_back(driver, responder):
    driver.open()
    assert driver._settings.read("quality") == "JPEG Fine"
    driver.close()
    connection = Connection(responder.address)
    assert connection.call("get_single_config", "imagequality").get_value() == "NEF+Fine"
    connection.close()


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


@pytest.mark.parametrize("maker", ["canon"], indirect=True)
def test_an_eos_body_is_set_by_role_and_put_back(responder):
    connection = Connection(responder.address)
    settings = CameraSettings(connection, camera_profile_of(connection.model, shipped_cameras()).names)
    assert camera_profile_of(connection.model, shipped_cameras()).family == "Canon EOS bodies with live view"
    before = {role: settings.read(role) for role in ("iso", "aperture", "shutter")}
    for role, value in before.items():
        other = next(choice for choice in settings.choices(role) if choice != value)
        settings.require(role, other)
        assert settings.read(role) == other
    settings.restore()
    assert {role: settings.read(role) for role in before} == before
    connection.close()


@pytest.mark.parametrize("wanted", ["1/125", "1/125s", "0.008", "0,008 s", "1/128"])
@pytest.mark.parametrize("maker", ["nikon", "canon"], indirect=True)
def test_an_exposure_time_is_taken_however_it_is_written(responder, maker, wanted):
    """The Nikon body writes 0.0080s and the EOS body 1/125; 1/128 is nearer to that than half a step."""
    driver = TetheredDriver(responder.address, wanted={"shutter": wanted})
    driver.open()
    assert driver.settings().settings["shutter"].now == {"nikon": "0.0080s", "canon": "1/125"}[maker]
    driver.close()


@pytest.mark.parametrize("maker", ["nikon"], indirect=True)
def test_an_exposure_time_that_the_body_does_not_have_is_refused_with_those_it_has(responder):
    driver = TetheredDriver(responder.address, wanted={"shutter": "1/100"})
    with pytest.raises(CameraSettingRefused, match=r"it offers 0\.0050s, 0\.0080s, 0\.0160s"):
        driver.open()
    driver.close()


ISO_TURNED = {"nikon": (0x500F, 100), "canon": (0xD103, 0x48)}


def test_a_dial_that_is_turned_by_hand_is_set_again_before_the_next_sitter(responder, maker):
    driver = TetheredDriver(responder.address, wanted={"iso": {"nikon": "400", "canon": "400"}[maker]})
    driver.open()
    driver.next_frame()
    driver.notices()
    code, value = ISO_TURNED[maker]
    responder.tell(f"turn {code} {value}")
    time.sleep(CACHED_S)
    driver.forget()
    assert driver.notices() == ["The camera's iso was turned to 100 by hand; it is set to 400 again."]
    assert driver.settings().settings["iso"].now == "400"
    driver.forget()
    assert driver.notices() == []
    driver.close()


@pytest.mark.parametrize(
    ("maker", "code", "value", "before", "notice"),
    [
        ("nikon", 0x500F, 100, 400, "The camera's iso was 400 when it was connected, and is 100 now."),
        ("nikon", 0x5007, 800, 560, "The camera's aperture was f/5.6 when it was connected, and is f/8 now."),
        ("nikon", 0x500D, 160, 80, "The camera's shutter was 0.0080s when it was connected, and is 0.0160s now."),
        ("nikon", 0x5005, 4, 2, "The camera's white balance was Automatic when it was connected, and is Daylight now."),
        ("canon", 0xD103, 0x48, 0x58, "The camera's iso was 400 when it was connected, and is 100 now."),
        ("canon", 0xD101, 0x38, 0x30, "The camera's aperture was 5.6 when it was connected, and is 8 now."),
        ("canon", 0xD102, 0x78, 0x70, "The camera's shutter was 1/125 when it was connected, and is 1/250 now."),
    ],
    indirect=["maker"],
)
def test_a_dial_that_the_settings_leave_alone_is_told_of_once_until_it_is_turned_back(
    driver, responder, code, value, before, notice
):
    driver.open()
    now = driver.settings().settings

    def told_between_sitters():
        time.sleep(CACHED_S)
        driver.forget()
        return driver.notices()

    assert told_between_sitters() == []
    responder.tell(f"turn {code} {value}")
    assert told_between_sitters() == [notice]
    assert told_between_sitters() == []
    assert driver.settings().settings != now, "it is not set back"
    responder.tell(f"turn {code} {before}")
    assert told_between_sitters() == []
    responder.tell(f"turn {code} {value}")
    assert told_between_sitters() == [notice]


@pytest.mark.parametrize(
    ("maker", "wanted", "turned", "automatic"),
    [
        ("nikon", {}, None, ("white balance",)),
        ("nikon", {"white_balance": "Daylight"}, None, ()),
        ("canon", {}, None, ()),
        ("canon", {}, (0xD103, 0), ("iso",)),
    ],
    indirect=["maker"],
)
def test_what_a_body_sets_by_itself_is_reported(responder, maker, wanted, turned, automatic):
    """0 is an EOS body's automatic ISO (`camlibs/ptp2/config.c`)."""
    if turned:
        responder.tell(f"turn {turned[0]} {turned[1]}")
    driver = TetheredDriver(responder.address, wanted=wanted)
    driver.open()
    assert driver.settings().automatic == automatic
    driver.close()


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
