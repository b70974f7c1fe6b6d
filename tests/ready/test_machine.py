"""Disks, calendar and session folder, each on the edge between good and not."""

import os
import shutil
from collections import namedtuple
from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest

from kiosk.core.view.finding import stopping
from kiosk.ready.machine import GOOD_MIB, LEAST_MIB, file_system, machine_findings
from kiosk.settings import read_settings
from tests.support.shipped import CATALOGUE

DOCUMENTS = [CATALOGUE.get("gb-passport-print")]
TODAY = DOCUMENTS[0].read_on
NOON_S = datetime.combine(TODAY, time(12), UTC).timestamp()
SETTINGS = """
[booth]
documents = ["gb-passport-print"]
session_folder = "session"
state_folder = "state"
[camera]
backend = "uvc"
[printer]
backend = "folder"
folder = "prints"
"""
# Lines of /proc/self/mountinfo as proc(5) describes them; a space in a path is written \040.
MOUNTS = r"""22 27 0:20 / /proc rw,nosuid - proc proc rw
27 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
30 27 0:24 / /run rw,nosuid,nodev shared:5 - tmpfs tmpfs rw,size=800000k
41 30 8:2 / /run/kept rw - xfs /dev/sda2 rw
52 27 0:40 / /srv/two\040words rw - tmpfs tmpfs rw
"""


@pytest.fixture
def settings(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_text(SETTINGS)
    os.utime(path, (NOON_S, NOON_S))
    return read_settings(path)


def found(settings, today=TODAY):
    return {finding.name: finding for finding in machine_findings(settings, DOCUMENTS, today)}


@pytest.mark.parametrize(
    ("folder", "kind"),
    [
        ("/run/holdstill", "tmpfs"),
        ("/run/kept/holdstill", "xfs"),
        ("/runner", "ext4"),
        ("/srv/two words/session", "tmpfs"),
        ("/", "ext4"),
    ],
)
def test_the_nearest_mount_tells_the_file_system(tmp_path, folder, kind):
    (tmp_path / "mountinfo").write_text(MOUNTS)
    assert file_system(Path(folder), tmp_path / "mountinfo") == kind


def test_the_kernels_own_table_is_read():
    assert file_system(Path("/proc/self")) == "proc"


def test_a_session_folder_on_a_disk_is_warned_of_with_its_key(settings, tmp_path):
    (tmp_path / "mountinfo").write_text(MOUNTS)
    finding = next(f for f in machine_findings(settings, DOCUMENTS, TODAY, tmp_path / "mountinfo") if f.value == "ext4")
    assert (finding.grade, "booth.session_folder" in finding.sentence) == ("warn", True)


@pytest.mark.parametrize(
    ("free_mib", "grade"), [(GOOD_MIB, "ok"), (GOOD_MIB - 1, "warn"), (LEAST_MIB, "warn"), (LEAST_MIB - 1, "stop")]
)
def test_a_full_disk_first_warns_and_then_stops(settings, monkeypatch, free_mib, grade):
    usage = namedtuple("Usage", "total used free")(0, 0, free_mib * 2**20)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage)
    assert found(settings)["disk_room"].grade == grade


def test_one_disk_is_told_once_and_folders_need_not_be_there_yet(settings):
    rooms = [finding for finding in machine_findings(settings, DOCUMENTS, TODAY) if finding.name == "disk_room"]
    assert len(rooms) == 1


def test_a_calendar_before_the_day_the_rules_were_read_stops_the_booth(settings):
    finding = found(settings, date(2000, 1, 1))["calendar"]
    assert finding.grade == "stop"
    assert stopping([finding]) is finding
    assert "2000-01-01" in finding.sentence
    assert found(settings, TODAY)["calendar"].grade == "ok"
