"""What the guides promise: settings that are settings, commands that exist and work, labels that are on the screens."""

import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest
import tomlkit

from kiosk.cli import main
from kiosk.commands.parser import parser_of_all
from kiosk.errors import EXIT_DONE, EXIT_ENDED, all_errors
from kiosk.settings import settings_from
from kiosk.system.pin_hash import hash_pin
from tests.support import command_reference

ROOT = Path(__file__).parents[1]
GUIDES = [ROOT / "README.md", *sorted((ROOT / "hardware").rglob("*.md"))]
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
HASH = hash_pin("480217")
BASE = tomllib.loads(re.findall(r"```toml\n(.*?)```", (ROOT / "hardware" / "operator.md").read_text(), re.DOTALL)[0])


def blocks(kind):
    """Return every fenced block of a kind with the guide it stands in."""
    return [
        pytest.param(block, id=f"{guide.relative_to(ROOT)}-{number}")
        for guide in GUIDES
        for number, (named, block) in enumerate(FENCE.findall(guide.read_text("utf-8")))
        if named == kind
    ]


def commands():
    """Return every `holdstill` command of the guides' blocks, without what stands before and behind it."""
    lines = [line for parameter in blocks("") for line in parameter.values[0].splitlines()]
    found = [re.search(r"\bholdstill ((?:\w|-).*)", line.partition("#")[0]) for line in lines]
    return [match.group(1).strip() for match in found if match and "git clone" not in match.string]


@pytest.mark.parametrize("block", blocks("toml"))
def test_an_example_of_settings_is_settings(block, tmp_path):
    """A part of a file is tried within the operator's whole one."""
    table = tomllib.loads(block.replace("$argon2id$v=19$…", HASH))
    whole = table if "booth" in table else BASE | table
    whole.setdefault("attendant", {}).setdefault("pin_hash", HASH)
    for name in whole.get("layers", []):
        (tmp_path / name).touch()
    settings_from(tomlkit.dumps(whole), tmp_path / "booth.toml")


def test_every_file_that_the_contributors_guide_names_exists():
    places = [ROOT, ROOT / "kiosk", ROOT / "tests", ROOT / "tests" / "support"]
    named = re.findall(r"`([\w.-]+(?:/[\w.-]+)+/?|[\w-]+\.(?:py|md|txt))`", (ROOT / "DEVELOPERS.md").read_text("utf-8"))
    assert len(named) > 80
    assert [
        name for name in named if not any((place / name).exists() for place in [*places, ROOT / "tests" / "bench"])
    ] == []


@pytest.mark.parametrize("command", commands())
def test_a_command_is_one_that_the_program_takes(command):
    assert parser_of_all().parse_args(shlex.split(command)).run


def test_the_first_real_use_works_as_it_is_written(tmp_path, monkeypatch, capsys):
    first = re.findall(r"\.venv/bin/holdstill (.*photo\.jpg.*)", (ROOT / "README.md").read_text(encoding="utf-8"))
    assert len(first) == 2
    shutil.copy(ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg", tmp_path / "photo.jpg")
    monkeypatch.chdir(tmp_path)
    assert [main(shlex.split(command)) for command in first] == [EXIT_DONE, EXIT_DONE]
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_the_events_list_is_taken_in_as_it_is_written(tmp_path, monkeypatch):
    (line,) = re.findall(r"\.venv/bin/holdstill (roster import.*)", (ROOT / "hardware" / "event.md").read_text("utf-8"))
    (tmp_path / "specs").symlink_to(ROOT / "specs")
    (tmp_path / "list.csv").write_text("id,name,organisation,role\nA1,Ada Lind,The Paper Lantern,visitor\n", "utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(shlex.split(line)) == EXIT_DONE


def test_the_reference_of_the_command_is_the_parsers(monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    assert command_reference.PAGE.read_text(encoding="utf-8") == command_reference.page(), (
        "write it anew: python -m tests.support.command_reference"
    )


def test_the_reference_lists_every_exit_code_once():
    codes = [int(row) for row in re.findall(r"^\| (\d+) \|", command_reference.page(), re.MULTILINE)]
    assert codes == sorted({0, 1, 2, EXIT_ENDED} | {error.exit_code for error in all_errors()})


def test_the_attendants_page_uses_the_words_of_the_screens():
    page = (ROOT / "hardware" / "attendant.md").read_text(encoding="utf-8")
    screens = "\n".join(file.read_text("utf-8") for file in (ROOT / "kiosk" / "screens").rglob("*.py"))
    labels = set(re.findall(r"(?<!\*)\*([^*]+)\*(?!\*)", page))
    assert labels
    assert {label for label in labels if f'"{label}"' not in screens} == set()


def test_every_link_of_a_guide_leads_somewhere():
    for guide in [*GUIDES, *sorted((ROOT / "specs").rglob("*.md")), ROOT / "DEVELOPERS.md"]:
        for link in re.findall(r"\]\((?!https?:)([^)#]+)", guide.read_text(encoding="utf-8")):
            assert (guide.parent / link).exists(), f"{guide.name}: {link}"
