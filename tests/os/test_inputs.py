"""The list of input devices, made from a made-up tree of USB devices, and what its rules do by a reading of udev(7).

That udev itself takes devices in by them is for a real machine to show.
"""

import fnmatch
import os
import re
import subprocess
from pathlib import Path

import pytest

OS = Path(__file__).parents[2] / "hardware" / "os"
RULES = "etc/udev/rules.d/72-holdstill-inputs.rules"
TOUCH, CAMERA, HUB = ("0eef", "0001", ["03"]), ("04b0", "0428", ["06"]), ("1d6b", "0002", ["09"])


def plugged(sysfs, *devices):
    """Lay devices down as the kernel shows them (sysfs(5), Documentation/ABI/testing/sysfs-bus-usb)."""
    for number, (maker, model, classes) in enumerate(devices):
        device = sysfs / "bus/usb/devices" / f"1-{number}"
        device.mkdir(parents=True)
        (device / "idVendor").write_text(f"{maker}\n")
        (device / "idProduct").write_text(f"{model}\n")
        for interface, kind in enumerate(classes):
            (device / f"1-{number}:1.{interface}").mkdir()
            (device / f"1-{number}:1.{interface}" / "bInterfaceClass").write_text(f"{kind}\n")


def listed(root, *devices):
    plugged(root / "sys", *devices)
    environment = {**os.environ, "DESTDIR": str(root)}
    return subprocess.run([OS / "inputs"], env=environment, capture_output=True, text=True, check=False)


def is_taken(rules, maker, model, interfaces):
    """Return what the rules write to `authorized` when a device is added."""
    seen = {
        "SUBSYSTEM": "usb",
        "ACTION": "add",
        "KERNEL": "1-4",
        "ENV{DEVTYPE}": "usb_device",
        "ENV{ID_USB_INTERFACES}": interfaces,
        "ATTR{idVendor}": maker,
        "ATTR{idProduct}": model,
    }
    authorized = None
    for line in rules.splitlines():
        parts = re.findall(r'([A-Z]+(?:{\w+})?)(==|!=|=)"([^"]*)"', line)
        holds = all(
            fnmatch.fnmatchcase(seen.get(key, ""), value) == (sign == "==") for key, sign, value in parts if sign != "="
        )
        if line.startswith("#") or not holds:
            continue
        done = {key: value for key, sign, value in parts if sign == "="}
        authorized = done.get("ATTR{authorized}", authorized)
        if "GOTO" in done:
            break
    return authorized == "1"


@pytest.mark.parametrize(
    ("device", "taken"),
    [
        (("0eef", "0001", ":030000:"), True),
        (("0eef", "0002", ":030000:"), False),
        (("abcd", "0001", ":030101:"), False),
        (("04b0", "0428", ":060101:"), True),
        (("ffff", "0001", ":060101:030101:"), False),
        (("ffff", "0002", ":080650:"), True),
        (("1d6b", "0002", ":090000:"), True),
        (("ffff", "0003", ""), False),
    ],
    ids=["the touch screen", "another of its maker", "a keyboard", "a camera", "a camera with a keyboard in it",
         "a stick", "a hub", "a device that says nothing of itself"],
)  # fmt: skip
def test_the_kernel_takes_input_devices_on_the_list_and_whatever_is_none(tmp_path, device, taken):
    assert listed(tmp_path, HUB, TOUCH, CAMERA).returncode == 0
    assert is_taken((tmp_path / RULES).read_text(), *device) == taken


def test_the_list_has_each_input_device_that_is_plugged_in_once(tmp_path):
    run = listed(tmp_path, HUB, TOUCH, TOUCH, CAMERA, ("05fe", "1010", ["ff", "03"]))
    assert run.stdout.splitlines()[1:] == ["  0eef:0001", "  05fe:1010"]
    assert (tmp_path / RULES).read_text().count("ATTR{idVendor}") == 2
    assert 'ATTR{authorized_default}="0"' in (tmp_path / RULES).read_text()


def test_without_an_input_device_nothing_is_locked_out_and_the_list_before_stays(tmp_path):
    run = listed(tmp_path, HUB, CAMERA)
    assert (run.returncode, (tmp_path / RULES).exists()) == (23, False)
    assert "Plug in the touch screen" in run.stderr


@pytest.mark.parametrize("spoil", [None, 'ATTR{authorized}="1"\n'], ids=["missing", "made to take everything"])
def test_the_check_says_that_any_keyboard_is_taken(tmp_path, spoil):
    listed(tmp_path, TOUCH)
    if spoil is None:
        (tmp_path / RULES).unlink()
    else:
        (tmp_path / RULES).write_text(spoil + (tmp_path / RULES).read_text())
    environment = {**os.environ, "DESTDIR": str(tmp_path)}
    run = subprocess.run([OS / "check"], env=environment, capture_output=True, text=True, check=False)
    assert "no   Any keyboard that somebody plugs in is taken." in run.stdout


def test_an_install_lists_what_is_there_and_an_update_adds_nothing(tmp_path):
    plugged(tmp_path / "sys", TOUCH)
    environment = {**os.environ, "DESTDIR": str(tmp_path)}
    subprocess.run([OS / "install"], env=environment, check=True, capture_output=True)
    before = (tmp_path / RULES).read_text()
    late = tmp_path / "sys/bus/usb/devices/2-1"
    late.mkdir()
    (late / "idVendor").write_text("abcd\n")
    (late / "idProduct").write_text("0001\n")
    (late / "2-1:1.0").mkdir()
    (late / "2-1:1.0/bInterfaceClass").write_text("03\n")
    subprocess.run([OS / "install"], env=environment, check=True, capture_output=True)
    assert (tmp_path / RULES).read_text() == before
    run = subprocess.run([OS / "check"], env=environment, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout
