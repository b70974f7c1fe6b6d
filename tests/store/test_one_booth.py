"""Two booths on one machine: the second is refused in one sentence and touches nothing of the first."""

import subprocess
import sys

import pytest

from kiosk.errors import BoothTaken, CannotWrite
from kiosk.store.one_booth import only_booth

HOLDER = """
import pathlib, sys
from kiosk.store.one_booth import only_booth
with only_booth(pathlib.Path("/etc/till.toml"), sys.argv[1], pathlib.Path(sys.argv[2])):
    print("held", flush=True)
    sys.stdin.read()
"""
FILE = "booth.toml"


@pytest.fixture
def held(tmp_path):
    command = [sys.executable, "-c", HOLDER, f"till {tmp_path.name}", str(tmp_path / "session")]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout.readline() == "held\n"
        yield other
        other.kill()


def test_a_second_booth_of_that_name_is_refused(held, tmp_path):
    with pytest.raises(BoothTaken) as refused, only_booth(tmp_path / FILE, f"till {tmp_path.name}", tmp_path / "other"):
        pass
    assert str(refused.value) == (
        f"{tmp_path / FILE}: booth.name: a booth named 'till {tmp_path.name}' is already running on this machine."
    )
    assert "give each its own name" in refused.value.advice
    assert not (tmp_path / "other").exists()


@pytest.mark.parametrize("name", ["", "another"])
def test_a_second_booth_with_that_session_folder_is_refused(held, tmp_path, name):
    with (
        pytest.raises(BoothTaken, match=r"booth\.session_folder: .*already running"),
        only_booth(tmp_path / FILE, name and f"{name} {tmp_path.name}", tmp_path / "session"),
    ):
        pass


def test_a_booth_that_was_killed_holds_nothing(held, tmp_path):
    held.kill()
    held.wait()
    with only_booth(tmp_path / FILE, f"till {tmp_path.name}", tmp_path / "session"):
        pass


def test_a_session_folder_that_cannot_be_made_is_said(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(CannotWrite, match="file/session"), only_booth(tmp_path / FILE, "", tmp_path / "file/session"):
        pass
