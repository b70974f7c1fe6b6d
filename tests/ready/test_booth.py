"""The whole list, as the command prints it, as its JSON, and what of it keeps the booth shut."""

import json
import os
from datetime import UTC, datetime, time, timedelta

import pytest

from kiosk.booth.desk_assembly import standing
from kiosk.cli import main
from kiosk.commands.ready import whole
from kiosk.core.view.finding import stopping
from kiosk.devices.base import ColourStanding, PrinterStanding
from kiosk.ready.printer import printer_findings
from kiosk.ready.table import WIDTH, table
from kiosk.settings import read_settings
from kiosk.store.desk_memory import DeskMemory, Remembered
from kiosk.store.one_booth import only_booth
from tests.support.manual_clock import ManualClock
from tests.support.shipped import CATALOGUE

NOW = max(document.read_on for document in CATALOGUE.documents.values())
"""Whatever the year and the hour are: a calendar at which none of the rules is old."""
NOON_S = datetime.combine(NOW, time(12), UTC).timestamp()
SETTINGS = """
[booth]
documents = ["gb-passport-print", "{document}"]
session_folder = "session"
[camera]
backend = "{backend}"
{where}
[printer]
backend = "folder"
folder = "prints"
[paper]
medium = "{paper}"
"""
WEBCAM = 'device = "/dev/v4l/by-id/none"'


def written(tmp_path, document="us-passport-print", backend="uvc", where=WEBCAM, paper="4x6in"):
    path = tmp_path / "booth.toml"
    path.write_text(SETTINGS.format(document=document, backend=backend, where=where, paper=paper))
    return path


def stand(path, day=NOW):
    os.utime(path, (NOON_S, NOON_S))
    return standing(read_settings(path), ManualClock(day=day))


def named(findings, name):
    return [finding for finding in findings if finding.name == name]


@pytest.mark.parametrize(
    ("backend", "where", "key"),
    [("uvc", WEBCAM, "camera.device"), ("folder", 'folder = "card"', "camera.folder")],
)
def test_a_missing_device_is_named_with_file_and_key(tmp_path, backend, where, key):
    (finding,) = named(stand(written(tmp_path, backend=backend, where=where)), "camera")
    assert finding.grade == "stop"
    assert finding.sentence.startswith(f"{tmp_path / 'booth.toml'}: {key}: /")
    assert finding.sentence.endswith("does not exist.")


def test_a_simulated_camera_is_never_passed_over(tmp_path):
    (finding,) = named(stand(written(tmp_path, backend="sim", where='pictures = "sitter"')), "camera")
    assert not finding.good
    assert "simulated" in finding.sentence


def test_a_printer_that_cannot_print_stops_with_its_own_next_step(tmp_path):
    (tmp_path / "prints").touch()
    (finding,) = named(stand(written(tmp_path)), "printer")
    assert finding.grade == "stop"
    assert finding.next_step


@pytest.mark.parametrize(
    ("first", "second", "grades"),
    [
        ({}, {}, ["ok", "ok"]),
        ({"obstacle": "No paper."}, {}, ["warn", "ok"]),
        ({"obstacle": "No paper."}, {"refusal": "Its scale is not proven."}, ["stop", "stop"]),
    ],
)
def test_of_two_printers_one_must_do(first, second, grades):
    standings = [PrinterStanding("one", "4x6in", **first), PrinterStanding("two", "4x6in", **second)]
    assert [finding.grade for finding in printer_findings(standings, NOW)] == grades


def test_a_paper_that_no_printer_can_print_on_keeps_the_booth_closed_as_it_does_when_it_runs():
    standings = [
        PrinterStanding("one", "4x6in"),
        PrinterStanding("two", "4x6in", "No paper."),
        PrinterStanding("wide", "5x7in", "A cover is open."),
    ]
    found = list(printer_findings(standings, NOW))
    assert [finding.grade for finding in found] == ["ok", "warn", "stop"]
    assert found[1].sentence == "No paper."
    assert found[2].sentence == "A cover is open. Nothing can be printed on 5x7in."


@pytest.mark.parametrize(("due", "grade"), [(False, "ok"), (True, "warn")])
def test_the_last_ruler_page_is_told_with_its_age_and_error(due, grade):
    standing = PrinterStanding("one", "4x6in", measured_on=NOW - timedelta(days=61), error=0.0031, due=due)
    _, page = printer_findings([standing], NOW)
    assert (page.value, page.grade) == (61, grade)
    assert "off by at most 0.31 %" in page.sentence


@pytest.mark.parametrize(
    ("changes", "grade", "words"),
    [
        ({}, "ok", "at most 2.5 off neutral and 3.1 off in L*."),
        ({"drift": 1.24}, "ok", "moved by 1.2 since the page before"),
        ({"due": True}, "warn", ""),
        ({"refusal": "its profile has changed"}, "warn", "It is no proof: its profile has changed."),
    ],
)
def test_the_last_colour_page_is_shown_with_its_age_and_errors(changes, grade, words):
    colour = ColourStanding(NOW - timedelta(days=12), 2.5, 3.1, **changes)
    _, page = printer_findings([PrinterStanding("one", "4x6in", colour=colour)], NOW)
    assert (page.name, page.value, page.grade) == ("colour_page", 12, grade)
    assert words in page.sentence
    assert "holdstill colour" in page.next_step


