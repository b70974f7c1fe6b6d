"""A release: the wheel and the sdist that hatchling builds are whole, and run without the repository."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import tarfile
import zipfile
from pathlib import Path

import pytest

from kiosk import __version__

ROOT = Path(__file__).parents[1]
PHOTO = ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg"
GB = ("--document", "gb-passport-print")
BESIDE_CODE = {
    "kiosk/data/specs": "specs/*.toml",
    "kiosk/data/cameras": "hardware/cameras/*.toml",
    "kiosk/data/printers": "hardware/printers/*.toml",
    "kiosk/fonts": "kiosk/fonts/*.*tf",
    "kiosk/locale": "kiosk/locale/*.po",
}
"""Folders of the wheel, and the files of the repository that they hold."""


def run(*command, **how):
    """Return what a command prints; it must succeed."""
    return subprocess.run(command, check=True, capture_output=True, text=True, **how).stdout


def build(root, target, kind):
    """Build one distribution out of a source tree."""
    run(sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", target, cwd=root)
    return next(target.glob("*.whl" if kind == "wheel" else "*.tar.gz"))


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    return build(ROOT, tmp_path_factory.mktemp("wheel"), "wheel")


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """Return the environment of a process that finds the wheel before the repository."""
    target = tmp_path_factory.mktemp("site")
    run(sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--no-index", "--target", target, wheel)
    libraries = sysconfig.get_path("purelib")
    return os.environ | {"PYTHONPATH": f"{target}{os.pathsep}{libraries}", "SITE": str(target)}


def test_the_wheel_holds_every_document_profile_font_and_language(wheel):
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder, pattern in BESIDE_CODE.items():
        wanted = {f"{folder}/{path.name}" for path in ROOT.glob(pattern)}
        assert wanted, pattern
        assert wanted <= names, folder
    weights = {str(path.relative_to(ROOT)) for path in (ROOT / "kiosk").rglob("*.npz")}
    assert weights <= names
    assert not [name for name in names if name.startswith(("tests/", "demo/"))]
    assert wheel.name.startswith(f"holdstill-{__version__}-")


def test_the_sdist_makes_the_same_wheel(wheel, tmp_path):
    """Whoever packages the project starts from the sdist, not from the repository."""
    sdist = build(ROOT, tmp_path / "sdist", "sdist")
    with tarfile.open(sdist) as archive:
        archive.extractall(tmp_path / "source", filter="data")
    again = build(next((tmp_path / "source").iterdir()), tmp_path / "again", "wheel")
    contents = [
        {
            member.filename: member.CRC
            for member in zipfile.ZipFile(each).infolist()
            if "dist-info" not in member.filename
        }
        for each in (wheel, again)
    ]
    assert contents[0] == contents[1]


def test_the_installed_program_measures_and_makes_a_sheet(installed, tmp_path):
    """The first real use of README, in a folder of its own, from nothing but the wheel and its libraries."""
    program = [sys.executable, Path(installed["SITE"]) / "bin" / "holdstill"]
    here = run(sys.executable, "-c", "import kiosk; print(kiosk.__file__)", env=installed, cwd=tmp_path)
    assert here.startswith(installed["SITE"])
    assert __version__ in run(*program, "--version", env=installed, cwd=tmp_path)
    assert "gb-passport-print" in run(*program, "documents", env=installed, cwd=tmp_path)
    run(*program, "sheet", PHOTO, *GB, "--paper", "4x6in", "-o", "sheet.pdf", env=installed, cwd=tmp_path)
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.slow
def test_the_wheel_runs_in_an_empty_environment(wheel, tmp_path):
    """Only the pinned libraries of the booth and the wheel are installed; no file of the repository is in reach."""
    python = tmp_path / "venv" / "bin" / "python"
    run(sys.executable, "-m", "venv", tmp_path / "venv")
    pip = [python, "-m", "pip", "install", "-q", "--disable-pip-version-check", "--no-deps"]
    run(*pip, "--require-hashes", "-r", ROOT / "hardware" / "os" / "requirements.txt")
    run(*pip, "--no-index", wheel)
    alone = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    program = python.with_name("holdstill")
    shown = run(program, "measure", PHOTO, *GB, env=alone, cwd=tmp_path)
    assert "PASS" in shown.upper()
    run(program, "sheet", PHOTO, *GB, "--paper", "4x6in", "-o", "sheet.pdf", env=alone, cwd=tmp_path)
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
