"""The install, as far as a container can try it: into a folder, then looked over by its own check and by systemd.

What needs a running machine (the X server on a console, cameras, the mounts) is looked over by `hardware/os/check`
on that machine and is not shown here.
"""

import configparser
import os
import re
import shutil
import signal
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from kiosk.errors import EXIT_ENDED
from tests.support.virtual_printer import wait_for

OS = Path(__file__).parents[2] / "hardware" / "os"
UNITS = "etc/systemd/system"
SLEEP = ("sleep", "suspend", "hibernate", "hybrid-sleep", "suspend-then-hibernate")


def called(script, folder):
    environment = {**os.environ, "DESTDIR": str(folder)}
    return subprocess.run([OS / script], env=environment, capture_output=True, text=True, check=False)


def listed(folder):
    entries = {}
    for path in sorted(folder.rglob("*")):
        content = path.readlink() if path.is_symlink() else path.read_bytes() if path.is_file() else None
        entries[str(path.relative_to(folder))] = (stat.filemode(path.lstat().st_mode), content)
    return entries


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("root")
    touch_screen = folder / "sys/bus/usb/devices/1-1"
    (touch_screen / "1-1:1.0").mkdir(parents=True)
    for name, text in (("idVendor", "0eef"), ("idProduct", "0001"), ("1-1:1.0/bInterfaceClass", "03")):
        (touch_screen / name).write_text(f"{text}\n")
    run = called("install", folder)
    assert run.returncode == 0, run.stderr
    return folder


@pytest.fixture
def copy(installed, tmp_path):
    shutil.copytree(installed, tmp_path / "root", symlinks=True, copy_function=os.link)
    return tmp_path / "root"


def rewritten(text):
    """Return what gives a file another content, as a new file, for the copy shares the old one."""

    def spoil(path):
        path.unlink()
        path.write_text(text)

    return spoil


def test_what_was_just_installed_is_found_well(installed):
    run = called("check", installed)
    assert run.returncode == 0, run.stdout
    assert run.stderr == ""
    assert all(line.startswith("ok   ") for line in run.stdout.splitlines())


def test_a_second_install_changes_nothing(copy):
    before = listed(copy)
    assert called("install", copy).returncode == 0
    assert listed(copy) == before


def test_an_update_takes_away_what_the_program_no_longer_has_and_leaves_what_is_the_shops(copy):
    (copy / "opt/holdstill/current/kiosk/old.py").touch()
    (copy / "etc/holdstill/settings.toml").write_text("[booth]\n")
    assert called("install", copy).returncode == 0
    assert not (copy / "opt/holdstill/current/kiosk/old.py").exists()
    assert (copy / "etc/holdstill/settings.toml").read_text() == "[booth]\n"


