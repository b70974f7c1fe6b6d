"""How files are handed over: off by default, for a private network or a stick, and never by half."""

import pytest

from kiosk.booth.handover_assembly import handover_endpoint, handover_terms
from kiosk.errors import SettingsRefused
from kiosk.settings import read_settings
from tests.settings.test_settings import GOOD, written


def read(folder, lines):
    return read_settings(written(folder, f"{GOOD}\n[handover]\n{lines}\n"))


def test_without_the_section_no_file_is_handed_over(tmp_path):
    settings = read_settings(written(tmp_path, GOOD))
    assert settings.handover is None
    assert handover_terms(settings) is None
    assert handover_endpoint(settings) is None


@pytest.mark.parametrize(
    ("lines", "ways"),
    [
        ('address = "192.168.7.1"', ("phone",)),
        ('sticks = "/media/*"', ("stick",)),
        ('address = "fd00::1"\nsticks = "/media/*"', ("phone", "stick")),
    ],
)
def test_the_settings_say_which_ways_there_are(tmp_path, lines, ways):
    terms = handover_terms(read(tmp_path, f"{lines}\nminutes = 2"))
    assert (terms.ways, terms.keep_s) == (ways, 120.0)


@pytest.mark.parametrize(
    ("lines", "detail"),
    [
        ("", "name an address"),
        ('address = "booth"', "no IP address"),
        ('address = "8.8.8.8"', "no address of a local network"),
        ('address = "0.0.0.0"', "no address of a local network"),
        ('address = "10.0.0.1"\ncertificate = "c.pem"', "go together"),
        ('address = "10.0.0.1"\nname = "booth.example"', "a name is for a certificate"),
        ('sticks = "media/*"', "pattern"),
        ('address = "10.0.0.1"\nminutes = 0', "greater than or equal to 1"),
        ('address = "10.0.0.1"\nminutes = 60', "less than or equal to 15"),
        ('address = "10.0.0.1"\nssid = "x"', "unknown key"),
    ],
)
def test_what_cannot_be_meant_is_refused(tmp_path, lines, detail):
    with pytest.raises(SettingsRefused, match=detail):
        read(tmp_path, lines)
