"""An event's list from the command line: taken whole or not at all, searched, added to, printed and counted."""

from contextlib import closing
from pathlib import Path

import pytest
from pypdf import PdfReader

from kiosk.cli import main
from kiosk.store.roster.database import Database
from kiosk.store.roster.roster import Roster
from kiosk.system.clock import SystemClock

DESIGN = Path(__file__).parents[2] / "specs" / "badges" / "card-photo-left.toml"


@pytest.fixture
def roster(tmp_path, capsys):
    def run(action, *arguments):
        code = main(["roster", action, *map(str, arguments), "--roster", str(tmp_path / "event.db")])
        return code, *capsys.readouterr()

    return run


@pytest.fixture
def a_list(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("Ticket;First name;Last name;Type\nE1;Ada;Lind;visitor\nE2;Βίκυ;Ρήγα;speaker\n")
    return path


def test_an_event_from_its_list_to_its_report(roster, a_list, tmp_path):
    code, out, told = roster("import", a_list, "--design", DESIGN)
    assert (code, out) == (0, "2 people: 2 new, 0 changed, 0 no longer on the list\n")
    assert "name <- First name + Last name" in told
    assert roster("add", "W1", "Noor Öz", "role=staff")[0] == 0
    assert roster("find", "noor")[1] == "W1  Noor Öz\n"
    sheet = tmp_path / "badges.pdf"
    assert roster("badges", "--design", DESIGN, "--paper", "card", "-o", sheet)[0] == 0
    assert len(PdfReader(sheet).pages) == 3
    assert "badge 1 made at desk" in roster("find", "E1")[1]
    code, out, _ = roster("report", "-o", tmp_path / "report.pdf")
    assert "walk-ins         1" in out
    assert "desk: 3 badges" in out
    assert len(PdfReader(tmp_path / "report.pdf").pages) == 1


def test_nothing_of_a_list_with_a_bad_row_is_taken(roster, a_list):
    a_list.write_text(a_list.read_text() + "E1;Twice;Told;staff\n")
    code, _, told = roster("import", a_list)
    assert code == 12
    assert "line 4: id: 'E1' is already on line 2" in told
    assert roster("find", "ada")[1] == ""


def test_a_trial_changes_nothing(roster, a_list):
    assert roster("import", a_list, "--try")[1] == "2 people can be imported; nothing was changed\n"
    assert roster("find", "ada")[1] == ""


@pytest.mark.parametrize(
    ("action", "arguments", "code", "words"),
    [
        ("import", ["--map", "name=Nickname"], 2, "has no heading 'Nickname'"),
        ("import", ["--map", "name"], 2, "COLUMN=HEADING"),
        ("add", ["E9", "  "], 2, "name: it is empty"),
        ("add", ["E9", "Ada", "role"], 2, "COLUMN=VALUE"),
    ],
)
def test_a_wrong_command_is_told(roster, a_list, action, arguments, code, words):
    given = [a_list, *arguments] if action == "import" else arguments
    found, _, told = roster(action, *given)
    assert (found, words in told) == (code, True)


def test_badges_that_cannot_be_written_have_failed_and_are_tried_again(roster, a_list, tmp_path):
    roster("import", a_list)
    nowhere = tmp_path / "none" / "badges.pdf"
    assert roster("badges", "--design", DESIGN, "--paper", "a4", "-o", nowhere)[0] == 9
    assert roster("badges", "--design", DESIGN, "--paper", "a4", "-o", tmp_path / "badges.pdf")[0] == 0
    again = roster("badges", "--design", DESIGN, "--paper", "a4", "-o", tmp_path / "badges.pdf")
    assert (again[0], "everybody on the list has a badge" in again[2]) == (2, True)


def figures(out):
    """Return the report's key figures by name."""
    return {line[:18].strip(): int(line[18:]) for line in out.splitlines() if not line.startswith("  ")}


def test_who_has_a_badge_in_a_file_has_not_arrived(roster, a_list, tmp_path):
    roster("import", a_list)
    roster("badges", "--design", DESIGN, "--paper", "a4", "-o", tmp_path / "badges.pdf")
    counted = figures(roster("report")[1])
    assert (counted["arrived"], counted["missing"], counted["badge waiting"], counted["badges printed"]) == (0, 2, 2, 2)
    assert roster("arrived", "E1")[:2] == (0, "E1 has arrived\n")
    counted = figures(roster("report")[1])
    assert (counted["arrived"], counted["missing"], counted["badge waiting"], counted["badges printed"]) == (1, 1, 1, 2)
    code, _, told = roster("arrived", "E1")
    assert (code, "No badge made beforehand waits for 'E1'" in told) == (12, True)
    assert roster("arrived", "E7")[0] == 12


def test_a_lost_badge_printed_anew_leaves_its_person_arrived_or_not(roster, a_list, tmp_path):
    roster("import", a_list)
    badges = ("badges", "--design", DESIGN, "--paper", "a4", "-o", tmp_path / "badges.pdf")
    roster(*badges)
    roster("arrived", "E1")
    assert roster(*badges, "--reprint", "E1", "E2")[1].startswith("2 badges of")
    counted = figures(roster("report")[1])
    assert (counted["arrived"], counted["badge waiting"], counted["of them reprints"]) == (1, 1, 2)
    assert roster(*badges, "--reprint", "E1")[1].startswith("1 badge of")


@pytest.mark.parametrize("rows", ["", ";;\n\n"], ids=["none", "empty"])
def test_a_list_that_names_nobody_takes_nobody_off(roster, a_list, tmp_path, rows):
    roster("import", a_list)
    empty = tmp_path / "empty.csv"
    empty.write_text(f"Ticket;First name;Last name\n{rows}")
    code, _, told = roster("import", empty)
    assert (code, "names nobody" in told) == (12, True)
    assert roster("find", "ada")[1] == "E1  Ada Lind\n"


@pytest.mark.parametrize(
    "action",
    [
        ["find", "ada"],
        ["add", "W1", "Noor"],
        ["arrived", "E1"],
        ["report"],
        ["badges", "--design", DESIGN, "--paper", "a4", "-o", "badges.pdf"],
        ["release", "north"],
    ],
)
def test_only_an_import_makes_a_roster(roster, tmp_path, action):
    code, _, told = roster(*action)
    assert (code, "There is no roster" in told) == (12, True)
    assert list(tmp_path.iterdir()) == []


def test_an_id_that_somebody_has_is_not_given_twice(roster, a_list):
    roster("import", a_list)
    code, _, told = roster("add", "E1", "Somebody Else")
    assert (code, "The id 'E1' is on the roster already" in told) == (12, True)
    assert "badge" not in told.partition("\n")[0]
    assert roster("find", "E1")[1] == "E1  Ada Lind\n"


def test_one_of_a_thing_is_one(roster, tmp_path):
    path = tmp_path / "one.csv"
    path.write_text("id,name\nE1,Ada\n")
    assert roster("import", path, "--try")[1].startswith("1 person can be imported")
    assert roster("import", path)[1].startswith("1 person: 1 new")


def test_no_badge_is_left_begun_where_another_one_cannot_be_made(roster, a_list, tmp_path):
    """Another desk prints the second one at this moment."""
    roster("import", a_list)
    with closing(Roster(Database(f"sqlite:///{tmp_path / 'event.db'}"), "north", SystemClock())) as other:
        other.begin("E2", with_photo=True)
        badges = ("badges", "--design", DESIGN, "--paper", "a4", "-o", tmp_path / "badges.pdf")
        code, _, told = roster(*badges, "--reprint", "E1", "E2")
        assert (code, "E2 has a badge from north" in told) == (12, True)
        (first,) = other.find("E1")
    assert [badge.state for badge in first.badges] == ["failed"]
    assert not (tmp_path / "badges.pdf").exists()
