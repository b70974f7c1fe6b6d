"""How a tethered camera is set, by what its settings are for, and what becomes of a dial that is turned by hand."""

from __future__ import annotations

import time

import pytest

from kiosk.core.camera_setup.exposure import Setting
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gphoto2.connect import Connection
from kiosk.devices.gphoto2.profile import camera_profile_of, shipped_cameras
from kiosk.devices.gphoto2.settings import CameraSettings
from kiosk.errors import CameraSettingRefused
from tests.support.cases import slow_but

CACHED_S = 2.5
"""libgphoto2 2.5.34 does not ask a Nikon body again for a property that it has read just now; after this time it does
(measured)."""


@pytest.mark.parametrize("maker", ["nikon"], indirect=True)
def test_the_camera_tells_its_settings_in_its_own_words(driver):
    driver.open()
    told = driver.settings()
    assert told.settings["iso"] == Setting("400", ("100", "200", "400"))
    assert told.settings["aperture"].choices == ("f/4", "f/5.6", "f/8")
    assert told.settings["white_balance"].now in told.settings["white_balance"].choices
    assert set(told.temperatures_k) & set(told.settings["white_balance"].choices)


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
    assert driver.notices() == ["The camera's ISO was turned to 100 by hand; it is set to 400 again."]
    assert driver.settings().settings["iso"].now == "400"
    driver.forget()
    assert driver.notices() == []
    driver.close()


DIALS = [
    ("nikon", 0x500F, 100, 400, "The camera's ISO was 400 when it was connected, and is 100 now."),
    ("nikon", 0x5007, 800, 560, "The camera's aperture was f/5.6 when it was connected, and is f/8 now."),
    ("nikon", 0x500D, 160, 80, "The camera's shutter was 0.0080s when it was connected, and is 0.0160s now."),
    ("nikon", 0x5005, 4, 2, "The camera's white balance was Automatic when it was connected, and is Daylight now."),
    ("canon", 0xD103, 0x48, 0x58, "The camera's ISO was 400 when it was connected, and is 100 now."),
    ("canon", 0xD101, 0x38, 0x30, "The camera's aperture was 5.6 when it was connected, and is 8 now."),
    ("canon", 0xD102, 0x78, 0x70, "The camera's shutter was 1/125 when it was connected, and is 1/250 now."),
]


@pytest.mark.parametrize(
    ("maker", "code", "value", "before", "notice"), slow_but((DIALS[0], DIALS[4]), DIALS), indirect=["maker"]
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
        ("nikon", {"white_balance": "Daylight"}, (0xD054, 1), ("ISO",)),
        ("nikon", {"white_balance": "Daylight", "auto_iso": "Off"}, (0xD054, 1), ()),
        ("nikon", {"white_balance": "Daylight"}, (0x500E, 3), ("exposure",)),
        ("nikon", {"white_balance": "Daylight", "exposure_mode": "M"}, (0x500E, 3), ()),
        ("canon", {}, None, ()),
        ("canon", {}, (0xD103, 0), ("ISO",)),
        ("canon", {}, (0xD105, 2), ("exposure",)),
    ],
    indirect=["maker"],
)
def test_what_a_body_sets_by_itself_is_reported(responder, maker, wanted, turned, automatic):
    """0 is an EOS body's automatic ISO, 2 its Av and 3 a Nikon's A (`camlibs/ptp2/config.c`)."""
    if turned:
        responder.tell(f"turn {turned[0]} {turned[1]}")
    driver = TetheredDriver(responder.address, wanted=wanted)
    driver.open()
    assert driver.settings().automatic == automatic
    driver.close()
