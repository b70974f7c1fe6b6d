"""A still that nobody ordered, or that was ordered for somebody else, is never taken for the sitter's.

Over the real libgphoto2 and the responder, on bodies with and without a memory of their own. Each ordered still and
each picture of the body's button is another one, so that a mistake shows.
"""

from __future__ import annotations

import time

import pytest

from kiosk.devices.camera.driver import LOST_SHOT
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gphoto2.picture_times import NO_TIME
from kiosk.errors import CameraFault
from tests.ptpip.rig import ResponderProcess, other_stills, sitter_pictures
from tests.support.cases import slow_but

BUTTON = "A picture came that nobody had ordered, by the camera's own button or too late; it is not used."


@pytest.fixture(scope="module")
def pictures(tmp_path_factory):
    """Return a live frame, four stills that can be ordered, and two of the button."""
    folder = tmp_path_factory.mktemp("pictures")
    stills = other_stills(folder, 6)
    return sitter_pictures(folder)[0], stills[:4], stills[4:]


BODIES = {
    "Nikon with memory": ("nikon",),
    "Nikon with card": ("nikon", "--card", "--reuse"),
    "Canon EOS with memory": ("canon", "--reuse"),
    "Canon EOS with card": ("canon", "--card"),
}
WITH_CARD = [name for name in BODIES if "card" in name]


@pytest.fixture(params=BODIES)
def options(request, pictures):
    live, stills, button = pictures
    maker, *more = BODIES[request.param]
    return live, stills[0], "--maker", maker, "--still", *stills, "--button", *button, *more


@pytest.fixture
def responder(options):
    with ResponderProcess(*options) as made:
        yield made


@pytest.fixture
def driver(responder):
    made = TetheredDriver(responder.address)
    made.open()
    made.next_frame()
    yield made
    made.close()


def stills(pictures):
    return [path.read_bytes() for path in pictures[1]]


def test_a_picture_of_the_bodys_own_button_is_not_the_next_shot_and_does_not_stay(driver, responder, pictures):
    first, second, *_ = stills(pictures)
    responder.tell("press")
    assert driver.shoot() == first
    driver.next_frame()
    assert responder.tell("objects") == "0"
    assert driver.notices() == [BUTTON, NO_TIME]
    responder.tell("press")
    responder.tell("press")
    assert driver.shoot() == second
    driver.next_frame()
    assert responder.tell("objects") == "0"


def test_a_picture_of_the_button_goes_from_the_camera_without_another_shot(driver, responder):
    responder.tell("press")
    driver.forget()
    assert responder.tell("objects") == "0"
    assert driver.notices() == [BUTTON]


@pytest.mark.parametrize("options", WITH_CARD, indirect=True)
def test_what_the_button_took_stays_on_a_card_that_keeps_its_pictures(options, pictures):
    with ResponderProcess(*options) as responder:
        driver = TetheredDriver(responder.address, keep=True)
        driver.open()
        responder.tell("press")
        assert driver.shoot() == stills(pictures)[0]
        driver.next_frame()
        assert responder.tell("objects") == "2"
        responder.tell("press")
        assert driver.shoot() == stills(pictures)[1]
        driver.close()


def test_a_picture_that_comes_after_its_shot_was_given_up_is_nobodys(options, responder, driver, pictures):
    """The process is killed in the middle of the shot; the next one finds the picture of the last."""
    responder.tell("late 0.4")
    responder.fault("stall_late")
    with pytest.raises(CameraFault):
        driver.shoot()
    again = TetheredDriver(responder.address)
    again.open()
    again.next_frame()
    time.sleep(0.5)
    assert again.shoot() == stills(pictures)[1]
    again.next_frame()
    assert again.shoot() == stills(pictures)[2]
    again.next_frame()
    if "canon" not in options:  # its clock must be known for that, as below
        assert responder.tell("objects") == "0"
    again.close()


@pytest.mark.parametrize("options", WITH_CARD, indirect=True)
@pytest.mark.parametrize("age_s", [0, 3600])
def test_a_picture_whose_shot_was_lost_goes_from_the_card_and_an_older_one_stays(options, pictures, age_s):
    """A Canon body reports it to nobody; it is known by its time. What lay on the card before is somebody else's."""
    with ResponderProcess(*options, "--clock-s", "5400") as responder:
        first = TetheredDriver(responder.address)
        first.open()
        first.next_frame()
        responder.tell(f"clock {5400 - age_s}")
        responder.fault("stall_late")
        with pytest.raises(CameraFault):
            first.shoot()
        responder.tell("clock 5400")
        again = TetheredDriver(responder.address)
        again.open()
        again.ask(LOST_SHOT, "1")
        again.next_frame()
        assert again.shoot().endswith(stills(pictures)[1][2:])
        again.next_frame()
        assert responder.tell("objects") == ("1" if age_s and "canon" in options else "0")
        again.close()


@pytest.mark.parametrize("options", ["Nikon with memory", "Nikon with card"], indirect=True)
def test_two_pictures_for_one_order_are_both_refused(driver, responder, pictures):
    """Which of them the sitter's is nobody can say: the button was pressed during the shot."""
    responder.fault("press_at_capture")
    with pytest.raises(CameraFault, match="more than one picture came"):
        driver.shoot()
    driver.next_frame()
    assert responder.tell("objects") == "0"
    assert driver.shoot() == stills(pictures)[1]


@pytest.mark.parametrize("first_shot", [True, False])
def test_late_pictures_that_come_during_shots_are_known_by_their_time(options, pictures, first_shot):
    """No event tells them from the shots' own; the body's clock does. It is an hour and a half ahead."""
    with ResponderProcess(*options, "--clock-s", "5400") as responder:
        driver = TetheredDriver(responder.address)
        driver.open()
        if not first_shot:
            assert driver.shoot().endswith(stills(pictures)[0][2:])
        for age_s in (60, 55):
            responder.tell(f"clock {5400 - age_s}")
            responder.tell("press held")
            responder.tell("clock 5400")
            responder.tell("late 60")
            responder.fault("late_object")
            with pytest.raises(CameraFault, match="older than the order"):
                driver.shoot()
            driver.next_frame()
        assert driver.shoot().endswith(stills(pictures)[3 - first_shot][2:])
        assert NO_TIME not in driver.notices()
        driver.close()


@pytest.mark.parametrize("options", slow_but(("Nikon with memory", "Canon EOS with card"), BODIES), indirect=True)
def test_a_clock_that_is_set_back_costs_a_shot_or_two(options, pictures):
    """A Nikon shows it within seconds; a Canon EOS shows the time of the start for ever, and its pictures tell."""
    lost = 2 if "canon" in options else 1
    with ResponderProcess(*options, "--clock-s", "0") as responder:
        driver = TetheredDriver(responder.address)
        driver.open()
        assert driver.shoot().endswith(stills(pictures)[0][2:])
        time.sleep(3.0)
        responder.tell("clock -3000")
        for _ in range(lost):
            with pytest.raises(CameraFault, match="older than the order"):
                driver.shoot()
            driver.next_frame()
            time.sleep(3.0)
        assert driver.shoot().endswith(stills(pictures)[1 + lost][2:])
        driver.close()