@pytest.mark.parametrize(
    ("path", "spoil", "said"),
    [
        (f"{UNITS}/holdstill.service", rewritten("[Service]\n"), "was changed"),
        ("etc/udev/rules.d/70-holdstill.rules", Path.unlink, "is missing"),
        ("etc/systemd/user/gvfs-gphoto2-volume-monitor.service", Path.unlink, "may take the camera away"),
        (f"{UNITS}/ctrl-alt-del.target", Path.unlink, "restarts the machine"),
        (f"{UNITS}/autovt@.service", Path.unlink, "a console beside the booth's screen"),
        (f"{UNITS}/getty@tty1.service", Path.unlink, "a console beside the booth's screen"),
        *((f"{UNITS}/{target}.target", Path.unlink, "put the booth to sleep") for target in SLEEP),
        ("etc/systemd/logind.conf.d/90-holdstill.conf", Path.unlink, "is missing"),
        ("etc/systemd/system.conf.d/90-holdstill.conf", rewritten("[Manager]\n"), "was changed"),
        ("etc/sysctl.d/90-holdstill.conf", rewritten("kernel.sysrq = 1\n"), "was changed"),
        (f"{UNITS}/multi-user.target.wants/holdstill.service", Path.unlink, "does not start with the machine"),
        (f"{UNITS}/timers.target.wants/holdstill-disks.timer", Path.unlink, "does not start with the machine"),
        (f"{UNITS}/timers.target.wants/holdstill-restart.timer", Path.unlink, "does not start with the machine"),
        ("etc/apt/apt.conf.d/90-holdstill", Path.unlink, "is missing"),
        (f"{UNITS}/default.target", Path.unlink, "into a desktop"),
        ("opt/holdstill/current/kiosk/booth/loop.py", rewritten(""), "another version"),
        ("usr/local/bin/holdstill", Path.unlink, "does not lead to the program"),
        ("etc/holdstill", lambda path: path.chmod(0o755), "read by others"),
    ],
)
def test_each_thing_that_is_not_as_it_should_be_is_told_with_a_next_step(copy, path, spoil, said):
    spoil(copy / path)
    run = called("check", copy)
    assert run.returncode == 1
    wrong = [line for line in run.stdout.splitlines() if not line.startswith("ok   ")]
    assert len(wrong) == 2, run.stdout
    assert wrong[0].startswith("no   ")
    assert said in wrong[0]
    assert wrong[1].startswith("     > ")


def test_systemd_finds_nothing_wrong_in_the_units(tmp_path):
    """`systemd-analyze verify` of systemd 252, with stand-ins for the programs that only a booth has."""
    (tmp_path / "there").touch(mode=0o755)
    for unit in (OS / "root" / UNITS).glob("*.*"):
        if unit.is_dir():
            continue
        text = re.sub(r"(?m)^(Exec\w+=\+?)/\S+", rf"\g<1>{tmp_path}/there", unit.read_text())
        (tmp_path / unit.name).write_text(text)
    units = [path for path in tmp_path.iterdir() if path.suffix in (".service", ".mount", ".timer")]
    run = subprocess.run(["systemd-analyze", "verify", "--man=no", *units], capture_output=True, text=True, check=False)
    told = [line for line in (run.stdout + run.stderr).splitlines() if str(tmp_path) in line or "holdstill" in line]
    assert told == []
    assert run.returncode == 0


@pytest.mark.parametrize(
    ("name", "most"), [("holdstill.service", 20), ("holdstill-screen.service", 25), ("holdstill-watch@.service", 10)]
)
def test_the_units_are_locked_up(name, most):
    """The overall exposure of `systemd-analyze security`, in tenths, 0 to 100; the X server is root on the console."""
    unit = OS / "root" / UNITS / name
    command = ["systemd-analyze", "security", "--offline=true", f"--threshold={most}", unit]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout


def calls_of(name):
    """Return the system calls of a set of systemd's, with those of the sets in it."""
    run = subprocess.run(["systemd-analyze", "syscall-filter", name], capture_output=True, text=True, check=True)
    named = [line.strip() for line in run.stdout.splitlines()[1:] if line.startswith("    ") and "#" not in line]
    return {call for each in named for call in (calls_of(each) if each.startswith("@") else {each})}


def test_the_service_lets_its_children_lower_their_priority():
    """Neither `nice` nor another class than a real-time one is kept from the page's process."""
    text = (OS / "root" / UNITS / "holdstill.service").read_text()
    lists = re.findall(r"(?m)^SystemCallFilter=(~?)(.+)$", text)
    let, kept = (
        {call for no, names in lists if bool(no) == refuses for name in names.split() for call in calls_of(name)}
        for refuses in (False, True)
    )
    assert {"setpriority", "getpriority", "sched_setscheduler", "socketpair", "prctl"} <= let - kept


