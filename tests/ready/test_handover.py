"""The check of the hand-over: the address for phones is one of this machine's, and its certificate can be used."""

import pytest

from kiosk.ready.handover import handover_findings
from kiosk.settings import read_settings
from tests.settings.test_settings import GOOD, written


def found(folder, lines):
    return list(handover_findings(read_settings(written(folder, f"{GOOD}\n{lines}\n"))))


@pytest.mark.parametrize("lines", ["", '[handover]\nsticks = "/media/*"'])
def test_nothing_is_checked_where_no_phone_is_served(tmp_path, lines):
    assert found(tmp_path, lines) == []


def test_an_address_of_this_machine_is_well_and_the_plain_way_is_named(tmp_path):
    (finding,) = found(tmp_path, '[handover]\naddress = "127.0.0.1"')
    assert finding.good
    assert finding.sentence == "Phones can take a file at 127.0.0.1, over HTTP, without a certificate."


def test_an_address_of_another_machine_is_said_and_closes_no_booth(tmp_path):
    (finding,) = found(tmp_path, '[handover]\naddress = "10.255.255.1"')
    assert (finding.good, finding.stops) == (False, False)
    assert "10.255.255.1" in finding.sentence


def test_a_certificate_that_cannot_be_used_is_said(tmp_path):
    (tmp_path / "c.pem").write_text("no certificate")
    (finding,) = found(tmp_path, '[handover]\naddress = "127.0.0.1"\ncertificate = "c.pem"\nkey = "c.pem"')
    assert not finding.good
