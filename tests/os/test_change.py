"""A change on trial goes back as a whole, program, settings and rules, wherever a power cut stops it."""

import stat

import pytest

from tests.os.test_update import clone, clones, hook, run, swept, version_in_use

__all__ = ["clones", "hook"]

CURRENT = "opt/holdstill/current/hardware/os"
SETTINGS = {"settings.toml": 'layers = ["shop.toml"]\n', "shop.toml": "[booth]\n"}
OTHERS = {"settings.toml": 'layers = ["shop.toml", "chain.toml"]\n', "shop.toml": "", "chain.toml": "[booth]\n"}
PROGRAM = """#!/bin/sh
for given; do file=$given; done
if grep -q refused "$file"; then exit 8; fi
exit 1
"""
"""A stand-in for the program, which needs its environment: it warns of something, and refuses settings that say so."""


def settings_in_force(root):
    return {path.name: path.read_text() for path in (root / "etc/holdstill").iterdir()}


def everything(root):
    return version_in_use(root), settings_in_force(root), str((root / "var/lib/holdstill/rules/current").readlink())


BEFORE = ("old", SETTINGS, "2026.1")


@pytest.fixture
def booth(tmp_path, clones):
    root = tmp_path / "root"
    assert run(clones["old"] / "hardware/os/install", root).returncode == 0
    program = root / "opt/holdstill/current/.venv/bin/holdstill"
    program.parent.mkdir(parents=True)
    program.write_text(PROGRAM)
    program.chmod(0o755)
    for name, text in SETTINGS.items():
        (root / "etc/holdstill" / name).write_text(text)
        (root / "etc/holdstill" / name).chmod(0o640)
    rules = root / "var/lib/holdstill/rules"
    rules.mkdir(parents=True)
    (rules / "current").symlink_to("2026.1")
    assert everything(root) == BEFORE
    return root


def other_rules(root):
    link = root / "var/lib/holdstill/rules/current"
    link.unlink()
    link.symlink_to("2026.2")


@pytest.fixture
def given(tmp_path):
    for name, text in OTHERS.items():
        (tmp_path / name).write_text(text)
    return [tmp_path / name for name in OTHERS]


def test_settings_are_taken_and_go_back(booth, given):
    assert run(booth / CURRENT / "take", booth, *given).returncode == 0
    assert settings_in_force(booth) == OTHERS
    assert {stat.S_IMODE(path.stat().st_mode) for path in (booth / "etc/holdstill").iterdir()} == {0o640}
    assert run(booth / CURRENT / "back", booth).returncode == 0
    assert everything(booth) == BEFORE
    assert not (booth / "opt/holdstill/held").exists()


def test_settings_that_the_program_refuses_change_nothing(booth, given):
    given[0].write_text("refused\n")
    assert run(booth / CURRENT / "take", booth, *given).returncode == 8
    assert everything(booth) == BEFORE
    assert not (booth / "opt/holdstill/held").exists()
    assert [path.name for path in (booth / "etc").glob("holdstill*")] == ["holdstill"]


def test_a_run_that_was_killed_leaves_no_copy_of_the_settings_beyond_the_next(booth, given):
    left = booth / "etc/holdstill-tried.a1b2c3"
    left.mkdir()
    (left / "settings.toml").write_text('database = "postgresql+psycopg://north:correct horse@office.example/office"\n')
    assert run(booth / CURRENT / "take", booth, *given).returncode == 0
    assert [path.name for path in (booth / "etc").glob("holdstill*")] == ["holdstill"]


def test_what_is_no_file_of_settings_is_refused_with_a_next_step(booth, tmp_path):
    refused = run(booth / CURRENT / "take", booth, tmp_path / "missing.toml")
    assert (refused.returncode, everything(booth)) == (6, BEFORE)
    assert "Name one that is there" in refused.stderr


def test_a_file_that_the_booth_would_not_read_is_refused(booth, given):
    refused = run(booth / CURRENT / "take", booth, *(path for path in given if path.name == "chain.toml"))
    assert (refused.returncode, everything(booth)) == (6, BEFORE)
    assert "settings.toml does not name chain.toml" in refused.stderr
    assert [path.name for path in (booth / "etc").glob("holdstill*")] == ["holdstill"]


def test_a_second_change_during_a_trial_goes_back_to_what_held_before_the_first(booth, given, clones, tmp_path):
    assert run(booth / CURRENT / "held", booth, "keep").returncode == 0
    for number, each in enumerate((clones["new"], clone(tmp_path / "newer", "newer")), 2):
        assert run(each / "hardware/os/install", booth).returncode == 0
        assert (booth / "opt/holdstill/current").readlink().name == str(number)
    (booth / "etc/holdstill/settings.toml").write_text("other\n")
    other_rules(booth)
    assert run(booth / "opt/holdstill/held/program/hardware/os/back", booth).returncode == 0
    assert everything(booth) == BEFORE


def test_what_holds_is_not_gone_back_on(booth, clones):
    assert run(booth / CURRENT / "held", booth, "keep").returncode == 0
    assert run(clones["new"] / "hardware/os/install", booth).returncode == 0
    (booth / "etc/holdstill/settings.toml").write_text("other\n")
    assert run(booth / CURRENT / "held", booth, "drop").returncode == 0
    assert run(booth / CURRENT / "back", booth).returncode == 0
    assert version_in_use(booth) == "old"
    assert settings_in_force(booth)["settings.toml"] == "other\n"


def settled(root):
    """Do what the service that watches a change does first when the machine starts: finish what was cut off."""
    if (root / "opt/holdstill/held/undo").exists():
        assert run(root / "opt/holdstill/held/program/hardware/os/back", root).returncode == 0


@pytest.mark.slow
def test_taking_settings_that_is_killed_leaves_those_before_or_those_after(booth, given, tmp_path, hook):
    seen = []
    for left in swept(booth, tmp_path, hook, lambda copy: (copy / CURRENT / "take", copy, *given)):
        settled(left)
        seen.append(settings_in_force(left))
        assert seen[-1] in (SETTINGS, OTHERS)
    assert len(seen) > 20
    assert (seen[0], seen[-1]) == (SETTINGS, OTHERS)


@pytest.mark.slow
def test_going_back_that_is_killed_is_finished_when_the_machine_starts(booth, given, clones, tmp_path, hook):
    assert run(booth / CURRENT / "take", booth, *given).returncode == 0
    other_rules(booth)
    assert run(clones["new"] / "hardware/os/install", booth).returncode == 0
    changed = everything(booth)
    seen = []
    for left in swept(booth, tmp_path, hook, lambda copy: (copy / CURRENT / "back", copy)):
        settled(left)
        seen.append(everything(left))
        assert seen[-1] in (changed, BEFORE)
        assert seen[-1] == changed or (left / "etc/sysusers.d/holdstill.conf").read_text() == "old"
    assert (seen[0], seen[-1]) == (changed, BEFORE)
