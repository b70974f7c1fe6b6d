"""A day at a photo laboratory, by the commands alone: a folder of orders, a table of them, and a watched folder."""

import csv
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from PIL import Image

from kiosk.cli import main
from kiosk.commands.watch import POLL_S

SITTERS = Path(__file__).parents[2] / "demo" / "sitter"
GOOD, OTHER = SITTERS / "yaw+00_pitch+00.jpg", SITTERS / "yaw+00_pitch+04.jpg"
SHUT = SITTERS / "yaw+00_pitch+00_eyes_closed.jpg"
UK = "gb-passport-print"
PATIENCE_S = 120.0


def run(*arguments: object) -> int:
    return main([str(argument) for argument in arguments])


@pytest.fixture
def orders(tmp_path: Path) -> Path:
    """Return a folder with four photos, one of them of shut eyes, a text, and a picture cut short."""
    folder = tmp_path / "orders"
    folder.mkdir()
    for name, source in (("a.jpg", GOOD), ("b.jpg", OTHER), ("c.jpg", SHUT), ("d.JPG", GOOD)):
        (folder / name).write_bytes(source.read_bytes())
    (folder / "e.jpg").write_bytes(GOOD.read_bytes()[:50_000])
    (folder / "read me.txt").write_text("Two of each, please.")
    return folder


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_a_folder_is_measured_with_a_summary_and_a_table(orders, capsys):
    assert run("measure", orders, "--document", UK, "--csv", orders / "t.csv") == 3
    told = capsys.readouterr()
    assert told.out.splitlines()[-1].startswith("Of 5: 3 pass, 1 fail, 1 could not be used.")
    assert "e.jpg cannot be read as a photo" in told.err
    rows = {Path(row["photo"]).name: row for row in table(orders / "t.csv")}
    assert {name: row["verdict"] for name, row in rows.items()} == {
        "a.jpg": "pass",
        "b.jpg": "pass",
        "c.jpg": "fail",
        "d.JPG": "pass",
        "e.jpg": "unmeasurable",
    }
    assert rows["c.jpg"]["not met"] == "Eyes open"
    assert 29 <= float(rows["a.jpg"]["head height mm"]) <= 34
    assert "damaged or cut short" in rows["e.jpg"]["reason"]


def test_a_folder_becomes_a_sheet_for_each_photo_that_may_be_printed(orders, tmp_path, capsys):
    """4 x 6 in at 300 px per inch."""
    out = tmp_path / "sheets"
    sheets = ("sheet", orders, "--document", UK, "--paper", "4x6in", "--as", "jpg", "-o", out)
    assert run(*sheets, "--csv", tmp_path / "t.csv") == 13
    told = capsys.readouterr()
    made = sorted(path.name for path in out.iterdir())
    assert made == [f"a_{UK}.jpg", f"b_{UK}.jpg", f"d-JPG_{UK}.jpg"]
    assert "Photos: 5. Documents: 1. Files made: 3. Refused: 2." in told.out
    for name in made:
        with Image.open(out / name) as sheet:
            assert sheet.size == (1200, 1800)
    rows = {Path(row["photo"]).name: row for row in table(tmp_path / "t.csv")}
    assert Path(rows["a.jpg"]["file"]) == out / f"a_{UK}.jpg"
    assert "does not conform (Eyes open)" in rows["c.jpg"]["refused"]


@pytest.mark.parametrize("command", [("measure",), ("sheet", "--paper", "4x6in", "-o", "out")])
def test_a_table_without_a_folder_is_refused_before_the_work(orders, tmp_path, monkeypatch, capsys, command):
    monkeypatch.chdir(tmp_path)
    assert run(*command, orders, "--document", UK, "--csv", tmp_path / "none" / "t.csv") == 9
    told = capsys.readouterr()
    assert told.out == ""
    assert "its folder does not exist" in told.err
    assert not Path("out").exists()


def test_a_sheet_of_somebody_else_does_not_stay_under_a_photos_name(orders, tmp_path, capsys):
    out = tmp_path / "sheets"
    sheets = ("sheet", orders / "a.jpg", "--document", UK, "--paper", "4x6in", "-o", out)
    assert run(*sheets) == 0
    (orders / "a.jpg").write_bytes(SHUT.read_bytes())
    assert run(*sheets) == 13
    assert list(out.iterdir()) == []
    assert "was removed" in capsys.readouterr().err


@pytest.mark.parametrize("case", ["no photo", "among the photos", "two of one name"])
def test_folders_that_cannot_be_worked_on_are_refused_before_anything_is_made(orders, tmp_path, capsys, case):
    other = tmp_path / "other"
    other.mkdir()
    paths, out = {
        "no photo": ([other], tmp_path / "out"),
        "among the photos": ([orders], orders),
        "two of one name": ([orders, other / "a.jpg"], tmp_path / "out"),
    }[case]
    (other / "a.txt").touch()
    before = sorted(orders.iterdir())
    assert run("sheet", *paths, "--document", UK, "--paper", "4x6in", "-o", out) == 2
    assert sorted(orders.iterdir()) == before
    assert not (tmp_path / "out").exists()


