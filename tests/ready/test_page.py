"""The check of the attendant's page: an address that the machine lacks is said, and closes no booth."""

import pytest

from kiosk.ready.page import page_findings
from kiosk.settings import read_settings
from tests.settings.test_settings import GOOD, written
from tests.support.page_lab import certify
from tests.support.pin import CHEAP_HASH


def found(folder, lines):
    text = f'{GOOD}\n[attendant]\npin_hash = "{CHEAP_HASH}"\n{lines}\n'
    return [(one.good, one.stops, one.sentence) for one in page_findings(read_settings(written(folder, text)))]


def test_nothing_is_checked_without_a_page(tmp_path):
    assert found(tmp_path, "") == []


def test_an_address_of_this_machine_is_well(tmp_path):
    said = "The attendant's page has its address, 127.0.0.1."
    assert found(tmp_path, "[attendant.page]") == [(True, False, said)]


@pytest.mark.parametrize("address", ["192.0.2.7", "2001:db8::7"])
def test_an_address_that_the_machine_lacks_is_said_and_closes_no_booth(tmp_path, address):
    certify(tmp_path)
    lines = f'[attendant.page]\naddress = "{address}"\ncertificate = "certificate.pem"\nkey = "key.pem"'
    ((good, stops, sentence),) = found(tmp_path, lines)
    assert (good, stops) == (False, False)
    assert f"at {address}: " in sentence
