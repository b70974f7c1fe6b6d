"""Every profile that ships is opened, and none knows more than it may."""

from __future__ import annotations

import re
import time
from pathlib import Path

import numpy as np  # noqa: F401  much of what the camera's process must not have
import pytest

from kiosk.devices.base import DeviceFailed
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gphoto2.profile import profile_of, profiles_folder, read_profile, shipped_profiles
from kiosk.errors import SettingsRefused

PROFILES = sorted(profiles_folder().glob("*.toml"))
SITE_ROLES = {"iso", "aperture", "shutter", "white_balance", "temperature", "focus_mode", "quality", "size"}
OWN_ROLES = {"target", "battery"}


@pytest.mark.parametrize("path", PROFILES, ids=lambda path: path.stem)
def test_every_profile_that_ships_is_sound(path):
    profile = read_profile(path)
    assert OWN_ROLES <= set(profile.names) <= SITE_ROLES | OWN_ROLES
    assert set(profile.prefer) <= set(profile.names)
    assert all(2000 <= kelvin <= 15000 for kelvin in profile.temperatures_k.values())
    assert bool(profile.temperatures_k) == bool(profile.temperatures_source)
    assert all(re.fullmatch(r"\d+\.\d+\.\d+", bad.version) and bad.thread for bad in profile.known_bad)
    assert all(quirk.source for quirk in profile.quirks)
    assert set(profile.proven_on) <= {"responder", "virtual camera"}


@pytest.mark.parametrize(
    ("model", "family"),
    [
        ("Nikon DSC D750", "Nikon bodies with live view"),
        ("nikon corporation responder n", "Nikon bodies with live view"),
        ("Canon EOS 80D", "Canon EOS bodies with live view"),
        ("Canon PowerShot G9", "Any camera that libgphoto2 can tether"),
        ("", "Any camera that libgphoto2 can tether"),
    ],
)
def test_the_longest_match_wins(model, family):
    assert profile_of(model, shipped_profiles()).family == family


@pytest.mark.parametrize(
    ("line", "where"),
    [("colour = 1", "colour"), ("warm_up_frames = 1000", "warm_up_frames"), ("matches = []", "matches")],
)
def test_a_profile_with_a_wrong_key_is_refused_with_the_key(tmp_path, line, where):
    table = {"family": '"A"', "matches": '["A"]', "names": "{}"} | dict([line.split(" = ")])
    path = tmp_path / "a.toml"
    path.write_text("\n".join(f"{key} = {value}" for key, value in table.items()))
    with pytest.raises(SettingsRefused) as refused:
        read_profile(path)
    assert refused.value.params["where"] == where


def test_what_takes_long_to_load_stays_out_of_the_cameras_process():
    """What a process has loaded is told by proc(5), maps; this one has loaded much before, and hands nothing on."""
    camera = SupervisedCamera(TetheredDriver("ptpip:127.0.0.1:1:1"))
    camera.start()
    try:
        while not any(isinstance(event, DeviceFailed) for event in camera.poll()):
            time.sleep(0.01)
        loaded = Path(f"/proc/{camera.pid}/maps").read_text()
    finally:
        camera.close()
    assert "libgphoto2" in loaded
    assert [name for name in ("numpy", "cv2", "pydantic", "pygame", "mediapipe") if f"/{name}" in loaded] == []