def test_a_name_in_another_encoding_stops_nothing(tmp_path):
    """Latin-1 for "Zoë": file systems take any bytes but / and 0 (path_resolution(7))."""
    folder, out = tmp_path / "in", tmp_path / "out"
    folder.mkdir()
    Path(os.fsdecode(os.fsencode(folder) + b"/Zo\xeb.jpg")).write_bytes(GOOD.read_bytes())
    files = ("--csv", tmp_path / "t.csv", "--report", tmp_path / "r.json", "--report", tmp_path / "r.pdf")
    measure = [sys.executable, "-m", "kiosk.cli", "measure", folder, "--document", UK, *files]
    environment = os.environ | {"PYTHONIOENCODING": "utf-8:backslashreplace"}
    subprocess.run(measure, check=True, capture_output=True, env=environment)
    assert table(tmp_path / "t.csv")[0]["photo"].endswith("Zo\\udceb.jpg")
    assert (tmp_path / "r.json").stat().st_size > 0
    sheets = [sys.executable, "-m", "kiosk.cli", "sheet", folder, "--document", UK, "--paper", "4x6in", "-o", out]
    subprocess.run([*sheets, "--csv", tmp_path / "s.csv"], check=True, capture_output=True, env=environment)
    assert len(list(out.iterdir())) == len(table(tmp_path / "s.csv")) == 1


@contextmanager
def watching(folder: Path, out: Path) -> Iterator[subprocess.Popen[bytes]]:
    """Run `watch` in a process of its own."""
    command = [sys.executable, "-m", "kiosk.cli", "watch", folder, "--document", UK, "--paper", "4x6in", "-o", out]
    watcher = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    try:
        yield watcher
    finally:
        watcher.kill()
        watcher.wait()
        assert watcher.stderr is not None
        watcher.stderr.close()


def until(holds: Callable[[], bool]) -> None:
    end_s = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < end_s, "it did not happen"
        time.sleep(0.1)


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []


def longest_pause_s(path: Path, content: bytes) -> float:
    """Write a file in parts; return how long it stood still meanwhile: for too long, and it may be taken for whole."""
    pauses_s = []
    with path.open("wb") as slow:
        for start in range(0, len(content), len(content) // 4 + 1):
            began_s = time.monotonic()
            slow.write(content[start : start + len(content) // 4 + 1])
            slow.flush()
            time.sleep(0.3)
            pauses_s.append(time.monotonic() - began_s)
    return max(pauses_s)


def test_what_arrives_in_a_watched_folder_is_made_once_it_is_whole(tmp_path):
    folder, out = tmp_path / "in", tmp_path / "out"
    folder.mkdir()
    whole = GOOD.read_bytes()
    with watching(folder, out) as watcher:
        until(out.is_dir)
        (folder / ".a.jpg.part").write_bytes(whole)
        while longest_pause_s(folder / "a.jpg", whole) > POLL_S / 2:
            (out / "a.txt").unlink(missing_ok=True)
        until(lambda: "a.txt" in names(out))
        assert names(out) == ["a.txt", f"a_{UK}.pdf"]
        assert "meets every requirement" in (out / "a.txt").read_text(encoding="utf-8")

        (folder / "a.jpg").write_bytes(SHUT.read_bytes())
        until(lambda: "not fully open" in (out / "a.txt").read_text(encoding="utf-8"))
        until(lambda: names(out) == ["a.txt"])
        watcher.send_signal(signal.SIGINT)
        assert watcher.wait(PATIENCE_S) == 130


def test_two_photos_whose_files_would_have_one_name_are_not_made_over_each_other(tmp_path):
    folder, out = tmp_path / "in", tmp_path / "out"
    folder.mkdir()
    for name in ("a.JPG", "a-JPG.jpg", "b.c.JPG", "b-c.JPG"):
        (folder / name).write_bytes(GOOD.read_bytes())
    with watching(folder, out) as watcher:
        until(lambda: {"b.c-JPG.txt", "b-c-JPG.txt"} <= set(names(out)))
        watcher.send_signal(signal.SIGINT)
        told = watcher.stderr.read().decode()
        watcher.wait(PATIENCE_S)
    assert names(out) == sorted(f"{photo}{end}" for photo in ("b.c-JPG", "b-c-JPG") for end in (".txt", f"_{UK}.pdf"))
    assert told.count("a.JPG, whose files") == told.count("a-JPG.jpg, whose files") == 1


@pytest.mark.parametrize("step_ns", [1, 100, 2 * 10**9])
def test_a_watch_goes_on_where_it_was(tmp_path, step_ns):
    """The text beside the first photo has the photo's time, so that it is known to be done; the second is new.

    Other file systems keep the time in steps: SMB of 100 ns, FAT of 2 s.
    """
    folder, out = tmp_path / "in", tmp_path / "out"
    folder.mkdir()
    out.mkdir()
    for name in ("done.jpg", "new.jpg"):
        (folder / name).write_bytes(GOOD.read_bytes())
    (out / "done.txt").write_text("done")
    taken_ns = 1_795_953_601_987_654_321
    noted_ns = taken_ns // step_ns * step_ns
    os.utime(folder / "done.jpg", ns=(taken_ns, taken_ns))
    os.utime(out / "done.txt", ns=(noted_ns, noted_ns))
    with watching(folder, out):
        until(lambda: "new.txt" in names(out))
    assert names(out) == ["done.txt", "new.txt", f"new_{UK}.pdf"]
    assert (out / "done.txt").read_text() == "done"
