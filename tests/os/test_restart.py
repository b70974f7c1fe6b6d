"""The restart of a machine at night: after packages were installed, and never with somebody in the booth.

`systemctl` is a stand-in that notes what it is asked; the booth is a process that ends some time after it was asked to.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.os.test_install import read_unit
from tests.support.virtual_printer import wait_for

OS = Path(__file__).parents[2] / "hardware" / "os"
SYSTEMCTL = """#!/bin/sh
echo "$1" >>"$TOLD"
if [ "$1" = show ]; then cat "$PID"; fi
if [ "$1" = reboot ] && [ -d "/proc/$(cat "$PID")" ]; then echo occupied >>"$TOLD"; fi
"""
LONG_AGO_S = 86400


class Machine:
    """What the script finds, and what it asks of systemd."""

    def __init__(self, folder):
        self.folder = folder
        self.status = folder / "var/lib/dpkg/status"
        self.told = folder / "told"
        self.pid = folder / "pid"
        self.status.parent.mkdir(parents=True)
        self.status.touch()
        self.pid.write_text("0")
        self.told.touch()
        (folder / "systemctl").write_text(SYSTEMCTL)
        (folder / "systemctl").chmod(0o755)

    def begin(self):
        """Begin the restart."""
        given = {"TOLD": str(self.told), "PID": str(self.pid), "DESTDIR": str(self.folder)}
        environment = os.environ | given | {"PATH": f"{self.folder}:{os.environ['PATH']}"}
        return subprocess.Popen([OS / "restart"], env=environment)

    def asked(self):
        """Return what systemd was asked."""
        return self.told.read_text().split()


@pytest.fixture
def machine(tmp_path):
    return Machine(tmp_path)


def test_it_goes_on_where_nothing_was_installed_since_its_start(machine):
    (started_s,) = (int(line.split()[1]) for line in Path("/proc/stat").read_text().splitlines() if "btime" in line)
    os.utime(machine.status, (started_s - LONG_AGO_S,) * 2)
    assert machine.begin().wait(60) == 0
    assert machine.asked() == []


def test_it_restarts_after_packages_were_installed_though_the_booth_does_not_run(machine):
    assert machine.begin().wait(60) == 0
    assert machine.asked() == ["show", "reboot"]


def test_it_waits_until_the_booth_has_ended(machine):
    booth = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    machine.pid.write_text(str(booth.pid))
    restart = machine.begin()
    wait_for(lambda: "reload" in machine.asked(), "the booth was never asked to end")
    assert restart.poll() is None
    booth.communicate(b"\n")
    assert restart.wait(60) == 0
    assert machine.asked() == ["show", "reload", "reboot"]


def test_it_waits_for_an_upgrade_that_still_runs():
    """`After=` waits for what is being started, as a one-shot service is while it works (systemd.unit(5))."""
    assert read_unit("holdstill-restart.service")["Unit"]["After"] == "apt-daily-upgrade.service"


def test_updates_are_those_of_debians_security_archive_alone(tmp_path):
    """Read after Debian's own 50unattended-upgrades, which takes a point release too (from memory)."""
    (tmp_path / "50unattended-upgrades").write_text(
        'Unattended-Upgrade::Origins-Pattern { "origin=Debian,codename=${distro_codename},label=Debian"; };\n'
        'Unattended-Upgrade::Automatic-Reboot "true";\n'
    )
    (tmp_path / "90-holdstill").write_bytes((OS / "root/etc/apt/apt.conf.d/90-holdstill").read_bytes())
    command = ["apt-config", "-o", f"Dir::Etc::parts={tmp_path}", "-o", "Dir::Etc::main=/dev/null", "dump"]
    environment = {**os.environ, "APT_CONFIG": str(tmp_path / "empty")}
    (tmp_path / "empty").write_text(f'Dir::Etc::parts "{tmp_path}";\n')
    said = subprocess.run(command, env=environment, capture_output=True, text=True, check=True).stdout.splitlines()
    patterns = [line for line in said if line.startswith("Unattended-Upgrade::Origins-Pattern::")]
    security = "origin=Debian,codename=${distro_codename}-security,label=Debian-Security"
    assert patterns == [f'Unattended-Upgrade::Origins-Pattern:: "{security}";']
    assert 'Unattended-Upgrade::Automatic-Reboot "false";' in said
