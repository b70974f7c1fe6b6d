"""The command in a real shell: what the shell hands over, interrupts, strange names of files, and who may read results.

Each runs the program in a process of its own.
"""

import errno
import json
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from kiosk.cli import main

ROOT = Path(__file__).parents[2]
PHOTO = ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg"
DESIGN = ROOT / "specs" / "badges" / "card-photo-left.toml"
PROGRAM = f"{sys.executable} -m kiosk.cli"


def shell(line, folder, **environment):
    """Run a line of bash, in which `holdstill` is the program."""
    script = f'holdstill() {{ {PROGRAM} "$@"; }}\n{line}'
    known = {key: value for key, value in os.environ.items() if not key.startswith("XDG_")}
    surroundings = known | {"PYTHONPATH": str(ROOT), "HOME": str(folder)} | environment
    return subprocess.run(
        ["bash", "-c", script], cwd=folder, env=surroundings, capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize("command", ["documents", "documents gb-passport-print", "--version", "--help"])
@pytest.mark.parametrize(
    ("sent", "why"), [(">/dev/full", "no space left on device"), (">&-", "it is closed")], ids=["full", "closed"]
)
def test_results_that_go_nowhere_are_an_error_with_a_code(tmp_path, command, sent, why):
    """A short output fails when Python flushes it, a long one while it is written."""
    ended = shell(f"holdstill {command} {sent}", tmp_path)
    assert ended.returncode == 9
    assert ended.stderr.splitlines() == [
        f"holdstill: The results cannot be written to standard output: {why}.",
        "  Send them to a terminal, or to a file on a disk with free space.",
    ]


def test_a_reader_that_has_seen_enough_is_no_fault_and_no_success(tmp_path):
    """128 and SIGPIPE, 13, as a shell reports a program that the signal has ended (POSIX, 2.8.2)."""
    ended = shell("holdstill documents gb-passport-print | true; exit ${PIPESTATUS[0]}", tmp_path)
    assert (ended.returncode, ended.stderr) == (141, "")


@pytest.mark.parametrize("sent", ["2>/dev/full", "2>&-"])
def test_an_error_that_nobody_can_read_keeps_its_code(tmp_path, sent):
    ended = shell(f"holdstill documents nowhere {sent}", tmp_path)
    assert (ended.returncode, ended.stdout) == (6, "")


def test_results_and_messages_stand_in_one_file_in_the_order_in_which_they_came(tmp_path):
    shell(f"holdstill measure {PHOTO} {ROOT / 'nothing.jpg'} --document icao-generic >both 2>&1", tmp_path)
    lines = [line for line in (tmp_path / "both").read_text().splitlines() if not line.startswith("  ")]
    starts = (f"{PHOTO}: ", "holdstill: ", "Of 2: ", "A guideline", "The issuing authority decides")
    assert [line.startswith(start) for line, start in zip(lines, starts, strict=True)] == [True] * 5


def test_messages_of_libraries_do_not_land_in_a_file(tmp_path):
    """Where standard error is closed, the next file to be opened would get its descriptor, which libraries write to."""
    ended = shell(f"holdstill ruler --paper a4 -o page.pdf 2>&- && holdstill measure {PHOTO} --document icao-generic"
                  " --report report.pdf 2>&- >measured.txt", tmp_path)  # fmt: skip
    assert ended.returncode == 0
    for name in ("page.pdf", "report.pdf"):
        content = (tmp_path / name).read_bytes()
        assert content.startswith(b"%PDF")
        assert content.rstrip().endswith(b"%%EOF")
    assert "INFO" not in (tmp_path / "measured.txt").read_text()


ASCII_ONLY = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}


def test_letters_that_an_encoding_lacks_are_escaped(tmp_path):
    ended = shell("holdstill documents --json", tmp_path, **ASCII_ONLY)
    assert ended.returncode == 0
    assert ended.stdout.isascii()
    assert json.loads(ended.stdout) == json.loads(shell("holdstill documents --json", tmp_path).stdout)
    assert r"29\u201334 mm" in shell("holdstill documents", tmp_path, **ASCII_ONLY).stdout


@pytest.mark.parametrize("module", ["typing", "kiosk.errors", "kiosk.commands", "kiosk.commands.measure", "numpy"])
def test_an_interrupt_at_any_moment_is_a_sentence_and_130(tmp_path, module):
    """An import hook sends SIGINT, which Ctrl-C does, as soon as the module is wanted for the first time."""
    program = tmp_path / "interrupted.py"
    program.write_text(
        f"""import os, signal, sys
class Interrupting:
    def find_spec(self, name, path=None, target=None):
        if name == {module!r}:
            sys.meta_path.remove(self)
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Interrupting())
from kiosk.cli import main
sys.exit(main(["measure", {str(PHOTO)!r}, "--document", "icao-generic"]))
"""
    )
    surroundings = os.environ | {"PYTHONPATH": str(ROOT)}
    ended = subprocess.run([sys.executable, program], env=surroundings, capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stdout) == (130, "")
    assert ended.stderr == (
        "holdstill: The command was interrupted.\n  No file is half-written; start the command again.\n"
    )


