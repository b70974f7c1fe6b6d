"""The printer gives a sheet up: its sitter's photo is kept, printed once the printer is mended, or wiped."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.support.memory_lab import found_in
from tests.support.pilot import booth
from tests.support.unprinted_booth import STILL, print_photo

ROOT = Path(__file__).parents[3]
OWNER = """
import sys
from pathlib import Path
from tests.support.unprinted_booth import own_unprinted_photo
own_unprinted_photo(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
"""
PATIENCE_S = 400.0
PAGE_BYTES = 4096


@pytest.fixture(params=["failed", "unknown"])
def at_the_printer(request, rig, tmp_path):
    """Return a booth whose sheet the printer has given up: one that has counted its sheets before is believed."""
    printer = rig.open()
    if request.param == "failed":
        rig.wait(rig.begin(printer))
    rig.device.say("media-empty")
    with booth(tmp_path, "gb-passport-print", scenario=STILL, printer=printer) as pilot:
        print_photo(pilot)
        pilot.until("unprinted", limit_s=500.0)
        assert pilot.view.sheet.print_state == request.param
        yield pilot


def test_the_kept_photo_is_printed_once_there_is_paper(rig, at_the_printer):
    pilot = at_the_printer
    assert pilot.parts.files.names() != []
    before = len(rig.device.came_out())
    rig.device.say()
    pilot.tap("retry")
    pilot.until("collect", limit_s=500.0)
    pilot.advance(0.5)
    assert len(rig.device.came_out()) == before + 1
    assert pilot.parts.files.names() == []


def test_the_sitter_who_gives_it_up_leaves_nothing(rig, at_the_printer):
    pilot = at_the_printer
    (delete,) = (target for target in pilot.parts.screen.stage.targets if getattr(target.act, "panel", "") == "delete")
    pilot.touch(delete.act, 0.5)
    assert pilot.view.state == "unprinted", "it is asked for once more"
    pilot.tap("start_again")
    assert pilot.view.state in ("welcome", "out_of_order")
    assert pilot.parts.files.names() == []


def pages_of(photo):
    """Return a photo cut into pages, the unit in which freed memory goes back to the kernel."""
    return [photo[start : start + PAGE_BYTES] for start in range(0, len(photo) - PAGE_BYTES, PAGE_BYTES)]


def test_after_its_time_the_photo_is_nowhere_in_the_booths_memory(rig, tmp_path):
    rig.device.say("media-empty")
    command = [sys.executable, "-c", OWNER, str(tmp_path), rig.device.name, str(rig.lab.port)]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        try:
            assert process.stdout.readline().split()[:1] == ["ready"]
            pages = pages_of((tmp_path / "photo").read_bytes())
            assert found_in(process.pid, pages), "the search finds what is there"
            (tmp_path / "leave").touch()
            end_s = time.monotonic() + PATIENCE_S
            while found_in(process.pid, pages) and time.monotonic() < end_s:
                time.sleep(0.2)
            assert found_in(process.pid, pages) == 0
        finally:
            process.kill()