def test_the_booth_is_killed_when_it_hangs_and_comes_back_for_ever():
    unit = configparser.ConfigParser(strict=False, interpolation=None)
    unit.optionxform = str
    unit.read(OS / "root" / UNITS / "holdstill.service")
    service = unit["Service"]
    assert int(service["RestartPreventExitStatus"]) == int(service["SuccessExitStatus"]) == EXIT_ENDED
    assert (service["Type"], service["Restart"], unit["Unit"]["StartLimitIntervalSec"]) == ("notify", "always", "0")
    assert 0 < int(service["WatchdogSec"]) <= 30
    assert (service["User"], service["LimitCORE"], service["MemorySwapMax"]) == ("holdstill", "0", "0")


def read_unit(name):
    unit = configparser.ConfigParser(strict=False, interpolation=None)
    unit.optionxform = str
    unit.read(OS / "root" / UNITS / name)
    return unit


@pytest.mark.parametrize("name", ["holdstill.service", "holdstill-screen.service"])
def test_each_unit_is_bounded_and_is_started_again_without_end(name):
    unit = read_unit(name)
    assert (unit["Unit"]["StartLimitIntervalSec"], unit["Service"]["Restart"]) == ("0", "always")
    assert {"LimitNOFILE", "TasksMax", "MemoryMax"} <= set(unit["Service"])


def test_a_screen_that_cannot_be_started_yet_keeps_no_booth_from_starting_later():
    """A unit whose `Requires=` failed to start is not started later, when that has come up (tried on systemd 252)."""
    booth = read_unit("holdstill.service")
    screen = "holdstill-screen.service"
    for needs in ("Requires", "Requisite", "BindsTo", "PartOf"):
        assert screen not in booth["Unit"].get(needs, "")
    assert screen in booth["Unit"]["Wants"]
    assert screen in booth["Unit"]["After"]


def test_no_console_no_sleep_and_a_watchdog(installed):
    login = (installed / "etc/systemd/logind.conf.d/90-holdstill.conf").read_text()
    assert {"NAutoVTs=0", "HandlePowerKey=ignore", "HandleSuspendKey=ignore"} <= set(login.split())
    manager = (installed / "etc/systemd/system.conf.d/90-holdstill.conf").read_text()
    assert "RuntimeWatchdogSec=30s" in manager
    kernel = (installed / "etc/sysctl.d/90-holdstill.conf").read_text()
    for setting in ("kernel.panic = 10", "kernel.core_pattern = |/bin/false", "kernel.yama.ptrace_scope = 2"):
        assert setting in kernel


def test_the_users_are_made_without_a_login(installed, tmp_path):
    """By systemd-sysusers, into the files of a folder."""
    conf = installed / "etc/sysusers.d/holdstill.conf"
    (tmp_path / "etc").mkdir()
    subprocess.run(["systemd-sysusers", f"--root={tmp_path}", conf], check=True, capture_output=True)
    users = (tmp_path / "etc/passwd").read_text()
    for name in ("holdstill", "holdstill-watch"):
        assert re.search(rf"^{name}:x:\d+:\d+:.*:/usr/sbin/nologin$", users, re.MULTILINE)


def test_a_watched_folder_is_served_by_a_user_of_its_own_that_reads_the_settings_alone():
    unit = read_unit("holdstill-watch@.service")
    service = unit["Service"]
    assert (service["User"], service["SupplementaryGroups"]) == ("holdstill-watch", "holdstill")
    assert service["ReadWritePaths"] == "/srv/holdstill/%i/made"
    assert {"-/var/lib/holdstill", "-/run/holdstill"} <= set(service["InaccessiblePaths"].split())
    assert (service["LimitCORE"], service["MemorySwapMax"], service["PrivateNetwork"]) == ("0", "0", "yes")
    assert {"LimitNOFILE", "TasksMax", "MemoryMax"} <= set(service)
    assert (unit["Unit"]["StartLimitIntervalSec"], service["Restart"]) == ("0", "on-failure")


