"""Grey card, exposure and white balance against published values and closed forms."""

from __future__ import annotations

import math

import pytest

from kiosk.core.base.colour import lab_of
from kiosk.core.camera_setup.card_findings import card_findings
from kiosk.core.camera_setup.colour_temperature import light_of, locus_xy, shown, temperature_k, undone
from kiosk.core.camera_setup.exposure import Setting, change_for, nearest_time, number, seconds
from kiosk.core.camera_setup.grey_card import Card
from kiosk.core.camera_setup.white_balance import balance_for, white_step
from kiosk.devices.base import DeviceSettings

TEMPERATURES_K = {"Tungsten": 3000.0, "Fluorescent": 4200.0, "Daylight": 5200.0, "Cloudy": 6000.0, "Shade": 8000.0}
ISO = Setting("200", ("Auto", "100", "125", "160", "200", "250", "320", "400", "800", "6400"))
APERTURE = Setting("f/8", ("f/1.8", "f/4", "f/5.6", "f/6.3", "f/7.1", "f/8", "f/9", "f/10", "f/11", "f/22"))
NAMES = ("Automatic", *TEMPERATURES_K, "Preset")


def card(kelvin=5200.0, set_to_k=5200.0, stops=0.0, tint=1.0):
    """Return a card under a black body's light; Y is 18 % by so many stops, and green is off by `tint`."""
    red, green, blue = shown(light_of(kelvin), set_to_k)
    luminance = 0.2126 * red + 0.7152 * green * tint + 0.0722 * blue
    scale = 0.18 * 2**stops / luminance
    return Card((red * scale, green * tint * scale, blue * scale), 0.0)


def findings(seen, **offered):
    offer = DeviceSettings(offered, TEMPERATURES_K, ("Preset",))
    return {finding.name: finding for finding in card_findings(seen, offer)}


@pytest.mark.parametrize(("kelvin", "x", "y"), [(2856, 0.4476, 0.4075), (5000, 0.3451, 0.3516), (6500, 0.3135, 0.3237)])
def test_the_locus_is_that_of_the_tables(kelvin, x, y):
    """2856 K is CIE illuminant A (CIE 015); 5000 and 6500 K from memory of the tables of Planck's law."""
    assert locus_xy(kelvin) == (pytest.approx(x, abs=6e-4), pytest.approx(y, abs=6e-4))


@pytest.mark.parametrize(
    ("light", "published"),
    [
        ((0.18, 0.18, 0.18), (49.50, 0, 0)),
        ((0.18418651, 0.18418651, 0.18418651), (50, 0, 0)),
        ((0.008856, 0.008856, 0.008856), (8, 0, 0)),
        ((1, 0, 0), (53.24, 80.09, 67.20)),
        ((0, 1, 0), (87.73, -86.18, 83.18)),
        ((0, 0, 1), (32.30, 79.19, -107.86)),
    ],
)
def test_lab_is_the_published_one(light, published):
    """Greys by ISO/CIE 11664-4; the primaries of sRGB as commonly tabled (from memory)."""
    assert lab_of(light) == pytest.approx(published, abs=0.15)


@pytest.mark.parametrize("set_to_k", [3000.0, 5200.0, 8000.0])
@pytest.mark.parametrize("kelvin", [2500.0, 3200.0, 5000.0, 6500.0, 9000.0])
def test_the_temperature_of_the_light_is_found_from_what_the_camera_shows(kelvin, set_to_k):
    seen = shown(light_of(kelvin), set_to_k)
    assert temperature_k(seen, set_to_k) == pytest.approx(kelvin, rel=2e-3)
    assert undone(seen, set_to_k) == pytest.approx(light_of(kelvin))


def test_a_card_as_it_should_be_needs_nothing():
    told = findings(card(), iso=ISO, aperture=APERTURE, white_balance=Setting("Daylight", NAMES))
    assert all(finding.good for finding in told.values())
    assert told["grey_card_exposure"].sentence.startswith("The card has L* 49.5 where 18 % grey has 49.5: 0.00 stops")


@pytest.mark.parametrize(
    ("text", "value"), [("f/8", 8), ("8", 8), ("F5.6", 5.6), ("400", 400), ("Auto", None), ("", None), ("1/125", None)]
)
def test_a_cameras_own_words_are_read(text, value):
    assert number(text) == value


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1/125", 0.008),
        ("1/125s", 0.008),
        ("0.0080s", 0.008),
        ("0,008", 0.008),
        ("1.3 s", 1.3),
        ("30", 30),
        ("10/25", 0.4),
        ("Bulb", None),
        ("1/0", None),
        ("", None),
    ],
)
def test_exposure_times_are_read_however_they_are_written(text, value):
    assert seconds(text) == value


@pytest.mark.parametrize(
    ("wanted", "found"), [("1/125", "0.0080s"), ("1/120", "0.0080s"), ("1/110", None), ("1/13", "0.0769s"), ("x", None)]
)
def test_the_nearest_time_within_a_sixth_of_a_stop_is_as_good(wanted, found):
    """1/110 s is 0.18 stops from 1/125 s, and 1/120 s 0.06: log2 of the ratio (ISO 2720)."""
    assert nearest_time(wanted, ["Bulb", "0.0050s", "0.0080s", "0.0769s"]) == found


