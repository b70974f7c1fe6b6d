"""A change on trial is watched, and goes back by itself if it does not hold: the real script, with a booth that obeys.

The service manager is a stand-in that says what a file tells it to; `holdstill ready` is one that finds what the
settings name. The same ran under a real systemd in a container, by hand.
"""

import signal

import pytest

from tests.os.test_change import BEFORE, CURRENT, OTHERS, booth, everything
from tests.os.test_update import clones, run, version_in_use

__all__ = ["booth", "clones"]

MANAGER = """#!/bin/bash
# systemctl show -P PROPERTY [holdstill.service], systemctl reload holdstill.service
cd "$BOOTH" || exit
calls=$(($(<calls) + 1))
echo "$calls" >calls
case $1 in
    reload)
        if [[ -e takes_the_machine_down ]]; then kill -KILL "$PPID"; fi
        echo after >InvocationID
        ;;
    show)
        if [[ $3 == InvocationID && -e falls ]]; then echo "run-$calls"; else cat "$3"; fi
        ;;
esac
"""
AS_USER = """#!/bin/sh
while [ "$1" != -- ]; do shift; done
shift
exec "$@"
"""
READY = """#!/bin/sh
for given; do settings=$given; done
printf '[\\n'
sed -n 's/^# stop: \\(.*\\)/{"grade": "stop", "key": "\\1"},/p' "$settings"
printf ']\\n'
exit 1
"""


@pytest.fixture
def tried(booth, tmp_path, monkeypatch, clones):
    """Return a booth on trial with other settings and a newer program, and its service manager's folder."""
    state = tmp_path / "state"
    state.mkdir()
    told = {"InvocationID": "before", "ActiveState": "active", "StatusText": "welcome", "calls": "0"}
    told["UserspaceTimestamp"] = "the first start"
    for name, text in told.items():
        (state / name).write_text(f"{text}\n")
    tools = tmp_path / "tools"
    tools.mkdir()
    for name, text in {"systemctl": MANAGER, "runuser": AS_USER}.items():
        (tools / name).write_text(text)
        (tools / name).chmod(0o755)
    monkeypatch.setenv("PATH", str(tools), prepend=":")
    monkeypatch.setenv("BOOTH", str(state))
    monkeypatch.setenv("HOLDSTILL_HOLD_S", "2")
    assert run(booth / CURRENT / "held", booth, "keep").returncode == 0
    (booth / "opt/holdstill/held/status").write_text("welcome\n")
    assert run(clones["new"] / "hardware/os/install", booth).returncode == 0
    for version in (booth / "opt/holdstill").glob("[0-9]*"):
        program = version / ".venv/bin/holdstill"
        program.parent.mkdir(parents=True, exist_ok=True)
        program.write_text(READY)
        program.chmod(0o755)
    for name, text in OTHERS.items():
        (booth / "etc/holdstill" / name).write_text(text)
    return booth, state


def settle(root):
    return run(root / CURRENT / "settle", root)


def keeps_shut(root, *keys, before=()):
    for folder, stops in (("etc/holdstill", keys), ("opt/holdstill/held/settings", before)):
        (root / folder / "settings.toml").write_text("".join(f"# stop: {key}\n" for key in stops))


def went_back(root, ended):
    assert "goes back to what it was" in ended.stdout
    assert ended.returncode == 0
    assert not (root / "opt/holdstill/held").exists()
    return version_in_use(root) == "old"


def test_a_change_that_holds_stays(tried):
    root, _ = tried
    ended = settle(root)
    assert ended.returncode == 0
    assert "The change holds." in ended.stdout
    assert version_in_use(root) == "new"
    assert not (root / "opt/holdstill/held").exists()


def test_a_booth_that_falls_again_and_again_goes_back_as_a_whole(tried):
    root, state = tried
    (state / "falls").touch()
    assert went_back(root, settle(root))
    assert everything(root) == BEFORE


def test_a_change_that_takes_the_machine_down_again_and_again_goes_back(tried):
    root, state = tried
    (state / "takes_the_machine_down").touch()
    for start in ("the first start", "the first start", "the second", "the third"):
        (state / "UserspaceTimestamp").write_text(f"{start}\n")
        assert settle(root).returncode == -signal.SIGKILL
        assert version_in_use(root) == "new"
    (state / "UserspaceTimestamp").write_text("the fourth\n")
    ended = settle(root)
    assert went_back(root, ended)
    assert "the machine has started anew" in ended.stdout
    assert everything(root) == BEFORE


def test_a_change_that_keeps_the_booth_shut_goes_back_and_says_why(tried):
    root, _ = tried
    keeps_shut(root, "printer_missing")
    ended = settle(root)
    assert went_back(root, ended)
    assert "(printer_missing)" in ended.stdout


def test_what_kept_the_booth_shut_before_is_no_fault_of_the_change(tried):
    root, _ = tried
    keeps_shut(root, "printer_missing", before=["printer_missing"])
    assert "The change holds." in settle(root).stdout


def test_a_booth_that_is_out_of_order_only_with_the_change_goes_back(tried):
    root, state = tried
    (state / "StatusText").write_text("out_of_order\n")
    assert went_back(root, settle(root))


def test_a_booth_that_was_out_of_order_before_keeps_the_change(tried):
    root, state = tried
    (state / "StatusText").write_text("out_of_order\n")
    (root / "opt/holdstill/held/status").write_text("out_of_order\n")
    assert "The change holds." in settle(root).stdout


def test_a_change_that_was_cut_off_is_taken_back_before_the_booth_takes_it(tried):
    root, state = tried
    assert run(root / CURRENT / "held", root, "undo").returncode == 0
    assert went_back(root, settle(root))
    assert (state / "InvocationID").read_text() == "before\n"


def test_a_running_booth_takes_the_change_when_it_is_free(tried):
    root, state = tried
    ended = settle(root)
    assert "waits until the booth is free" in ended.stdout
    assert (state / "InvocationID").read_text() == "after\n"