def test_the_watch_as_its_unit_starts_and_stops_it(tmp_path):
    """The unit's own command, with its signal and its umask; only the root of its folders is another."""
    service = read_unit("holdstill-watch@.service")["Service"]
    arrived, made = tmp_path / "srv/holdstill/counter/arrived", tmp_path / "srv/holdstill/counter/made"
    for folder in (arrived, made):
        folder.mkdir(parents=True)
    line = service["ExecStart"].replace("/srv/", f"{tmp_path}/srv/").replace("%i", "counter")
    program, *arguments = line.replace("$OPTIONS", "--document gb-passport-print --paper 4x6in").split()
    assert program == "/opt/holdstill/current/.venv/bin/holdstill"
    shutil.copy(OS.parents[1] / "demo/sitter/yaw+00_pitch+00.jpg", arrived / "one.jpg")
    watch = subprocess.Popen(
        [sys.executable, "-m", "kiosk.cli", *arguments],
        umask=int(service["UMask"], 8),
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        wait_for((made / "one.txt").exists, "nothing was made")
        watch.send_signal(signal.Signals[service["KillSignal"]])
        said = watch.communicate(timeout=60)[1]
    finally:
        watch.kill()
    assert watch.returncode == int(service["SuccessExitStatus"])
    assert "one" not in said
    assert {path.name: stat.S_IMODE(path.stat().st_mode) for path in made.iterdir()} == {
        "one.txt": 0o660,
        "one_gb-passport-print.pdf": 0o660,
    }


def test_the_screens_key_is_new_each_time_and_for_the_group_alone(tmp_path):
    keys = set()
    for _ in range(2):
        subprocess.run([OS / "screen-key", tmp_path / "key"], check=True)
        told = subprocess.run(["xauth", "-f", tmp_path / "key", "list"], check=True, capture_output=True, text=True)
        keys.add(re.search(r"MIT-MAGIC-COOKIE-1  ([0-9a-f]{32})$", told.stdout.strip()).group(1))
    assert len(keys) == 2
    assert stat.S_IMODE((tmp_path / "key").stat().st_mode) == 0o640


def test_the_scripts_are_well_formed():
    scripts = [
        OS / name
        for name in (
            "install",
            "check",
            "holdstill",
            "restart",
            "screen-key",
            "disk-health",
            "inputs",
            "prepare",
            "lock",
            "package",
            "take",
            "settle",
            "held",
            "back",
            "versions",
            "debian/postinst",
            "debian/prerm",
            "debian/postrm",
        )
    ]
    run = subprocess.run(["shellcheck", *scripts], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout


def test_the_environment_of_another_clone_is_never_installed_into(tmp_path):
    """A link is what people put there who work in several clones; pip would point its commands at the last one."""
    clone, other = tmp_path / "clone", tmp_path / "other"
    (clone / "hardware/os").mkdir(parents=True)
    shutil.copy(OS / "prepare", clone / "hardware/os")
    (clone / "pyproject.toml").touch()
    (clone / "requirements.txt").touch()
    (other / "bin").mkdir(parents=True)
    python = other / "bin/python"
    python.write_text(f'#!/bin/sh\n[ "$1" = -V ] && exec {sys.executable} -V\necho "$@" >>"{other}/installed"\n')
    python.chmod(0o755)
    (clone / ".venv").symlink_to(other)
    environment = {**os.environ, "HOLDSTILL_PYTHON": sys.executable}
    command = [clone / "hardware/os/prepare", "requirements.txt"]
    run = subprocess.run(command, env=environment, capture_output=True, text=True, check=False)
    assert not (other / "installed").exists()
    assert (run.returncode, run.stdout) == (23, "")
    assert f".venv is a link to {other}" in run.stderr
    assert "remove the link" in run.stderr


def test_a_booth_gets_the_versions_that_were_tried():
    def pinned(path):
        return set(re.findall(r"^([A-Za-z0-9_.-]+==\S+)", path.read_text(), re.MULTILINE))

    booth = pinned(OS / "booth.txt")
    assert booth <= pinned(OS.parents[1] / "tests" / "requirements.txt")
    assert any(pin.startswith("pycups==") for pin in booth)
