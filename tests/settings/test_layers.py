from datetime import date

import pytest

from kiosk.core.document.confirmation import Confirmation
from kiosk.errors import SettingsRefused
from kiosk.settings import add_confirmation, read_settings
from kiosk.settings.layers import layers_of, origin

CHAIN = """
[booth]
languages = ["en", "de"]
shots = 3

[camera]
backend = "gphoto2"
turned_deg = 90

[printer]
backend = "folder"
folder = "prints"

[prices]
currency = "GBP"
sheet = 9.50
documents = { us-passport-print = 11.00, us-visa = 12.00 }

[[confirmations]]
document = "us-visa"
by = "Ada Chain"
on = 2026-11-01
source = "the authority"
"""
SHOP = """
[booth]
shots = 5

[prices]
documents = { us-visa = 13.00 }
"""
BOOTH = """
layers = ["wide/chain.toml", "shop.toml"]

[booth]
name = "till 2"
documents = ["gb-passport-print"]

[camera]
backend = "uvc"
device = 0
"""


@pytest.fixture
def booth(tmp_path):
    (tmp_path / "wide").mkdir()
    (tmp_path / "wide" / "chain.toml").write_text(CHAIN)
    (tmp_path / "shop.toml").write_text(SHOP)
    path = tmp_path / "booth.toml"
    path.write_text(BOOTH)
    return path


def changed(path, old, new):
    assert old in path.read_text()
    path.write_text(path.read_text().replace(old, new))


def test_the_narrowest_file_that_says_something_is_in_force(booth):
    settings = read_settings(booth)
    assert settings.booth.languages == ["en", "de"]
    assert settings.booth.shots == 5
    assert settings.booth.name == "till 2"
    assert {name: float(price) for name, price in settings.prices.documents.items()} == {
        "us-passport-print": 11.0,
        "us-visa": 13.0,
    }


def test_the_keys_of_another_device_are_gone_with_it(booth):
    assert read_settings(booth).camera.model_dump()["backend"] == "uvc"
    layers = layers_of(booth.read_text(), booth)
    assert origin(layers, ["camera", "turned_deg"]) is None
    changed(booth, 'backend = "uvc"\ndevice = 0', "still_px = [4000, 6000]")
    camera = read_settings(booth).camera
    assert (camera.backend, camera.turned_deg, camera.still_px) == ("gphoto2", 90, (4000, 6000))


def test_paths_start_at_the_booths_own_file(booth):
    settings = read_settings(booth)
    assert settings.path(settings.printer.folder) == booth.parent / "prints"


@pytest.mark.parametrize(
    ("file", "old", "new", "where"),
    [
        ("wide/chain.toml", "shots = 3\n", 'shots = 3\nrules_last_days = "x"\n', "booth.rules_last_days"),
        ("shop.toml", "shots = 5", "shotz = 5", "booth.shotz"),
        ("shop.toml", "shots = 5", 'languages = ["en", 5]', "booth.languages.1"),
        ("shop.toml", "shots = 5", "shots = ", "file"),
        ("shop.toml", "[booth]", 'layers = ["chain.toml"]\n[booth]', "layers"),
        ("booth.toml", "shop.toml", "shops.toml", "layers"),
        ("booth.toml", '"shop.toml"', "7", "layers"),
    ],
)
def test_a_fault_is_said_of_the_file_that_has_it(booth, file, old, new, where):
    changed(booth.parent / file, old, new)
    with pytest.raises(SettingsRefused) as refused:
        read_settings(booth)
    assert f"{booth.parent / file}: {where}: " in str(refused.value)


def test_confirmations_add_up_and_a_new_one_is_written_to_the_booths_own_file(booth):
    chain = (booth.parent / "wide" / "chain.toml").read_text()
    fresh = Confirmation(document="in-passport", by="Bo Till", on=date(2026, 11, 20), source="its own page")
    assert add_confirmation(booth, fresh)
    assert not add_confirmation(booth, fresh)
    assert [one.document for one in read_settings(booth).confirmations] == ["us-visa", "in-passport"]
    later = fresh.model_copy(update={"document": "us-visa"})
    assert add_confirmation(booth, later)
    assert [one.by for one in read_settings(booth).confirmations if one.document == "us-visa"] == [
        "Ada Chain",
        "Bo Till",
    ]
    assert (booth.parent / "wide" / "chain.toml").read_text() == chain