LONG = "a" * 300
"""More than the 255 bytes that NAME_MAX allows a name (limits.h, Linux)."""


@pytest.mark.parametrize(
    "command",
    [
        ("measure", LONG, "--document", "icao-generic"),
        ("sheet", PHOTO, "--document", "icao-generic", "--paper", "a4", "-o", f"{LONG}.pdf"),
        ("watch", LONG, "--document", "icao-generic", "--paper", "a4", "-o", "out"),
        ("roster", "find", "A", "--roster", LONG),
    ],
    ids=lambda command: command[0],
)
def test_a_name_that_is_too_long_is_said(command, capsys):
    assert main(list(map(str, command))) == 2
    assert f"{LONG}: file name too long" in capsys.readouterr().err.replace(".pdf", "")


def test_a_folder_that_may_not_be_entered_is_said(tmp_path, monkeypatch, capsys):
    def refuse(path):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    monkeypatch.setattr(Path, "iterdir", refuse)
    assert main(["measure", str(tmp_path), "--document", "icao-generic"]) == 2
    assert f"{tmp_path}: permission denied" in capsys.readouterr().err


STRANGE = "gone\x1b[31m\nholdstill: all is well"


def test_what_a_terminal_would_obey_is_shown(tmp_path):
    """ESC [ 31 m colours what follows (ECMA-48, 8.3.117); a line break would begin a line of its own."""
    ended = shell('holdstill -q measure "$NAME.jpg" --document icao-generic', tmp_path, NAME=STRANGE)
    assert ended.returncode == 3
    first, second = ended.stderr.splitlines()
    assert first.startswith(r"holdstill: gone\x1b[31m\nholdstill: all is well.jpg cannot be read")
    assert second.startswith("  ")
    ended = shell('holdstill -q ruler --paper a4 -o "$NAME.pdf"', tmp_path, NAME=STRANGE)
    assert ended.stdout.startswith(r"gone\x1b[31m\nholdstill: all is well.pdf: print it")
    assert [path.name for path in tmp_path.iterdir()] == [f"{STRANGE}.pdf"]
    for wrong in ('"$NAME"', 'documents --drawing "$NAME.bmp" icao-generic', 'ruler --paper a4 -o "$NAME.bmp"'):
        assert "\x1b" not in shell(f"holdstill {wrong}", tmp_path, NAME=STRANGE).stderr


def test_a_name_in_another_encoding_is_written_and_printed(tmp_path):
    """Names of files are bytes; one of a Latin-1 system is not UTF-8."""
    ended = shell("holdstill ruler --paper a4 -o $'r\\xe9gle.pdf'", tmp_path)
    assert ended.returncode == 0
    assert [os.fsencode(path.name) for path in tmp_path.iterdir()] == [b"r\xe9gle.pdf"]


@pytest.mark.parametrize(
    "command",
    [
        "ruler --paper a4 -o page.png",
        "ledger --file ledger.sqlite3 --csv day.pdf",
        "ledger --file ledger.sqlite3 --pdf day.csv",
        f"badge design {DESIGN} -o badge.png",
        f"roster badges --roster r.db --design {DESIGN} --paper a4 -o badges.txt",
        "roster report --roster r.db -o report",
        "report -o bundle.tar",
    ],
)
def test_a_file_of_another_format_is_refused_before_anything_is_done(tmp_path, command):
    ended = shell(f"holdstill {command}", tmp_path)
    assert ended.returncode == 2
    assert "does not end in ." in ended.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("umask", "mode"), [("022", 0o644), ("002", 0o664), ("077", 0o600)])
def test_the_umask_says_who_may_read_a_result(tmp_path, umask, mode):
    assert shell(f"umask {umask}; holdstill ruler --paper a4 -o page.pdf", tmp_path).returncode == 0
    assert stat.S_IMODE((tmp_path / "page.pdf").stat().st_mode) == mode


SETTINGS = """[booth]
documents = ["gb-passport-print"]
documents_folder = "own"
[camera]
backend = "sim"
pictures = "sitter"
[printer]
backend = "folder"
folder = "prints"
"""


@pytest.mark.parametrize(
    "command",
    [
        "documents",
        "documents confirm gb-passport-print --by A --on 2026-01-01 --source B",
        f"measure {PHOTO} --document icao-generic",
        f"sheet {PHOTO} --document icao-generic --paper a4 -o s.pdf",
        "booth --headless",
        "ready",
        "ruler",
        "ledger",
    ],
)
def test_settings_that_are_named_and_missing_are_an_error_everywhere(tmp_path, command):
    ended = shell(f"holdstill {command} --settings gone.toml", tmp_path)
    assert ended.returncode == 8
    assert "gone.toml does not exist" in ended.stderr
    assert "`holdstill setup`" in ended.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(Path("/etc/holdstill/settings.toml").exists(), reason="this machine is a booth")
