"""`documents` for a clerk: finding, confirming, checking the age of values, and a review on paper and back."""

import json
import os
from datetime import timedelta
from pathlib import Path

import pytest

from kiosk.catalogue.documents import Catalogue
from kiosk.cli import main
from kiosk.settings import read_settings
from kiosk.system.clock import SystemClock

SETTINGS = """# The corner shop's booth
[booth]
documents = ["my-passport"]  # only this one
rules_last_days = 3650

[camera]
backend = "uvc"

[printer]
backend = "folder"
folder = "prints"
"""
TODAY = SystemClock().today()
YESTERDAY = TODAY - timedelta(days=1)
CONFIRM = ("--by", "A. Sample", "--source", "the law of the day")


def run(*arguments: object) -> int:
    return main([str(argument) for argument in arguments])


@pytest.fixture
def settings(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text(SETTINGS, encoding="utf-8")
    return path


def rewritten(settings: Path, old: str, new: str) -> None:
    text = settings.read_text(encoding="utf-8")
    assert old in text
    settings.write_text(text.replace(old, new), encoding="utf-8")


class TestFinding:
    def test_a_word_in_any_letter_case(self, capsys):
        assert run("documents", "GERMAN") == 0
        assert "de-passport-id: German passport" in capsys.readouterr().out
        assert run("documents", "uk", "digital") == 0
        assert capsys.readouterr().out.startswith("UK passport, digital photo")

    def test_only_ids_are_compared_for_one_shot(self, capsys):
        assert run("documents", "TR", "photo") in (0, 6)
        capsys.readouterr()
        assert run("documents", "turkish", "driving") == 0
        assert "shot" not in capsys.readouterr().out.lower()
        assert run("documents", "AU-passport", "it-cie") == 0
        assert "One shot" in capsys.readouterr().out

    def test_nothing_found(self, capsys):
        assert run("documents", "atlantis") == 6
        assert "atlantis" in capsys.readouterr().err


class TestConfirming:
    def test_a_day_to_come_is_refused(self, settings, capsys):
        before = settings.read_bytes()
        tomorrow = TODAY + timedelta(days=1)
        code = run("documents", "confirm", "my-passport", "--settings", settings, *CONFIRM, "--on", tomorrow)
        assert code == 2
        assert "yet to come" in capsys.readouterr().err
        assert settings.read_bytes() == before

    def test_it_does_not_pile_up(self, settings, capsys):
        for day in (YESTERDAY, TODAY, TODAY, YESTERDAY):
            assert run("documents", "confirm", "MY-passport", "--settings", settings, *CONFIRM, "--on", day) == 0
        assert "already has this" in capsys.readouterr().err
        (kept,) = read_settings(settings).confirmations
        assert kept.on == TODAY
        assert settings.read_text(encoding="utf-8").startswith("# The corner shop's booth")

    def test_it_is_shown(self, settings, capsys):
        assert run("documents", "confirm", "my-passport", "--settings", settings, *CONFIRM, "--on", TODAY) == 0
        capsys.readouterr()
        assert run("documents", "my-passport", "--settings", settings) == 0
        assert f"Confirmed by A. Sample on {TODAY}: the law of the day." in capsys.readouterr().out
        assert run("documents", "malaysia", "--settings", settings) == 0
        assert f"confirmed {TODAY}" in capsys.readouterr().out
        assert run("documents", "my-passport", "--json", "--settings", settings) == 0
        (found,) = json.loads(capsys.readouterr().out)
        assert (found["confirmed"]["on"], found["hidden"]) == (TODAY.isoformat(), False)

    def test_lines_of_the_settings_written_by_hand_stay(self, settings):
        """An inline list of confirmations, as a person may write it, is added to and thinned out as well."""
        line = f'confirmations = [{{ document = "my-passport", by = "B", on = {YESTERDAY}, source = "x" }}]\n'
        settings.write_text(line + settings.read_text(encoding="utf-8"), encoding="utf-8")
        assert run("documents", "confirm", "my-passport", "--settings", settings, *CONFIRM, "--on", TODAY) == 0
        assert [each.by for each in read_settings(settings).confirmations] == ["A. Sample"]


class TestAge:
    def test_values_older_than_the_shops_limit(self, settings, capsys):
        assert run("documents", "--check", "--settings", settings) == 0
        assert "no value was read or confirmed more than 3650 days ago" in capsys.readouterr().out
        rewritten(settings, "rules_last_days = 3650", "rules_last_days = 1")
        oldest = Catalogue.load().get("my-passport").read_on
        expected = (TODAY - oldest).days > 1
        assert run("documents", "--check", "--settings", settings) == int(expected)
        said = capsys.readouterr()
        assert (f"my-passport: read on {oldest}, " in said.out) == expected
        assert "gb-passport-print" not in said.out, "only what the booth offers, where nothing is named"

    def test_a_word_is_no_folder(self, settings, capsys):
        assert run("documents", "--check", "germany", "--settings", settings) == 2
        assert "`documents germany --check`" in capsys.readouterr().err
        assert run("documents", "germany", "--check", "--settings", settings) == 0

    def test_a_confirmation_makes_them_new(self, settings, capsys):
        rewritten(settings, "rules_last_days = 3650", "rules_last_days = 1")
        assert run("documents", "confirm", "my-passport", "--settings", settings, *CONFIRM, "--on", TODAY) == 0
        assert run("documents", "--check", "--settings", settings) == 0


class TestReview:
    """A worksheet is written, filled in by an editor, and read back."""

    @pytest.fixture
    def sheet(self, settings, tmp_path):
        path = tmp_path / "sheet.txt"
        assert run("documents", "review", "-o", path, "--settings", settings) == 0
        return path

    def filled(self, sheet: Path, *changes: tuple[str, str], mark: str = "[x]") -> None:
        text = sheet.read_text(encoding="utf-8")
        for old, new in (
            ("\n[ ] ", f"\n{mark} "),
            ("Read by:", "Read by: A. Sample"),
            ("On (YYYY-MM-DD):", f"On (YYYY-MM-DD): {TODAY}"),
            ("Page that was read:", "Page that was read: the department's page"),
            *changes,
        ):
            assert old in text, old
            text = text.replace(old, new)
        sheet.write_text(text, encoding="utf-8")

    def test_all_ticked_is_a_confirmation(self, settings, sheet, capsys):
        self.filled(sheet)
        assert run("documents", "review", "--answers", sheet, "--settings", settings) == 0
        assert "my-passport: confirmed by A. Sample" in capsys.readouterr().out
        (kept,) = read_settings(settings).confirmations
        assert (kept.document, kept.on, kept.source) == ("my-passport", TODAY, "the department's page")
        before = settings.read_bytes()
        assert run("documents", "review", "--answers", sheet, "--settings", settings) == 0
        assert settings.read_bytes() == before, "reading a sheet twice changes nothing"

    def test_it_says_where_to_look_and_shows_every_value(self, sheet):
        text, document = " ".join(sheet.read_text(encoding="utf-8").split()), Catalogue.load().get("my-passport")
        assert document.authority in text
        assert "Size of the print: 35 x 50 mm" in text
        assert "Spectacles: not read" in text or document.spectacles is not None
        assert "Yaw" not in text, "no authority's page states a limit of the program's own"

    def test_what_the_page_says_otherwise_confirms_nothing(self, settings, sheet, capsys):
        self.filled(sheet)
        text = sheet.read_text(encoding="utf-8")
        row = next(line for line in text.splitlines() if "Size of the print" in line)
        start = text.index(row)
        arrow = text.index("->", start)
        changed = text[:start] + row.replace("[x]", "[!]") + text[start + len(row) : arrow] + "-> 35 x 45 mm"
        sheet.write_text(changed + text[arrow + 2 :], encoding="utf-8")
        assert run("documents", "review", "--answers", sheet, "--settings", settings) == 1
        assert "Size of the print: 35 x 50 mm -> 35 x 45 mm" in capsys.readouterr().out
        assert read_settings(settings).confirmations == []

    def test_an_open_row_confirms_nothing(self, settings, sheet, capsys):
        self.filled(sheet)
        sheet.write_text(sheet.read_text(encoding="utf-8").replace("[x] 2.", "[ ] 2."), encoding="utf-8")
        assert run("documents", "review", "--answers", sheet, "--settings", settings) == 0
        assert "rows to look at: 2" in capsys.readouterr().out
        assert read_settings(settings).confirmations == []

    def test_an_untouched_sheet_changes_nothing(self, settings, sheet, capsys):
        assert run("documents", "review", "--answers", sheet, "--settings", settings) == 0
        assert "not looked at" in capsys.readouterr().out

    def test_the_office_is_asked_for_booths(self, settings, tmp_path):
        sheet = tmp_path / "asked.txt"
        assert run("documents", "review", "hk-passport", "-o", sheet, "--settings", settings) == 0
        self.filled(sheet, ("if nobody was asked):", "if nobody was asked): with_conditions"))
        assert run("documents", "review", "--answers", sheet, "--settings", settings) == 0
        assert [each.channel for each in read_settings(settings).confirmations] == ["with_conditions"]

    @pytest.mark.parametrize(
        ("old", "new", "reason"),
        [
            ("Rules: ", "Rules: 0", "no longer those printed here"),
            ("[x] 2.", "[?] 2.", "row 2 of my-passport needs"),
            ("[x] 2.", "2.", "row 2 of my-passport needs"),
            ("[x] 2.", "[!] 2.", "belong together"),
            (f": {TODAY}", f": {TODAY + timedelta(days=1)}", "and today"),
            (f": {TODAY}", ": 2020-01-01", "when the rules of my-passport were read"),
            (f": {TODAY}", ": yesterday", "needs a day"),
            ("Read by: A. Sample", "Read by:", "needs a name"),
            ("Page that was read: the department's page", "Page that was read:", "needs an address"),
        ],
    )
    def test_what_is_filled_in_wrongly_is_refused_as_a_whole(self, settings, sheet, capsys, old, new, reason):
        self.filled(sheet, (old, new))
        before = settings.read_bytes()
        assert run("documents", "review", "--answers", sheet, "--settings", settings) == 7
        assert reason in capsys.readouterr().err
        assert settings.read_bytes() == before

    def test_rules_that_have_changed_since_are_not_confirmed_by_an_old_sheet(self, settings, sheet, capsys, tmp_path):
        own = tmp_path / "own"
        own.mkdir()
        text = (Path(__file__).parents[2] / "specs" / "my-passport.toml").read_text(encoding="utf-8")
        (own / "club-card.toml").write_text(text.replace('"my-passport"', '"club-card"', 1), encoding="utf-8")
        rewritten(settings, "[camera]", f'documents_folder = "{own}"\n\n[camera]')
        assert run("documents", "review", "club-card", "-o", sheet, "--settings", settings) == 0
        self.filled(sheet)
        changed = (own / "club-card.toml").read_text(encoding="utf-8").replace("height = 50", "height = 49", 1)
        (own / "club-card.toml").write_text(changed, encoding="utf-8")
        assert run("documents", "review", "--answers", sheet, "--settings", settings) == 7
        assert "no longer those printed here" in capsys.readouterr().err

    @pytest.mark.parametrize(
        "arguments", [("review",), ("review", "uk", "--answers", "x"), ("review", "-o", "a", "--answers", "b")]
    )
    def test_it_is_either_written_or_read(self, arguments, capsys):
        assert run("documents", *arguments) == 2

    def test_what_is_no_worksheet_is_refused_at_once(self, settings, tmp_path, capsys):
        os.mkfifo(tmp_path / "pipe")
        (tmp_path / "photo").write_bytes(b"\xff\xd8\xff\xe0")
        for path in (tmp_path / "pipe", Path("/dev/zero"), tmp_path / "photo", tmp_path / "none"):
            assert run("documents", "review", "--answers", path, "--settings", settings) == 7, path
