"""Photos in several processes give what one process gives, in the same order."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from kiosk.pipeline.counter import MeasureJob
from kiosk.pipeline.photo_pool import ALONE, each_photo
from tests.support.shipped import CATALOGUE

SITTERS = Path(__file__).parents[2] / "tests" / "data" / "sitters" / "images"
DOCUMENT = CATALOGUE.get("gb-passport-print")


def measuring_copies(folder: Path, count: int) -> list[str]:
    """Lay down so many copies of a photo, and return the command that measures them."""
    source = sorted(SITTERS.glob("*.jpg"))[0].read_bytes()
    for number in range(count):
        (folder / f"{number:03}.jpg").write_bytes(source)
    return [sys.executable, "-m", "kiosk.cli", "measure", str(folder), "--document", DOCUMENT.id, "--json"]


def test_two_processes_find_what_one_finds_in_the_same_order(tmp_path: Path) -> None:
    """Mediapipe's first detector of a process places some boxes a few pixels beside those of later ones (measured)."""
    paths = sorted(SITTERS.glob("*.jpg"))[: ALONE + 4]
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"\xff\xd8")
    paths.insert(2, broken)
    job = MeasureJob((DOCUMENT,))
    alone, shared = (list(each_photo(job, paths, processes)) for processes in (1, 2))
    assert [measured.path for measured in shared] == paths
    assert str(shared[2].error) == str(alone[2].error)
    for one, other in zip(alone, shared, strict=True):
        assert [judgement.verdict for judgement in one.judgements] == [each.verdict for each in other.judgements]
        for mine, theirs in zip(one.judgements, other.judgements, strict=True):
            for here, there in zip(mine.findings, theirs.findings, strict=True):
                mine_is, theirs_is = here.measurement.value, there.measurement.value
                assert (mine_is is None) == (theirs_is is None)
                if mine_is is not None:
                    assert theirs_is == pytest.approx(
                        mine_is, rel=0.02, abs=2 * here.measurement.uncertainty + 1e-6, nan_ok=True
                    )


def test_an_interrupt_ends_a_folder_and_all_its_processes(tmp_path: Path) -> None:
    command = measuring_copies(tmp_path, 200)
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as measuring:
        assert measuring.stdout is not None
        assert json.loads(measuring.stdout.readline())["photo"].endswith("000.jpg")
        children = Path(f"/proc/{measuring.pid}/task/{measuring.pid}/children").read_text().split()
        measuring.send_signal(signal.SIGINT)
        rest = measuring.stdout.read().splitlines()
        assert measuring.wait() == 130
    assert len(rest) < 150
    end_s = time.monotonic() + 30
    while any(Path(f"/proc/{child}").exists() for child in children):
        assert time.monotonic() < end_s, "a process outlived the command"
        time.sleep(0.1)


def test_a_helping_process_that_is_killed_costs_no_photo(tmp_path: Path) -> None:
    command = measuring_copies(tmp_path, 30)
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as measuring:
        assert measuring.stdout is not None
        lines = [measuring.stdout.readline()]
        tasks = Path(f"/proc/{measuring.pid}/task/{measuring.pid}/children")
        (helper,) = (
            child for child in tasks.read_text().split() if b"spawn_main" in Path(f"/proc/{child}/cmdline").read_bytes()
        )
        os.kill(int(helper), signal.SIGKILL)
        lines += measuring.stdout.read().splitlines()
        assert measuring.wait() in (0, 1)
    assert [Path(json.loads(line)["photo"]).name for line in lines] == [f"{number:03}.jpg" for number in range(30)]
