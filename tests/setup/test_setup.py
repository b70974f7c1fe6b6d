"""`holdstill setup` as its user meets it: piped answers, a terminal, Ctrl-C, and a second time."""

import io
import os
import pty
import signal
import subprocess
import sys
from typing import get_args

import pytest

from kiosk.catalogue.badge_designs import read_design
from kiosk.cli import main
from kiosk.errors import AnswersEnded, CannotWrite, SettingsRefused
from kiosk.settings import read_settings
from kiosk.settings.cameras import AnyCamera
from kiosk.settings.printing import AnyPrinter
from kiosk.setup.ask import Terminal
from kiosk.setup.file import SYSTEM_PLACES, SettingsFile
from kiosk.setup.printing import PRINTERS
from kiosk.setup.questions import BACKENDS
from kiosk.setup.walk import walk
from kiosk.system.pin_hash import is_pin
from tests.support.printer_lab import printer_lab

PIN = "730195"
NEW = {
    "profile": "staffed",
    "name": "till 2",
    "camera": "uvc",
    "device": "0",
    "pixels": "1920x1080",
    "printer": "folder",
    "folder": "prints",
    "paper": "10x15cm",
    "margins": "4",
    "gutter": "2.5",
    "more": "-",
    "own": "-",
    "country": "gb",
    "documents": "gb-passport-print schengen-visa",
    "languages": "en, de",
    "price": "9,50",
    "currency": "gbp",
    "pin": "",
    "again": "",
    "release": "yes",
    "doubt": "yes",
    "reprint": "0",
    "write": "yes",
}


def lines(*taken_out, **changes):
    given = {**NEW, **changes}
    return [
        answer
        for name, answer in given.items()
        if name not in taken_out and (name not in ("again", "release", "doubt", "reprint") or given["pin"])
    ]


def walked(path, answers, system=None):
    shown = io.StringIO()
    file = SettingsFile(path, system) if system else SettingsFile(path)
    return walk(file, Terminal(io.StringIO("".join(f"{answer}\n" for answer in answers)), shown)), shown.getvalue()


def test_every_camera_and_printer_of_the_settings_can_be_chosen():
    """Except the simulated camera, which is only offered where it is set already."""
    cameras, printers = (
        {choice for kind in get_args(kinds) for choice in get_args(kind.model_fields["backend"].annotation)}
        for kinds in (AnyCamera, AnyPrinter)
    )
    assert BACKENDS.keys() == cameras - {"sim"}
    assert PRINTERS.keys() == printers


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


def test_a_second_time_enter_keeps_everything_with_comments_and_order(tmp_path):
    path = tmp_path / "booth.toml"
    walked(path, lines())
    text = path.read_text().replace("[paper]", "# our own remark\n[paper]").replace("shots = 4", "shots = 6  # patient")
    head, price = text.split("[prices]")
    confirmed = '[[confirmations]]\ndocument = "x"\nby = "y"\non = 2026-11-25\nsource = "z"\n'
    path.write_text(f"[prices]{price}\n{head}{confirmed}")
    before = path.read_text()
    written, _ = walked(path, [""] * 17 + ["yes"])
    assert written
    assert path.read_text() == before


def test_a_second_time_one_answer_changes_one_line(tmp_path):
    path = tmp_path / "booth.toml"
    walked(path, lines())
    before = path.read_text().splitlines()
    answers = [""] * 17 + ["yes"]
    answers[13] = "de"
    walked(path, answers)
    after = path.read_text().splitlines()
    assert [line for line in after if line not in before] == ['languages = ["de"]']
    assert len(after) == len(before)


def test_another_camera_takes_the_keys_of_the_old_one_away(tmp_path):
    path = tmp_path / "booth.toml"
    walked(path, lines())
    answers = ["", "", "folder", "card", "4000 x 6000", *[""] * 12, "yes"]
    written, shown = walked(path, answers)
    assert written, shown
    assert read_settings(path).camera.model_dump() == {
        "backend": "folder",
        "folder": "card",
        "keep": False,
        "still_px": (4000, 6000),
    }


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
    assert "of 50.8 x 50.8 mm do not fit" in " ".join(shown.split())


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


def event_answers(**changes):
    asked = {"design": "lanyard-a6", "roster": "event.db", "photos": "photos", "until": "2027-01-31", **changes}
    answers = lines("own", "country", "documents", "price", "currency", profile="event")
    at = answers.index("en, de")
    answers[at:at] = [answer for name, answer in asked.items() if answer is not None]
    return answers


