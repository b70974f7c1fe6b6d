"""An update and the way back, killed before every command of the scripts: one whole version, never parts."""

import os
import shutil
import signal
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
OS = ROOT / "hardware" / "os"
PARTS = ("kiosk", "specs", "pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE")
KILL = """
count=0
set -T
trap '((++count == KILL_AT)) && kill -KILL $$' DEBUG
"""
"""Bash reads the file that BASH_ENV names before a script (bash(1)); functions and subshells inherit the trap."""


def clone(folder, word):
    """Lay down a small clone with the real scripts, whose program is a word in several files."""
    for part in PARTS:
        path = folder / part
        if "." in part or part == "LICENSE":
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(word)
        else:
            path.mkdir(parents=True)
            for number in range(3):
                (path / f"{number}.py").write_text(word)
    shutil.copytree(OS / "root", folder / "hardware/os/root")
    (folder / "hardware/os/root/etc/sysusers.d/holdstill.conf").write_text(word)
    for script in OS.iterdir():
        if script.is_file() and script.suffix == "":
            shutil.copy(script, folder / "hardware/os" / script.name)
    shutil.copytree(OS / "debian", folder / "hardware/os/debian")
    return folder


def run(script, root, *arguments, kill_at=None, hook=None):
    environment = {**os.environ, "DESTDIR": str(root)}
    if kill_at is not None:
        environment |= {"BASH_ENV": str(hook), "KILL_AT": str(kill_at)}
    return subprocess.run([script, *arguments], env=environment, capture_output=True, text=True, check=False)


def version_in_use(root):
    """Return the word of the current version, which all its files share."""
    current = root / "opt/holdstill/current"
    words = {path.read_text() for part in ("kiosk", "specs") for path in (current / part).glob("*.py")}
    words |= {(current / part).read_text() for part in PARTS if "." in part}
    assert len(list(current.glob("*/?.py"))) == 6
    (word,) = words
    return word


@pytest.fixture
def hook(tmp_path):
    (tmp_path / "kill.sh").write_text(KILL)
    return tmp_path / "kill.sh"


@pytest.fixture
def clones(tmp_path):
    return {word: clone(tmp_path / word, word) for word in ("old", "new")}


def swept(root, tmp_path, hook, script):
    """Run a script on copies of a root, each killed one command later, and give the roots that were left."""
    for kill_at in range(1, 1000):
        copy = tmp_path / f"at{kill_at}"
        shutil.copytree(root, copy, symlinks=True)
        ended = run(*script(copy), kill_at=kill_at, hook=hook)
        yield copy
        shutil.rmtree(copy)
        if ended.returncode == 0:
            return
        assert ended.returncode in (-signal.SIGKILL, 128 + signal.SIGKILL), ended.stderr


@pytest.mark.slow
def test_an_update_that_is_killed_leaves_one_whole_version_and_is_finished_by_the_next(tmp_path, clones, hook):
    root = tmp_path / "root"
    assert run(clones["old"] / "hardware/os/install", root).returncode == 0
    seen = []
    for left in swept(root, tmp_path, hook, lambda copy: (clones["new"] / "hardware/os/install", copy)):
        seen.append(version_in_use(left))
        again = run(clones["new"] / "hardware/os/install", left)
        assert again.returncode == 0, again.stderr
        assert version_in_use(left) == "new"
        assert (left / "etc/sysusers.d/holdstill.conf").read_text() == "new"
        assert {path.name for path in (left / "opt/holdstill").iterdir()} <= {"1", "2", "current"}
    assert len(seen) > 20
    assert seen == sorted(seen, reverse=True), "once it is the new one it stays the new one"
    assert set(seen) == {"old", "new"}


@pytest.mark.slow
def test_going_back_that_is_killed_leaves_one_whole_version_too(tmp_path, clones, hook):
    root = tmp_path / "root"
    for word in ("old", "new"):
        assert run(clones[word] / "hardware/os/install", root).returncode == 0
    seen = []
    for left in swept(root, tmp_path, hook, lambda copy: (copy / "opt/holdstill/current/hardware/os/back", copy)):
        seen.append(version_in_use(left))
        script = left / "opt/holdstill/current/hardware/os"
        done = run(script / "back" if seen[-1] == "new" else script / "install", left)
        assert done.returncode == 0, done.stderr
        assert version_in_use(left) == "old"
        assert (left / "etc/sysusers.d/holdstill.conf").read_text() == "old"
    assert set(seen) == {"old", "new"}


def test_a_version_goes_back_once_and_an_update_after_that_leaves_the_bad_one_behind(tmp_path, clones):
    root = tmp_path / "root"
    install, back = "hardware/os/install", "opt/holdstill/current/hardware/os/back"
    assert run(clones["old"] / install, root).returncode == 0
    refused = run(root / back, root)
    assert refused.returncode == 23
    assert "no version before" in refused.stderr
    for word in ("new", "old"):
        (clones[word] / "kiosk/0.py").write_text(word)
    assert run(clones["new"] / install, root).returncode == 0
    assert run(root / back, root).returncode == 0
    assert version_in_use(root) == "old"
    better = clone(tmp_path / "better", "better")
    assert run(better / install, root).returncode == 0
    assert version_in_use(root) == "better"
    assert run(root / back, root).returncode == 0
    assert version_in_use(root) == "old"


def test_only_the_version_before_is_kept(tmp_path):
    root = tmp_path / "root"
    for number in range(4):
        assert run(clone(tmp_path / f"clone{number}", str(number)) / "hardware/os/install", root).returncode == 0
    assert sorted(path.name for path in (root / "opt/holdstill").iterdir()) == ["3", "4", "current"]
    assert version_in_use(root) == "3"


def test_a_version_that_lacks_something_or_cannot_read_the_settings_is_not_switched_to(tmp_path):
    version = tmp_path / "1"
    shutil.copytree(ROOT / "kiosk", version / "kiosk", ignore=shutil.ignore_patterns("__pycache__"))
    for part in ("specs", "hardware"):
        (version / part).symlink_to(ROOT / part)
    (version / ".venv").symlink_to(ROOT / ".venv")
    environment = {**os.environ, "PYTHONPATH": str(version)}

    def tried(settings="missing.toml"):
        command = [OS / "smoke", version, tmp_path / settings]
        return subprocess.run(command, env=environment, capture_output=True, text=True, check=False).returncode

    assert tried() == 0
    (tmp_path / "bad.toml").write_text("[booth]\nunknown = 1\n")
    assert tried("bad.toml") != 0
    (version / "kiosk/vision/still.py").unlink()
    assert tried() != 0
