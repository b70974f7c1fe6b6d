"""Every profile that ships is opened, and none knows more than it may."""

from __future__ import annotations

import json
import re
import time
from pathlib import Path

import numpy as np  # noqa: F401  much of what the camera's process must not have
import pytest

from kiosk.devices.base import DeviceFailed
from kiosk.devices.camera.supervisor import SupervisedCamera
from kiosk.devices.gphoto2.camera import TetheredDriver
from kiosk.devices.gphoto2.profile import CameraProfile, camera_profile_of, profiles_folder, shipped_cameras
from kiosk.devices.profile_file import read_profile_file
from kiosk.errors import SettingsRefused

PROFILES = sorted(profiles_folder().glob("*.toml"))
SITE_ROLES = {"iso", "auto_iso", "aperture", "shutter", "exposure_mode", "white_balance", "temperature"}
SITE_ROLES |= {"focus_mode", "quality", "size"}
OWN_ROLES = {"target", "battery"}
TABLES = json.loads((Path(__file__).parents[2] / "data" / "libgphoto2.json").read_text("utf-8"))
MAKER = {
    "canon_eos": "canon",
    "canon_eos_m": "canon",
    "canon_eos_r": "canon",
    "canon_powershot": "canon",
    "fujifilm": "fuji",
    "leica": "leica",
    "nikon": "nikon",
    "nikon_1": "nikon",
    "nikon_z": "nikon",
    "olympus": "olympus",
    "panasonic": "panasonic",
    "sony": "sony",
}
"""The extension of PTP that a family's settings come from."""
WITHOUT_A_FAMILY = {"USB PTP Class Camera", "PTP/IP Camera", "Sigma fp", "Sigma fp L"}
"""What the library can show live without saying more: unknown bodies, and two that have no settings in its tables."""
OVER_A_NETWORK = {"Nikon Corporation Z", "FUJIFILM", "OM Digital Solutions OM-"}
"""How a body calls itself where the library does not know it by its number on the USB."""


@pytest.mark.parametrize("path", PROFILES, ids=lambda path: path.stem)
def test_every_profile_that_ships_is_sound(path):
    profile = read_profile_file(path, CameraProfile)
    assert {"iso", "aperture", "shutter", "white_balance", "battery"} <= set(profile.names) <= SITE_ROLES | OWN_ROLES
    assert set(profile.prefer) <= set(profile.names)
    assert bool(profile.memory) == bool(profile.card) == ("target" in profile.names)
    assert all(2000 <= kelvin <= 15000 for kelvin in profile.temperatures_k.values())
    assert all(re.fullmatch(r"\d+\.\d+\.\d+", bad.version) and bad.thread for bad in profile.known_bad)
    assert all(said.source for said in (*profile.quirks, *profile.body))
    assert set(profile.proven_on) <= {"responder", "virtual camera"}


def test_there_is_a_profile_for_each_family():
    assert {path.stem for path in PROFILES} == {"any", *MAKER}


@pytest.mark.parametrize("path", PROFILES, ids=lambda path: path.stem)
def test_libgphoto2_knows_every_name_and_value_of_a_profile(path):
    """No camera is here: that its settings exist is read from the tables of the library that the booth runs with."""
    profile = read_profile_file(path, CameraProfile)
    makers = [MAKER[path.stem]] if path.stem in MAKER else list(TABLES["names"])
    known = {name for maker in ("generic", *makers) for name in TABLES["names"].get(maker, ())}
    assert {name for names in profile.names.values() for name in names} - known == set()
    values = {*profile.memory, *profile.card, *profile.raw_pair, *profile.own_white, *profile.temperatures_k}
    values |= {value for wanted in profile.prefer.values() for value in wanted} - set(TABLES["written"])
    pieces = {
        piece for value in values - set(TABLES["labels"]) - set(TABLES["written"]) for piece in value.split(" + ")
    }
    assert pieces <= set(TABLES["pieces"])


def test_the_tables_are_those_of_the_library_that_is_installed():
    gphoto2 = pytest.importorskip("gphoto2")
    assert gphoto2.gp_library_version(gphoto2.GP_VERSION_SHORT)[0] == TABLES["library"], "read the tables anew"
    (library,) = Path(gphoto2.__file__).parent.rglob("ptp2.so")
    strings = library.read_bytes()
    said = {name for names in TABLES["names"].values() for name in names} | {*TABLES["labels"], *TABLES["pieces"]}
    assert {text for text in said if text.encode() + b"\0" not in strings} == set()


