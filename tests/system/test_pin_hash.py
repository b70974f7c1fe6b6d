"""The attendant's PIN and its hash."""

import re

import argon2
import pytest

from kiosk.errors import PinRefused, SettingsRefused
from kiosk.settings import read_settings
from kiosk.system.pin_hash import hash_pin, is_pin
from tests.settings.test_settings import GOOD, written

PIN = "480217"


def test_only_the_pin_itself_matches_its_hash():
    kept = hash_pin(PIN)
    assert is_pin(PIN, kept)
    for other in ("480218", "4802170", "48021", ""):
        assert not is_pin(other, kept), other


def test_the_hash_is_argon2id_with_the_parameters_of_rfc_9106_and_its_own_salt():
    """RFC 9106, 4, second recommended option: t=3, p=4, m=2^16 KiB, a salt of 128 and a tag of 256 bits."""
    found = argon2.extract_parameters(hash_pin(PIN))
    assert (found.type, found.version) == (argon2.Type.ID, 0x13)
    assert (found.time_cost, found.memory_cost, found.parallelism) == (3, 2**16, 4)
    assert (found.salt_len, found.hash_len) == (16, 32)
    assert hash_pin(PIN) != hash_pin(PIN)


@pytest.mark.parametrize(
    "pin", ["", "48021", "4802170000000", "48 217", "48021a", "٤٨٠٢١٧", "777777", "123456", "789012", "987654"]
)
def test_a_pin_that_anybody_would_try_is_refused(pin):
    with pytest.raises(PinRefused) as refused:
        hash_pin(pin)
    assert not re.search(r"\d{3}", str(refused.value)), "the error does not repeat the PIN"


@pytest.mark.parametrize(
    "kept", ["", "480217", "$argon2id$v=19$m=65536,t=3,p=4$c2FsdA$", "$2b$12$abcdefghijklmnopqrstuv"]
)
def test_a_hash_that_cannot_be_read_lets_nobody_in(kept):
    assert not is_pin(PIN, kept)


def test_the_settings_take_a_hash_and_never_a_bare_pin(tmp_path):
    kept = hash_pin(PIN)
    settings = read_settings(written(tmp_path, f'{GOOD}\n[attendant]\npin_hash = "{kept}"\n'))
    assert is_pin(PIN, settings.attendant.pin_hash)
    with pytest.raises(SettingsRefused, match=r"attendant\.pin_hash"):
        read_settings(written(tmp_path, f'{GOOD}\n[attendant]\npin_hash = "{PIN}"\n'))
