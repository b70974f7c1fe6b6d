"""The file goes to the stick that its sitter plugs in, and to no other; what is wrong with a stick is said."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from kiosk.handover.sticks import mounted, write_to
from tests.support.handover_lab import NAME

ALONE = ["unshare", "--map-root-user", "--mount"]
may_mount = subprocess.run([*ALONE, "mount", "-t", "tmpfs", "x", "/mnt"], capture_output=True, check=False)
needs_mounts = pytest.mark.skipif(may_mount.returncode != 0, reason="this kernel lets no user mount a file system")


def played(folder, scene):
    command = [*ALONE, sys.executable, "-m", "tests.support.handover_lab", folder, scene]
    done = subprocess.run(command, capture_output=True, text=True, timeout=400, check=False)
    assert done.returncode == 0, done.stderr
    said, sticks = json.loads(done.stdout)
    return said[2:], sticks


@needs_mounts
def test_a_stick_that_is_plugged_in_gets_the_file_and_one_that_was_there_gets_nothing(tmp_path):
    said, sticks = played(tmp_path, "good")
    assert said == ["writing", "taken"]
    assert sticks == {"mine": [f"{NAME}.jpg"], "others": ["holiday.jpg"]}


@needs_mounts
def test_the_stick_that_was_there_gets_it_when_it_is_plugged_in_again(tmp_path):
    said, sticks = played(tmp_path, "again")
    assert (said, sticks["others"]) == (["writing", "taken"], [f"{NAME}.jpg"])


@needs_mounts
@pytest.mark.parametrize("fault", ["full", "read_only"])
def test_a_stick_that_takes_nothing_is_said_and_nothing_is_left_on_it(tmp_path, fault):
    said, sticks = played(tmp_path, fault)
    assert said == ["writing", fault]
    assert sticks == {"mine": [], "others": ["holiday.jpg"]}


@needs_mounts
def test_after_a_full_stick_another_one_gets_the_file(tmp_path):
    said, sticks = played(tmp_path, "full_then_good")
    assert said == ["writing", "full", "insert", "writing", "taken"]
    assert sticks["mine"] == [f"{NAME}.jpg"]


def test_a_stick_that_is_pulled_is_said(tmp_path):
    assert write_to(tmp_path / "gone", NAME, b"jpeg") == "pulled"


def test_what_is_on_the_stick_stays(tmp_path):
    (tmp_path / f"{NAME}.jpg").write_bytes(b"of before")
    assert write_to(tmp_path, NAME, b"jpeg") is None
    assert (tmp_path / f"{NAME}.jpg").read_bytes() == b"of before"
    assert (tmp_path / f"{NAME}-2.jpg").read_bytes() == b"jpeg"
    assert len(list(tmp_path.iterdir())) == 2


def test_mounts_are_known_by_their_ids_and_their_places_unescaped(tmp_path):
    """Lines as in proc(5), mountinfo; a blank in a name is written in octal."""
    mounts = tmp_path / "mountinfo"
    mounts.write_text(
        "31 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw\n"
        "90 31 8:17 / /media/MY\\040STICK rw,nosuid shared:2 - vfat /dev/sdb1 rw\n"
    )
    assert mounted("/media/*", mounts) == {("90", "8:17"): Path("/media/MY STICK")}
