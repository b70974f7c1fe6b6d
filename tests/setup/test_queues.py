"""Print queues in `holdstill setup`: their scale, a second one with its paper, and the advice on a known printer."""

import pytest

from kiosk.settings import read_settings
from tests.support.printer_lab import printer_lab
from tests.support.setup_walk import PIN, lines, walked


def test_a_queue_of_the_print_server_is_set_and_its_scale_to_be_proven(tmp_path):
    answers = lines(printer="cups", folder="photo-4x6")
    at = answers.index("photo-4x6") + 1
    answers[at:at] = ["yes", "-"]
    written, shown = walked(tmp_path / "b.toml", answers)
    assert written, shown
    assert "holdstill ruler" in shown
    printer = read_settings(tmp_path / "b.toml").printer
    assert (printer.backend, printer.queue, printer.borderless) == ("cups", "photo-4x6", True)


def test_a_second_queue_and_another_paper_are_set_kept_and_taken_out_again(tmp_path):
    path = tmp_path / "b.toml"
    answers = lines(printer="cups", folder="photo", pin=PIN, again=PIN, reprint="15", more="5x7in")
    at = answers.index("photo") + 1
    answers[at:at] = ["no", "photo", "spare"]
    at = answers.index("5x7in") + 1
    answers[at:at] = ["2, 3, 2, 3", "spare"]
    written, shown = walked(path, answers)
    assert written, shown
    assert "that is the first queue; give another one, or - for none" in " ".join(shown.split())
    settings = read_settings(path)
    assert settings.printer.second.queue == "spare"
    (more,) = settings.paper.more
    assert (more.medium, more.margins_mm, more.queue) == ("5x7in", (2.0, 3.0, 2.0, 3.0), "spare")
    assert settings.attendant.reprint_minutes == 15
    path.write_text(path.read_text().replace('medium = "5x7in"', 'medium = "5x7in"\nextra = 2.5  # ours'))
    before = path.read_text()
    written, shown = walked(path, [""] * 30)
    assert written, shown
    assert path.read_text() == before, "also what setup does not ask for"
    walked(path, [*[""] * 8, "-", "", "", "", "-", *[""] * 20])
    settings = read_settings(path)
    assert (settings.printer.second, settings.paper.more) == (None, [])


SELPHY = """*PPD-Adobe: "4.3"
*FormatVersion: "4.3"
*FileVersion: "1.0"
*LanguageVersion: English
*LanguageEncoding: ISOLatin1
*PCFileName: "SELPHY.PPD"
*Manufacturer: "Canon"
*Product: "(SELPHY)"
*ModelName: "Canon SELPHY CP1300"
*ShortNickName: "Canon SELPHY CP1300"
*NickName: "Canon SELPHY CP1300 - CUPS+Gutenprint v5.3.4"
*PSVersion: "(3010) 0"
*ColorDevice: True
*OpenUI *PageSize: PickOne
*DefaultPageSize: Postcard
*PageSize Postcard/Postcard: ""
*CloseUI: *PageSize
*OpenUI *PageRegion: PickOne
*DefaultPageRegion: Postcard
*PageRegion Postcard/Postcard: ""
*CloseUI: *PageRegion
*DefaultImageableArea: Postcard
*ImageableArea Postcard/Postcard: "0 0 299.52 449.28"
*DefaultPaperDimension: Postcard
*PaperDimension Postcard/Postcard: "299.52 449.28"
"""
"""A queue as Gutenprint 5.3.4 describes one, as far as it is looked at here."""


@pytest.fixture
def postcards(tmp_path, monkeypatch):
    """Run a print server with a queue of that description, which setup's own commands ask, as on a booth."""
    description = tmp_path / "selphy.ppd"
    description.write_text(SELPHY)
    with printer_lab() as lab:
        lab.lpadmin("-p", "postcards", "-E", "-v", "file:///dev/null", "-P", str(description))
        monkeypatch.setenv("CUPS_SERVER", lab.address)
        yield


def postcard_answers(*, advised, margins):
    answers = lines(printer="cups", folder="postcards", paper="hagaki", margins=margins)
    for after, more in (("postcards", [advised, "yes", "-"]), ("hagaki", [advised])):
        at = answers.index(after) + 1
        answers[at:at] = more
    return answers


@pytest.mark.usefixtures("postcards")
def test_a_queue_that_is_known_brings_its_options_and_its_own_size_of_paper(tmp_path):
    path = tmp_path / "b.toml"
    written, shown = walked(path, postcard_answers(advised="yes", margins=""))
    assert written, shown
    words = " ".join(shown.split())
    assert "This queue is one of: Canon SELPHY CP from the CP820 on, postcard." in words
    assert "calls this paper Postcard and prints 105.7 x 158.5 mm" in words
    settings = read_settings(path)
    assert settings.printer.options == {"StpBorderless": "True", "StpiShrinkOutput": "Crop"}
    assert settings.paper.medium == "custom_postcard_105.7x158.5mm"
    assert settings.paper.margins_mm == (5.9, 8.3, 5.9, 8.3)
    before = path.read_text()
    written, shown = walked(path, [""] * 30)
    assert written, shown
    assert path.read_text() == before, "nothing is asked of what is set already"


@pytest.mark.usefixtures("postcards")
def test_advice_that_is_not_taken_changes_nothing(tmp_path):
    written, shown = walked(tmp_path / "b.toml", postcard_answers(advised="no", margins="4"))
    assert written, shown
    settings = read_settings(tmp_path / "b.toml")
    assert (settings.printer.options, settings.paper.medium) == ({}, "hagaki")
