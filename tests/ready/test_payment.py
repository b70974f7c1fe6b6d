"""What is looked at of a payment unit before opening."""

import os
import pty
from pathlib import Path

import pytest

from kiosk.ready.payment import payment_findings
from kiosk.settings import read_settings
from tests.ready.test_booth import written
from tests.support.payment_benches import terminal_at, wished
from tests.support.terminal_server import TOKEN


def findings(tmp_path, payment, prices="sheet = 9.50"):
    path = written(tmp_path)
    path.write_text(f"{path.read_text()}[prices]\n{prices}\n[payment]\n{payment}\n")
    return [(found.name, found.grade) for found in payment_findings(read_settings(path))]


def test_a_booth_that_takes_no_money_is_not_looked_at(tmp_path):
    assert findings(tmp_path, 'backend = "none"', "") == []


def test_a_simulated_unit_and_a_sheet_without_a_price_are_said(tmp_path):
    prices = "documents = { us-passport-print = 11 }"
    assert findings(tmp_path, 'backend = "sim"', prices) == [("price", "warn"), ("payment", "warn")]


def test_a_validators_line_is_there_or_not(tmp_path):
    ours, theirs = pty.openpty()
    port = os.ttyname(theirs)
    assert findings(tmp_path, f'backend = "pulses"\nvalue = 50\nport = "{port}"') == [("payment", "ok")]
    for end in (ours, theirs):
        os.close(end)
    chip = f'backend = "pulses"\nvalue = 50\nchip = "{tmp_path}/none"\nline = 3'
    assert findings(tmp_path, chip) == [("payment", "stop"), ("payment_open", "warn")]
    assert findings(tmp_path, f"{chip}\nenable_line = 4") == [("payment", "stop")]


@pytest.mark.parametrize(("behaviour", "grade"), [("approved", "ok"), ("fault", "stop"), ("redirect", "stop")])
def test_a_terminal_is_asked(tmp_path: Path, behaviour, grade):
    (tmp_path / "token").write_text(f"{TOKEN}\n")
    wished(tmp_path, behaviour)
    with terminal_at(tmp_path) as port:
        chosen = f'backend = "terminal"\naddress = "http://127.0.0.1:{port}"\ntoken_file = "token"'
        assert findings(tmp_path, chosen) == [("payment", grade)]
    assert findings(tmp_path, chosen) == [("payment", "stop")], "it was switched off"
