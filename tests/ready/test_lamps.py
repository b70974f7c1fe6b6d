"""The light before opening: chips that are missing, lamps that stay dark, and exposures that are too short."""

import pytest

from kiosk.core.camera_setup.exposure import Setting
from kiosk.devices.backends import make_camera
from kiosk.devices.base import DeviceReady, DeviceSettings
from kiosk.ready.camera import FIND_S, camera_findings, wait_for
from kiosk.ready.lamps import BRIGHTER, light_findings, line_findings
from kiosk.settings import settings_from
from kiosk.system.clock import SystemClock
from tests.support.camera_rigs import SITTER

SETTINGS = f"""
[booth]
documents = ["gb-passport-print"]
session_folder = "session"
state_folder = "state"
[camera]
backend = "sim"
pictures = "{SITTER}"
[printer]
backend = "folder"
folder = "prints"
[light]
"""
LAMPS = '[light.lamps]\nchip = "simulated"\nline = "LAMP"\nwarm_up_s = 0.2\n'
STILL_PX = (1600, 2000)


def settings(tmp_path, light):
    return settings_from(SETTINGS + light, tmp_path / "booth.toml")


@pytest.fixture
def lit(tmp_path):
    """Return a camera in its own process whose lamps are on a simulated chip, and how it is set."""
    chosen = settings(tmp_path, LAMPS.replace('"LAMP"', "3"))
    camera, _ = make_camera(chosen)
    yield camera, chosen.light
    camera.close()


def named(findings, name):
    return [finding for finding in findings if finding.name == name]


def test_lamps_that_burn_make_the_live_picture_brighter_and_stay_on_for_the_shot(lit):
    camera, light = lit
    findings = camera_findings(camera, SystemClock(), STILL_PX, light=light)
    (lamps,) = named(findings, "lamps")
    assert (lamps.grade, lamps.subject) == ("ok", "light")
    (brightness,) = named(findings, "mean_luma")
    assert brightness.good


def test_a_line_that_switches_no_lamp_keeps_the_booth_closed(lit):
    camera, light = lit
    camera._camera.lamps_are_on = lambda: True
    events = []
    camera.start()
    wait_for(camera, SystemClock(), DeviceReady, FIND_S, events)
    (finding,) = light_findings(camera, SystemClock(), light, DeviceSettings({}, {}), events)
    assert finding.grade == "stop"
    assert finding.value < 1.0, "but for what the sitter moves"
    assert f"of 255; {BRIGHTER:g} are needed" in finding.sentence


def test_a_line_that_is_not_on_the_chip_is_said_with_its_name(tmp_path):
    chosen = settings(tmp_path, LAMPS)
    camera, _ = make_camera(chosen)
    events = []
    camera.start()
    wait_for(camera, SystemClock(), DeviceReady, FIND_S, events)
    (finding,) = light_findings(camera, SystemClock(), chosen.light, DeviceSettings({}, {}), events)
    camera.close()
    assert finding.grade == "stop"
    assert "LAMP" in finding.sentence
    assert "gpioinfo" in finding.next_step


@pytest.mark.parametrize("chip", ["/dev/gpiochip99", "/dev/null"])
def test_what_is_no_chip_is_found_without_touching_a_line(tmp_path, chip):
    light = LAMPS.replace("simulated", chip) + f'[light.flash]\nby = "line"\nchip = "{chip}"\nline = 2\n'
    findings = list(line_findings(settings(tmp_path, light)))
    assert [(finding.name, finding.grade) for finding in findings] == [("lamps", "stop"), ("flash", "stop")]
    assert all(chip in finding.sentence for finding in findings)


def test_a_simulated_chip_is_never_passed_over(tmp_path):
    (finding,) = line_findings(settings(tmp_path, LAMPS))
    assert (finding.name, finding.grade) == ("lamps", "warn")
    assert "simulated" in finding.sentence


@pytest.mark.parametrize(
    ("by", "shutter", "good"),
    [
        ('by = "camera"', "1/125", True),
        ('by = "camera"', "1/200", True),
        ('by = "camera"', "1/320", False),
        ('by = "camera"', "0.0010s", False),
        ('by = "line"\nchip = "simulated"\nline = 1', "1/125", False),
        ('by = "line"\nchip = "simulated"\nline = 1', "1", True),
    ],
)
def test_the_exposure_must_be_long_enough_for_the_flash(tmp_path, by, shutter, good):
    chosen = settings(tmp_path, f"[light.flash]\n{by}\n")
    camera, _ = make_camera(chosen)
    reported = DeviceSettings({"shutter": Setting(shutter)}, {})
    (finding,) = light_findings(camera, SystemClock(), chosen.light, reported, [])
    assert finding.good is good
    assert shutter in finding.sentence
    assert list(light_findings(camera, SystemClock(), chosen.light, DeviceSettings({}, {}), [])) == []
    camera.close()
