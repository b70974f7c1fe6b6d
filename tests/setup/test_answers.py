"""The answers to `holdstill setup`: where they land in the file, and which of them are asked for again."""

from typing import get_args

import pytest

from kiosk.settings import read_settings
from kiosk.settings.cameras import AnyCamera
from kiosk.settings.payment import AnyPayment
from kiosk.settings.printing import AnyPrinter
from kiosk.setup.payment import PAYMENTS
from kiosk.setup.printing import PRINTERS
from kiosk.setup.questions import BACKENDS
from kiosk.system.pin_hash import is_pin
from tests.support.setup_walk import PIN, lines, walked


def test_every_camera_printer_and_payment_unit_of_the_settings_can_be_chosen():
    """Except what is simulated, which is only offered where it is set already."""
    cameras, printers, payments = (
        {choice for kind in get_args(kinds) for choice in get_args(kind.model_fields["backend"].annotation)}
        for kinds in (AnyCamera, AnyPrinter, AnyPayment)
    )
    assert BACKENDS.keys() == cameras - {"sim"}
    assert PRINTERS.keys() == printers
    assert PAYMENTS.keys() == payments - {"sim"}


def test_every_answer_lands_in_the_file_as_the_booth_reads_it(tmp_path):
    path = tmp_path / "booth.toml"
    written, _ = walked(path, lines(pin=PIN, again=PIN))
    assert written
    settings = read_settings(path)
    assert (settings.booth.profile, settings.booth.name) == ("staffed", "till 2")
    assert (settings.camera.backend, settings.camera.device, settings.camera.still_px) == ("uvc", 0, (1920, 1080))
    assert (settings.paper.medium, settings.paper.margins_mm, settings.paper.gutter_mm) == ("10x15cm", (4.0,) * 4, 2.5)
    assert settings.booth.documents == ["gb-passport-print", "schengen-visa"]
    assert settings.booth.languages == ["en", "de"]
    assert (str(settings.prices.of("schengen-visa")), settings.prices.currency) == ("9.5", "GBP")
    assert is_pin(PIN, settings.attendant.pin_hash)
    assert settings.attendant.release == "attendant"
    text = path.read_text()
    assert PIN not in text
    assert text.count("\n# ") > 10
    assert path.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize(
    ("country", "profile", "first"),
    [("GB", "staffed", "gb-passport-print"), ("-", "staffed", "icao-generic")],
)
def test_what_such_a_booth_usually_offers_is_the_default(tmp_path, country, profile, first):
    walked(tmp_path / "b.toml", lines(country=country, profile=profile, documents=""))
    assert read_settings(tmp_path / "b.toml").booth.documents[0] == first


def test_an_answer_that_does_not_do_is_asked_for_again_with_the_reason(tmp_path):
    answers = ["9", *lines(pin=PIN, again=PIN)]
    answers.insert(8, "a3x")  # the paper
    answers.insert(10, "1, 2")  # its margins
    at = answers.index("gb-passport-print schengen-visa")
    answers.insert(at, "gb-pasport")
    at = answers.index("9,50")
    answers.insert(at, "cheap")
    at = answers.index(PIN)
    answers[at:at] = ["123456", "123456", PIN, "000000"]
    written, shown = walked(tmp_path / "b.toml", answers)
    assert written, shown
    for reason in (
        "give a number from 1 to 3",
        "No paper is called 'a3x'",
        "give 4 lengths",
        "'gb-pasport' is not known",
        "give a number, such as 9.50",
        "its digits are in",
        "The two are not the same",
    ):
        assert reason in shown


@pytest.mark.parametrize(("answer", "doubt", "decides"), [("no", "sitter", "sitter"), ("", None, "attendant")])
def test_who_decides_on_a_doubtful_photo_is_asked_where_there_is_an_attendant(tmp_path, answer, doubt, decides):
    path = tmp_path / "b.toml"
    written, shown = walked(path, lines(pin=PIN, again=PIN, doubt=answer))
    assert written, shown
    assert "a doubtful photo" in shown
    settings = read_settings(path).attendant
    assert (settings.doubt, settings.decides) == (doubt, decides)
    before = path.read_text()
    walked(path, [""] * 30)
    assert path.read_text() == before


def test_documents_that_do_not_fit_the_paper_are_asked_for_again(tmp_path):
    """On 100 x 150 mm with margins of 25 mm there is room for 35 x 45 mm, and none for 50.8 x 50.8 mm."""
    answers = lines(margins="25")
    answers.insert(answers.index("gb-passport-print schengen-visa"), "us-passport-print")
    written, shown = walked(tmp_path / "b.toml", answers)
    assert written
    assert "holds at most 0 of 50.8 x 50.8 mm within its margins, and not 1" in " ".join(shown.split())


def test_lengths_that_are_no_numbers_are_asked_for_again_in_words(tmp_path):
    answers = lines()
    index = answers.index("4")
    answers.insert(index, "narrow")
    written, shown = walked(tmp_path / "b.toml", answers)
    assert written, shown
    assert "give 4 lengths of 0 to 50 mm" in " ".join(shown.split())
    assert "convert" not in shown