def test_no_match_hides_another_and_every_one_is_a_live_view_that_the_library_has():
    """Each match has to be the longest of a model, so that none is dead; and no two files claim the same beginning."""
    gphoto2 = pytest.importorskip("gphoto2")
    models = gphoto2.CameraAbilitiesList()
    models.load()
    known = shipped_cameras()
    beginnings = [match.lower() for profile in known for match in profile.matches]
    assert len(beginnings) == len(set(beginnings))
    found: dict[str, set[str]] = {}
    for number in range(models.count()):
        model = models.get_abilities(number)
        if model.operations & gphoto2.GP_OPERATION_CAPTURE_IMAGE and model.library.endswith("ptp2"):
            found.setdefault(camera_profile_of(model.model, known).family, set()).add(model.model.lower())
            live = bool(model.operations & gphoto2.GP_OPERATION_CAPTURE_PREVIEW)
            assert not live or camera_profile_of(model.model, known).matches != ("",) or model.model in WITHOUT_A_FAMILY
    for profile in known:
        for match in set(profile.matches) - OVER_A_NETWORK:
            own = {model for model in found[profile.family] if model.startswith(match.lower())}
            longer = {other for other in beginnings if other.startswith(match.lower()) and len(other) > len(match)}
            assert {model for model in own if not model.startswith(tuple(longer))}, match


@pytest.mark.parametrize(
    ("model", "family"),
    [
        ("Nikon DSC D750", "Nikon bodies with live view"),
        ("nikon corporation responder n", "Nikon bodies with live view"),
        ("Nikon Corporation Z 6", "Nikon Z bodies"),
        ("Nikon V3", "Nikon 1 bodies"),
        ("Canon EOS 80D", "Canon EOS bodies with live view"),
        ("Canon EOS Rebel T7i", "Canon EOS bodies with live view"),
        ("Canon EOS RP", "Canon EOS R bodies"),
        ("Canon EOS M50m2", "Canon EOS M bodies"),
        ("Canon PowerShot G9 (PTP mode)", "Canon PowerShot and IXUS"),
        ("FUJIFILM X-T3", "Fujifilm X and GFX"),
        ("Kodak DC240", "Any camera that libgphoto2 can tether"),
        ("", "Any camera that libgphoto2 can tether"),
    ],
)
def test_the_longest_match_wins(model, family):
    assert camera_profile_of(model, shipped_cameras()).family == family


@pytest.mark.parametrize(
    ("sources", "said"),
    [
        ('{matches = "a"}', "names has no source"),
        ('{matches = "a", names = "b", raw_pair = "c"}', "no raw_pair"),
        ('{matches = "a", names = "b", colours = "c"}', "no colours"),
    ],
)
def test_a_value_without_a_source_and_a_source_without_a_value_are_refused(tmp_path, sources, said):
    path = tmp_path / "a.toml"
    path.write_text(f'family = "A"\nmatches = ["A"]\nproven_on = []\nnames = {{iso = ["iso"]}}\nsources = {sources}\n')
    with pytest.raises(SettingsRefused) as refused:
        read_profile_file(path, CameraProfile)
    assert said in str(refused.value)


WHOLE = {
    "family": '"A"',
    "matches": '["A"]',
    "names": "{}",
    "sources": '{matches = "a"}',
    "proven_on": "[]",
}


@pytest.mark.parametrize(
    ("line", "where"),
    [("colour = 1", "colour"), ("warm_up_frames = 1000", "warm_up_frames"), ("matches = []", "matches")],
)
def test_a_profile_with_a_wrong_key_is_refused_with_the_key(tmp_path, line, where):
    table = WHOLE | dict([line.split(" = ")])
    path = tmp_path / "a.toml"
    path.write_text("\n".join(f"{key} = {value}" for key, value in table.items()))
    with pytest.raises(SettingsRefused) as refused:
        read_profile_file(path, CameraProfile)
    assert refused.value.params["where"] == where


@pytest.mark.parametrize("key", WHOLE)
def test_a_profile_that_leaves_a_key_out_is_refused_with_it(tmp_path, key):
    path = tmp_path / "a.toml"
    path.write_text("\n".join(f"{name} = {value}" for name, value in WHOLE.items() if name != key))
    with pytest.raises(SettingsRefused) as refused:
        read_profile_file(path, CameraProfile)
    assert refused.value.params["where"] == key


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
    assert [name for name in ("cv2", "pydantic", "pygame", "mediapipe") if f"/{name}" in loaded] == []
