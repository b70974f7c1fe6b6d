"""How the setup asks for a payment unit, and what it refuses."""

import pytest

from kiosk.settings import read_settings
from tests.support.setup_walk import lines, walked


def answered(path, payment, *more):
    answers = lines(payment=payment)
    at = answers.index(payment, answers.index("gbp")) + 1
    return walked(path, [*answers[:at], *more, *answers[at:]])


def test_a_validator_lands_in_the_settings(tmp_path):
    path = tmp_path / "booth.toml"
    assert answered(path, "pulses", "0.5", "50", "ttyUSB0", "/dev/ttyUSB0")[0]
    chosen = read_settings(path).payment
    assert (chosen.backend, chosen.value, chosen.port, chosen.chip) == ("pulses", 50, "/dev/ttyUSB0", "")
    assert answered(path, "pulses", "100", "/dev/gpiochip0 17")[0]
    chosen = read_settings(path).payment
    assert (chosen.value, chosen.port, chosen.chip, chosen.line) == (100, "", "/dev/gpiochip0", 17)


def test_a_terminal_lands_in_the_settings_and_only_a_local_one(tmp_path):
    path = tmp_path / "booth.toml"
    (tmp_path / "terminal.pem").write_text("a certificate")
    more = ("https://8.8.8.8", "https://192.168.1.20:8443", "none.pem", "terminal.pem", "-")
    done, shown = answered(path, "terminal", *more)
    assert done
    assert "no address of a local network" in shown
    chosen = read_settings(path).payment
    assert (chosen.address, chosen.certificate, chosen.token_file) == ("https://192.168.1.20:8443", "terminal.pem", "")
    assert answered(path, "none")[0]
    assert read_settings(path).payment.backend == "none"


def test_nobody_is_asked_where_nothing_costs_anything(tmp_path):
    path = tmp_path / "booth.toml"
    assert walked(path, lines("currency", "payment", price="-"))[0]
    assert read_settings(path).payment.backend == "none"


@pytest.mark.parametrize(
    "wrong",
    [
        'port = "/dev/ttyUSB0"\nchip = "/dev/gpiochip0"\nline = 1',
        'chip = "/dev/gpiochip0"',
        "line = 1",
        "",
        'chip = "/dev/gpiochip0"\nline = 1\nenable_line = 1',
    ],
)
def test_a_validator_has_exactly_one_line(tmp_path, wrong):
    from kiosk.errors import SettingsRefused

    path = tmp_path / "booth.toml"
    walked(path, lines())
    path.write_text(path.read_text().replace('backend = "none"', f'backend = "pulses"\nvalue = 50\n{wrong}'))
    with pytest.raises(SettingsRefused, match="payment"):
        read_settings(path)