@pytest.mark.parametrize(("edge_mm", "grades"), [(None, ["ok"]), (0.0, ["ok", "warn"]), (2.0, ["ok", "ok"])])
def test_a_sheet_too_near_to_the_edge_of_a_paper_without_borders_is_warned_of(edge_mm, grades):
    found = list(printer_findings([PrinterStanding("one", "4x6in", edge_mm=edge_mm)], NOW))
    assert [finding.grade for finding in found] == grades


@pytest.mark.parametrize(
    ("edge_mm", "place", "step"),
    [(0.3, "keeps 0.3 mm from the edge", "by 1.7 mm or more"), (-0.2, "reaches 0.2 mm over", "by 2.2 mm or more")],
)
def test_a_sheet_too_near_to_the_edge_is_told_by_how_much(edge_mm, place, step):
    _, found = printer_findings([PrinterStanding("one", "4x6in", edge_mm=edge_mm)], NOW)
    assert place in found.sentence
    assert step in found.next_step


def test_rules_older_than_a_year_are_told_with_their_age(tmp_path):
    path = written(tmp_path)
    assert named(stand(path), "rules_age") == []
    old = named(stand(path, NOW + timedelta(days=366)), "rules_age")
    assert [finding.grade for finding in old] == ["warn", "warn"]
    assert old[0].value > 365


def test_a_paper_too_small_for_a_photo_stops(tmp_path):
    path = written(tmp_path, document="event-badge-id1")
    path.write_text(path.read_text() + "margins_mm = [45.0, 60.0, 45.0, 60.0]\n")
    findings = named(stand(path), "fit")
    assert findings
    assert stopping(findings) is findings[0]


def test_the_table_fits_a_terminal_and_gives_each_fault_its_next_step(tmp_path):
    findings = stand(written(tmp_path))
    shown = table(findings)
    assert max(len(line) for line in shown.splitlines()) <= WIDTH
    assert shown.count("> ") == sum(not finding.good for finding in findings)
    assert f"The booth stays closed: 1 of {len(findings)} checks prevent opening" in shown


def test_the_command_ends_with_1_where_something_is_wrong_and_its_json_holds_all(tmp_path, capsys):
    path = written(tmp_path, backend="folder", where='folder = "card"')
    assert main(["ready", "--settings", str(path), "--json"]) == 1
    entries = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert {entry["subject"] for entry in entries} == {"camera", "printer", "documents", "machine", "program", "site"}
    assert {entry["grade"] for entry in entries} <= {"ok", "warn", "stop"}
    assert all(entry["next_step"] for entry in entries if not entry["good"])


@pytest.mark.parametrize(
    ("document", "profile", "told"),
    [
        ("us-passport-print", "self-service", False),
        ("my-student-pass", "self-service", True),
        ("my-student-pass", "staffed", False),
        ("de-passport-id", "staffed", True),
    ],
)
def test_a_document_that_may_be_of_no_use_is_told_where_nobody_explains_it(tmp_path, document, profile, told):
    path = written(tmp_path, document=document)
    path.write_text(path.read_text().replace("[booth]", f'[booth]\nprofile = "{profile}"'))
    assert [finding.value for finding in named(stand(path), "channel")] == [document] * told


def test_a_camera_that_the_running_booth_has_is_not_tried(tmp_path):
    (tmp_path / "card").mkdir()
    settings = read_settings(written(tmp_path, backend="folder", where='folder = "card"'))
    with only_booth(settings.file, "", tmp_path / "session"):
        finding = whole(settings)[0]
    assert finding.grade == "warn"
    assert "The camera was not tried" in finding.sentence
    assert finding.next_step == "Stop the booth, then try again."


@pytest.mark.parametrize(("sheets", "grade"), [(11, "ok"), (10, "warn"), (1, "warn"), (0, "stop")])
def test_the_sheets_left_are_told_by_the_attendants_count(tmp_path, sheets, grade):
    DeskMemory(tmp_path / "state" / "desk.json").put(Remembered(sheets=sheets))
    path = written(tmp_path)
    path.write_text(path.read_text().replace("[booth]", '[booth]\nstate_folder = "state"'))
    (finding,) = named(stand(path), "sheets_left")
    assert (finding.value, finding.grade, finding.subject) == (sheets, grade, "paper")


def test_a_booth_that_the_attendant_has_shut_stays_so(tmp_path):
    DeskMemory(tmp_path / "state" / "desk.json").put(Remembered(is_shut=True))
    path = written(tmp_path)
    path.write_text(path.read_text().replace("[booth]", '[booth]\nstate_folder = "state"'))
    (finding,) = named(stand(path), "out_of_order")
    assert finding.grade == "stop"
    assert "Open it again" in finding.next_step
