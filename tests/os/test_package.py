"""The Debian package by real dpkg under a folder: installed, upgraded, cut off and finished, gone back from, removed.

`prepare` is a stand-in that links to the environment of the tests instead of filling one, which takes minutes; the
package is built, unpacked and configured by its own scripts, and the program in it is the real one.
"""

import os
import shutil
import subprocess
import sysconfig
from pathlib import Path

import pytest

from tests.os.test_update import PARTS

ROOT = Path(__file__).parents[2]
PREPARE = """#!/bin/sh
set -e
cd "$(dirname "$0")/../.."
/usr/bin/python3 -m venv --without-pip .venv
site=$(echo .venv/lib/python3*/site-packages)
pwd >"$site/program.pth"
echo {libraries} >>"$site/program.pth"
printf '#!%s/.venv/bin/python\\nfrom kiosk.cli import main\\nmain()\\n' "$PWD" >.venv/bin/holdstill
chmod +x .venv/bin/holdstill
"""
KILL = """
set -T
trap '((++count == KILL_AT)) && kill -KILL 0' DEBUG
"""
"""Kills dpkg with all that it has started, before a command of the first script that comes so far."""
BACK = "opt/holdstill/current/hardware/os/back"


def run(*command, **how):
    done = subprocess.run(command, capture_output=True, text=True, check=False, **how)
    assert done.returncode == 0, done.stderr
    return done.stdout


def built(clone, version, target):
    init = clone / "kiosk/__init__.py"
    lines = [line for line in init.read_text().splitlines() if not line.startswith("__version__")]
    init.write_text("\n".join([*lines, f'__version__ = "{version}"', ""]))
    return Path(run(clone / "hardware/os/package", target, env={**os.environ, "SOURCE_DATE_EPOCH": "0"}).strip())


@pytest.fixture(scope="module")
def clone(tmp_path_factory):
    clone = tmp_path_factory.mktemp("clone")
    for part in (*PARTS, "hardware"):
        if (ROOT / part).is_dir():
            shutil.copytree(ROOT / part, clone / part, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(ROOT / part, clone / part)
    (clone / "hardware/os/prepare").write_text(PREPARE.format(libraries=sysconfig.get_path("purelib")))
    return clone


@pytest.fixture(scope="module")
def packages(clone, tmp_path_factory):
    target = tmp_path_factory.mktemp("dist")
    return {version: built(clone, version, target) for version in ("8.1", "8.2")}


@pytest.fixture
def root(tmp_path):
    for folder in ("info", "updates"):
        (tmp_path / "root/var/lib/dpkg" / folder).mkdir(parents=True)
    (tmp_path / "root/var/lib/dpkg/status").touch()
    return tmp_path / "root"


def dpkg(root, *arguments, **how):
    environment = {**os.environ, "PATH": f"{os.environ['PATH']}:/usr/sbin:/sbin"} | how
    forced = "--force-script-chrootless,not-root,depends"
    command = ["dpkg", f"--root={root}", f"--log={root}/log", f"{forced}", *arguments]
    return subprocess.run(command, env=environment, capture_output=True, text=True, check=False, start_new_session=True)


def installed(root, *arguments):
    done = dpkg(root, *arguments)
    assert done.returncode == 0, done.stderr


def version_in_use(root):
    """Return what the program says, by the interpreter and from the folder that its version has on the machine."""
    current = (root / "opt/holdstill/current").resolve()
    line = (current / ".venv/bin/holdstill").read_text().splitlines()[0]
    assert line == f"#!/opt/holdstill/{current.name}/.venv/bin/python"
    python = current / ".venv/bin/python"
    where = run(python, "-P", "-c", "import sys; print(sys.prefix)", cwd="/").strip()
    assert where == str(current / ".venv")
    (path,) = (current / ".venv").glob("lib/*/site-packages/program.pth")
    assert path.read_text().splitlines()[0] == f"/opt/holdstill/{current.name}"
    alone = {**os.environ, "PYTHONPATH": str(current)}
    return run(python, "-m", "kiosk.cli", "--version", env=alone, cwd="/").split()[-1]


def test_the_same_clone_makes_the_same_package(clone, packages, tmp_path):
    again = built(clone, "8.2", tmp_path)
    first, second = (run("dpkg-deb", "--contents", each) for each in (packages["8.2"], again))
    assert first == second
    outside = {line.split()[5] for line in first.splitlines()} - {"./", "./opt/", "./opt/holdstill/"}
    assert all(name.startswith("./opt/holdstill/package/") for name in outside)
    assert run("dpkg-deb", "--field", again, "Version").strip() == "8.2"
    needed = run("dpkg-deb", "--field", again, "Depends")
    assert {"libcups2", "xserver-xorg-core"} <= set(needed.strip().split(", "))
    assert "gcc" not in needed


def test_a_package_is_installed_upgraded_gone_back_from_and_removed(packages, root, tmp_path):
    installed(root, "--install", packages["8.1"])
    assert version_in_use(root) == "8.1"
    (root / "etc/holdstill/settings.toml").write_text("[booth]\n")
    installed(root, "--install", packages["8.2"])
    assert version_in_use(root) == "8.2"
    picture = ROOT / "demo/sitter/yaw+00_pitch+00.jpg"
    current = root / "opt/holdstill/current"
    alone = {**os.environ, "PYTHONPATH": str(current.resolve())}
    measure = (current / ".venv/bin/python", "-m", "kiosk.cli", "measure", picture, "--document", "gb-passport-print")
    assert "PASS" in run(*measure, env=alone, cwd="/").upper()
    run(root / BACK, env={**os.environ, "DESTDIR": str(root)})
    assert version_in_use(root) == "8.1"
    installed(root, "--purge", "holdstill")
    assert (root / "etc/holdstill/settings.toml").read_text() == "[booth]\n"
    assert not (root / "opt/holdstill").exists()
    left = [path for path in (root / "etc").rglob("*") if not path.is_dir() or path.is_symlink()]
    assert left == [root / "etc/holdstill/settings.toml"]


@pytest.mark.slow
def test_an_upgrade_that_is_cut_off_is_finished_by_dpkg(packages, root, tmp_path):
    (tmp_path / "kill.sh").write_text(KILL)
    installed(root, "--install", packages["8.1"])
    seen = []
    for kill_at in range(1, 1000, 12):
        copy = tmp_path / "cut"
        shutil.copytree(root, copy, symlinks=True)
        cut = dpkg(copy, "--install", packages["8.2"], BASH_ENV=str(tmp_path / "kill.sh"), KILL_AT=str(kill_at))
        if cut.returncode == 0:
            break
        seen.append(version_in_use(copy))
        installed(copy, "--configure", "-a")
        assert version_in_use(copy) == "8.2"
        shutil.rmtree(copy)
    assert (seen[0], seen[-1]) == ("8.1", "8.2")