def test_an_events_desk_is_asked_for_its_design_and_roster_and_no_documents(tmp_path):
    path = tmp_path / "b.toml"
    written, shown = walked(path, event_answers())
    assert written, shown
    assert f"holdstill roster import LIST --roster {tmp_path / 'event.db'}" in " ".join(shown.split())
    settings = read_settings(path)
    assert read_design(settings.path(settings.event.design)).id == "lanyard-a6"
    assert settings.path(settings.event.roster) == tmp_path / "event.db"
    assert (settings.event.photos_folder, str(settings.event.photos_until)) == ("photos", "2027-01-31")
    before = path.read_text()
    walked(path, [""] * 30)
    assert path.read_text() == before
    documents = ["-", "gb", "gb-passport-print"]
    written, shown = walked(path, ["staffed", *[""] * 10, *documents, *[""] * 20])
    assert written, shown
    assert read_settings(path).event is None


@pytest.mark.parametrize(
    ("wrong", "reason"),
    [
        ({"design": "no-such-design"}, "no-such-design does not exist; give one of the designs above, or a file"),
        ({"roster": "none/event.db"}, "is not a folder"),
        ({"roster": "mysql://host/event"}, "an address begins with postgresql+psycopg://"),
        ({"until": "in January"}, "give a day as 2027-01-31"),
    ],
)
def test_an_answer_on_an_event_that_does_not_do_is_asked_for_again(tmp_path, wrong, reason):
    answers = event_answers()
    ((name, text),) = wrong.items()
    good = {"design": "lanyard-a6", "roster": "event.db", "until": "2027-01-31"}[name]
    answers.insert(answers.index(good), text)
    written, shown = walked(tmp_path / "b.toml", answers)
    assert written, shown
    assert reason in " ".join(shown.split())


def test_answers_that_end_early_leave_the_file_as_it_was(tmp_path):
    path = tmp_path / "booth.toml"
    for count in (0, 5, len(lines()) - 1):
        with pytest.raises(AnswersEnded, match="nothing was written"):
            walked(path, lines()[:count])
        assert list(tmp_path.iterdir()) == []
    walked(path, lines())
    before = path.read_text()
    with pytest.raises(AnswersEnded):
        walked(path, ["event"])
    assert path.read_text() == before


def test_no_to_the_last_question_leaves_everything(tmp_path):
    written, shown = walked(tmp_path / "b.toml", lines(write="no"))
    assert not written
    assert "Nothing was changed" in shown
    assert list(tmp_path.iterdir()) == []


def test_on_a_booths_machine_everything_lies_where_its_service_may_write(tmp_path):
    path = tmp_path / "settings.toml"
    walked(path, lines(folder=""), system=tmp_path)
    settings = read_settings(path)
    assert settings.booth.session_folder == SYSTEM_PLACES["booth"]["session_folder"] == "/run/holdstill"
    assert settings.printer.folder == "/var/lib/holdstill/prints"
    assert str(settings.ledger) == "/var/lib/holdstill/ledger.sqlite3"
    assert settings.logs.folder == "/var/log/holdstill"


def test_a_file_with_a_fault_is_left_to_a_person(tmp_path):
    path = tmp_path / "booth.toml"
    path.write_text("[booth]\nshotz = 3\n")
    with pytest.raises(SettingsRefused):
        SettingsFile(path)
    with pytest.raises(CannotWrite, match="its folder does not exist"):
        SettingsFile(tmp_path / "none" / "booth.toml")


def test_the_command_goes_on_to_try_the_booth(tmp_path, monkeypatch, capsys):
    path = tmp_path / "booth.toml"
    answers = lines(camera="folder", device="card", pin=PIN, again=PIN)
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n".join([*answers, "no", "yes"]) + "\n"))
    assert main(["setup", "--settings", str(path)]) == 0
    told = capsys.readouterr().out
    assert "camera.folder:" in " ".join(told.split())
    assert "The attendant's PIN is set." in told
    assert PIN not in told


def test_ctrl_c_at_a_terminal_writes_nothing(tmp_path):
    parent, child = pty.openpty()
    heeding = ["env", "--default-signal=INT"]  # a background shell hands an ignored interrupt down
    command = [*heeding, sys.executable, "-m", "kiosk.cli", "setup", "--settings", tmp_path / "booth.toml"]
    with subprocess.Popen(command, stdin=child, stdout=child, stderr=child, start_new_session=True) as walk_process:
        os.close(child)
        try:
            heard = b""
            while b"Which [self-service]" not in heard:
                heard += os.read(parent, 4096)
            os.write(parent, b"2\n")
            while b"on this machine" not in heard:
                heard += os.read(parent, 4096)
            walk_process.send_signal(signal.SIGINT)
            assert walk_process.wait(timeout=60) == 130
        finally:
            walk_process.kill()
    os.close(parent)
    assert list(tmp_path.iterdir()) == []


def test_lengths_that_are_no_numbers_are_asked_for_again_in_words(tmp_path):
    answers = lines()
    index = answers.index("4")
    answers.insert(index, "narrow")
    written, shown = walked(tmp_path / "b.toml", answers)
    assert written, shown
    assert "give 4 lengths of 0 to 50 mm" in " ".join(shown.split())
    assert "convert" not in shown