def test_without_any_settings_the_shipped_documents_are_known_and_a_booth_asks_for_its_setup(tmp_path):
    assert shell("holdstill documents gb-passport-print", tmp_path).returncode == 0
    ended = shell("holdstill ready", tmp_path)
    assert ended.returncode == 8
    assert "/etc/holdstill/settings.toml does not exist" in ended.stderr
    assert "`holdstill setup`" in ended.stderr


@pytest.mark.parametrize("place", [".config", "elsewhere"])
def test_settings_of_ones_own_are_found(tmp_path, place):
    """`$XDG_CONFIG_HOME` or else `~/.config` (XDG Base Directory Specification 0.8)."""
    own = tmp_path / place / "holdstill"
    (own / "own").mkdir(parents=True)
    (own / "settings.toml").write_text(SETTINGS)
    text = (ROOT / "specs" / "gb-passport-print.toml").read_text().replace("gb-passport-print", "xx-own-print")
    (own / "own" / "xx-own-print.toml").write_text(text)
    named = {} if place == ".config" else {"XDG_CONFIG_HOME": str(tmp_path / place)}
    ended = shell("holdstill documents xx-own-print", tmp_path, **named)
    assert (ended.returncode, ended.stderr) == (0, "")


def test_quiet_leaves_results_and_errors(tmp_path):
    """Before the command or behind it."""
    command = f"measure {PHOTO} --document icao-generic"
    usual = shell(f"holdstill {command}", tmp_path)
    assert "The issuing authority decides" in usual.stderr
    for line in (f"holdstill -q {command}", f"holdstill {command} --quiet"):
        ended = shell(line, tmp_path)
        assert (ended.returncode, ended.stdout) == (usual.returncode, usual.stdout)
        assert "The issuing authority decides" not in ended.stderr
    assert "is called 'none'" in shell("holdstill -q documents none", tmp_path).stderr


@pytest.mark.parametrize("period", ["2026-13", "2026-02-30", "0000", "yesterday"])
def test_a_period_that_is_none_is_said_in_words(tmp_path, period):
    ended = shell(f"holdstill ledger {period} --file ledger.sqlite3", tmp_path)
    assert ended.returncode == 2
    assert f"'{period}' is no day (2026-11-25), month (2026-11) or year (2026)" in ended.stderr


@pytest.mark.parametrize(
    ("command", "words"),
    [
        ("documents confirm icao-generic --on yesterday", "argument --on: 'yesterday' is not a day such as 2026-11-25"),
        (f"sheet {PHOTO} --document icao-generic --margin-mm x", "argument --margin-mm: 'x' is not a number"),
        (f"sheet {PHOTO} --document icao-generic --photos 2.5", "argument --photos: '2.5' is not a whole number"),
        ("ruler --dpi x", "argument --dpi: 'x' is not a number"),
    ],
)
def test_a_value_that_is_none_is_named_in_words(tmp_path, command, words):
    ended = shell(f"holdstill {command}", tmp_path)
    assert (ended.returncode, ended.stderr.splitlines()[-1].endswith(words)) == (2, True), ended.stderr


@pytest.mark.parametrize(
    ("command", "unneeded"),
    [
        (["--version"], ["pydantic", "numpy", "kiosk.commands.measure"]),
        (["--help"], ["pydantic", "numpy", "kiosk.commands.measure"]),
        (["roster", "find", "x", "--roster", "gone.db"], ["cv2", "kiosk.commands.sheet", "kiosk.commands.documents"]),
        (["print", "gone.pdf"], ["mediapipe", "kiosk.commands.sheet", "kiosk.commands.documents"]),
    ],
)
def test_a_command_does_not_wait_for_what_only_others_need(tmp_path, command, unneeded):
    program = f"""import sys
from kiosk.cli import main
try:
    main({command!r})
except SystemExit:
    pass
loaded = [name for name in {unneeded!r} if name in sys.modules]
sys.exit(loaded or 0)
"""
    surroundings = os.environ | {"PYTHONPATH": str(ROOT)}
    ended = subprocess.run(
        [sys.executable, "-c", program], cwd=tmp_path, env=surroundings, capture_output=True, text=True, check=False
    )
    assert ended.returncode == 0, ended.stderr


@pytest.mark.parametrize("command", [f"measure {PHOTO} --document icao-generic", "documents"])
def test_settings_that_only_the_booth_may_read_are_an_error_and_not_passed_over(tmp_path, command):
    """As on an installed booth, whose folder of settings nobody else may look into; root may, and steps down first."""
    folder = tmp_path / "etc"
    folder.mkdir()
    (folder / "settings.toml").touch()
    folder.chmod(0o000)
    for outer in (tmp_path, *tmp_path.parents[:2]):
        outer.chmod(0o755)
    down = "setpriv --reuid=65534 --clear-groups " if os.getuid() == 0 else ""
    ended = shell(f"{down}{PROGRAM} {command} --settings {folder}/settings.toml", tmp_path)
    folder.chmod(0o700)
    assert ended.returncode == 8
    assert "settings.toml cannot be read: permission denied." in ended.stderr
