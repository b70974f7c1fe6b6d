"""What a shell completes, tried in bash, and the manual page as groff reads it."""

import shutil
import subprocess
import sys

import pytest

from kiosk.cli import main
from kiosk.commands.parser import COMMANDS
from kiosk.errors import all_errors


def made(capsys, *arguments):
    assert main(list(arguments)) == 0
    return capsys.readouterr().out


def completed(script, *words, folder):
    """Return what bash offers for the last word, as it would at the tab key."""
    called = f"""source "$1"
COMP_WORDS=({" ".join(words)})
COMP_CWORD=$((${{#COMP_WORDS[@]}} - 1))
_shtab_holdstill holdstill "${{COMP_WORDS[$COMP_CWORD]}}" "${{COMP_WORDS[$COMP_CWORD - 1]}}"
printf '%s\\n' "${{COMPREPLY[@]}}"
"""
    run = subprocess.run(["bash", "-c", called, "bash", script], cwd=folder, capture_output=True, text=True, check=True)
    return set(run.stdout.split())


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        (["me"], {"measure"}),
        (["measure", "--document", "gb-passport-p"], {"gb-passport-print"}),
        (["measure", "pho"], {"photo.jpg"}),
        (["ruler", "--paper", "10x"], {"10x15cm"}),
        (["roster", "fi"], {"find"}),
        (["print", "--que"], {"--queue"}),
        (["documents", "gb-passport-d"], {"gb-passport-digital"}),
        (["completion", "b"], {"bash"}),
    ],
)
def test_bash_completes_commands_options_documents_papers_and_files(capsys, tmp_path, words, offered):
    pytest.importorskip("shtab")
    script = tmp_path / "holdstill.bash"
    script.write_text(made(capsys, "completion", "bash"))
    (tmp_path / "photo.jpg").touch()
    assert completed(script, "holdstill", *words, folder=tmp_path) == offered


@pytest.mark.parametrize("shell", ["zsh", "fish", "tcsh"])
def test_the_other_shells_know_every_command(capsys, shell):
    pytest.importorskip("shtab")
    script = made(capsys, "completion", shell)
    assert [name for name in COMMANDS if name not in script] == []


def test_the_manual_page_is_whole_and_roff_has_nothing_against_it(capsys, tmp_path):
    pytest.importorskip("argparse_manpage")
    if shutil.which("groff") is None:
        pytest.skip("groff is not installed")
    page = tmp_path / "holdstill.1"
    page.write_text(made(capsys, "manual"), encoding="utf-8")
    checked = subprocess.run(["groff", "-k", "-man", "-ww", "-z", page], capture_output=True, text=True, check=True)
    assert checked.stderr == ""
    read = subprocess.run(
        ["groff", "-k", "-man", "-Tutf8", "-P-cbou", page], capture_output=True, text=True, check=True
    ).stdout
    told = " ".join(read.split())
    assert [name for name in COMMANDS if f"holdstill {name}" not in told] == []
    codes = told[told.index("EXIT STATUS") :]
    assert [error.exit_code for error in all_errors() if f" {error.exit_code} " not in codes] == []
    assert "holdstill - photo kiosk" in told
    assert ".jpg" in told


@pytest.mark.parametrize(("command", "module"), [("completion bash", "shtab"), ("manual", "argparse_manpage.manpage")])
def test_a_library_that_is_not_installed_is_named(capsys, monkeypatch, command, module):
    monkeypatch.setitem(sys.modules, module, None)
    assert main(command.split()) == 23
    assert f"{module.partition('.')[0].replace('_', '-')} is missing" in capsys.readouterr().err