@pytest.mark.parametrize(
    ("stops", "values", "left"),
    [
        (1.0, {"iso": "400"}, 0.0),
        (-1.0, {"iso": "100"}, 0.0),
        (0.0, {}, 0.0),
        (2.0, {"iso": "400", "aperture": "f/5.6"}, 1 + 2 * math.log2(5.6 / 8)),
        (-2.0, {"iso": "100", "aperture": "f/11"}, -1 + 2 * math.log2(11 / 8)),
        (5.0, {"iso": "400", "aperture": "f/5.6"}, 4 + 2 * math.log2(5.6 / 8)),
    ],
)
def test_the_change_is_made_of_what_the_camera_offers_within_the_booths_ranges(stops, values, left):
    """A doubled ISO is one stop, an f-number divided by the square root of two another (ISO 2720)."""
    change = change_for(stops, {"iso": ISO, "aperture": APERTURE})
    assert dict(change.values) == values
    assert change.left_stops == pytest.approx(left, abs=1e-6)


def test_what_the_camera_cannot_do_is_asked_of_the_lamps():
    told = findings(card(stops=-4), iso=ISO, aperture=APERTURE)["grey_card_exposure"]
    assert "4.00 stops too dark" in told.sentence
    assert told.next_step == (
        'Under camera.adjust write iso = "400" and aperture = "f/5.6", then take the card again.'
        " Bring the lamps nearer or turn them up, by 2.0 stops. This far off it is a first step."
    )


@pytest.mark.parametrize(
    ("kelvin", "name"), [(3100, "Tungsten"), (4300, "Fluorescent"), (6100, "Cloudy"), (7900, "Shade")]
)
def test_the_nearest_named_white_balance_is_chosen(kelvin, name):
    seen = card(kelvin)
    balance = balance_for(seen, {"white_balance": Setting("Daylight", NAMES)}, TEMPERATURES_K)
    assert balance.values == (("white_balance", name),)
    assert balance.light_k == pytest.approx(kelvin, rel=0.01)
    after = card(kelvin, TEMPERATURES_K[name])
    assert after.colour == pytest.approx(balance.left_ab, abs=0.05)
    told = findings(seen, white_balance=Setting("Daylight", NAMES))["grey_card_white"]
    assert f'white_balance = "{name}"' in told.next_step


def test_a_temperature_by_number_is_preferred_where_it_comes_nearer():
    offered = {
        "white_balance": Setting("Daylight", (*NAMES, "Color Temperature")),
        "temperature": Setting("5200", tuple(str(k) for k in range(2500, 10001, 100))),
    }
    balance = balance_for(card(4630), offered, TEMPERATURES_K)
    assert balance.values == (("white_balance", "Color Temperature"), ("temperature", "4600"))
    offered["white_balance"] = Setting("Color Temperature", (*NAMES, "Color Temperature"))
    assert balance_for(card(4630), offered, TEMPERATURES_K).light_k == pytest.approx(4630, rel=0.01)


def test_an_automatic_white_balance_is_refused_though_the_card_looks_neutral():
    told = findings(card(), white_balance=Setting("Automatic", NAMES))["grey_card_white"]
    assert not told.good
    assert "differs from sitter to sitter" in told.sentence
    assert 'white_balance = "Tungsten"' in told.next_step


def test_a_green_lamp_cannot_be_balanced_by_temperature():
    told = findings(card(tint=1.3), white_balance=Setting("Daylight", NAMES))["grey_card_white"]
    assert not told.good
    assert "No balance of the camera's list fits" in told.next_step
    assert 'in the camera\'s own menu. Under camera.adjust write white_balance = "Preset"' in told.next_step


@pytest.mark.parametrize("kelvin", [3600, 4700, 5600, 6900])
def test_where_the_cameras_list_is_too_coarse_its_own_measurement_is_asked_for_and_named(kelvin):
    """Between two names more than 3 may be left; the settings must then ask for what the body has measured."""
    seen = card(kelvin, 5200)
    step = white_step(seen, DeviceSettings({"white_balance": Setting("Daylight", NAMES)}, TEMPERATURES_K, ("Preset",)))
    nearest = min(card(kelvin, known).colour for known in TEMPERATURES_K.values())
    too_coarse = nearest > 3 or nearest > seen.colour - 1
    assert step.measure == too_coarse
    assert step.values == ((("white_balance", "Preset"),) if too_coarse else step.balance.values)


def test_a_balance_that_would_hardly_be_better_is_not_told():
    """A camera's tone curve bends the measure: two neighbours of the list could be told in turns for ever."""
    offer = DeviceSettings({"white_balance": Setting("Daylight", NAMES)}, TEMPERATURES_K, ("Preset",))
    seen = Card((0.18 * 1.05, 0.18, 0.18 * 0.91), 0.0)
    assert seen.colour > 3
    step = white_step(seen, offer)
    assert (step.measure, step.values) == (True, (("white_balance", "Preset"),))
    assert step.balance.left_ab > seen.colour - 1


def test_a_card_that_is_off_though_it_was_measured_is_measured_again():
    told = findings(card(4000), white_balance=Setting("Preset", NAMES))["grey_card_white"]
    assert told.next_step.startswith("Measure the white balance on this card")
    assert 'white_balance = "Preset"' in told.next_step


def test_a_camera_that_tells_no_settings_still_gets_its_numbers():
    told = findings(card(3200, stops=-1))
    assert not told["grey_card_exposure"].good
    assert told["grey_card_exposure"].next_step == "Bring the lamps nearer or turn them up, by 1.0 stops."
    assert told["grey_card_white"].next_step.startswith("Measure the white balance on this card")


def test_what_is_no_even_card_is_not_measured():
    (finding,) = card_findings(Card((0.18, 0.18, 0.18), 8.0), DeviceSettings({}, {}))
    assert finding.sentence == "The middle of the picture is not one even card: its lightness varies by 8.0."
