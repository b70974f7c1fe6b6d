"""The log: lines of JSON, rotated, never waited for, and nothing of a sitter in it."""

import json
import logging
import threading

import numpy as np
import pytest

from kiosk.errors import CameraFault, CannotWrite
from kiosk.system import json_log
from kiosk.system.json_log import NAME, keep_log, last_lines

LOG = logging.getLogger("kiosk.booth.loop")
JPEG = bytes.fromhex("ffd8ffe000104a46494600") * 50  # the start of a JFIF file: ITU-T T.871


def test_a_line_is_one_object_with_its_time_level_room_and_words(tmp_path):
    with keep_log(tmp_path / "log", "till 2"):
        LOG.info("%s -> %s", "welcome", "choose")
        LOG.debug("not kept")
    (line,) = map(json.loads, (tmp_path / "log" / NAME).read_text().splitlines())
    assert {key: line[key] for key in line if key != "time"} == {
        "level": "info",
        "booth": "till 2",
        "room": "booth.loop",
        "says": "welcome -> choose",
    }
    assert line["time"].endswith("+00:00")


def test_pictures_and_arrays_are_written_as_their_size(tmp_path):
    points = np.array([[123.4, 567.8]])
    with keep_log(tmp_path, ""):
        LOG.warning("a still %s and its points %s", JPEG, points)
    text = (tmp_path / NAME).read_text()
    assert "a still <550 bytes> and its points <array (1, 2)>" in text
    assert "JFIF" not in text
    assert "567" not in text


def test_of_an_unexpected_error_only_kind_and_place_are_kept(tmp_path):
    with keep_log(tmp_path, ""):
        try:
            raise ValueError("eyes at 123.4, 567.8")
        except ValueError:
            LOG.exception("it ended")
        try:
            raise CameraFault(detail="unplugged")
        except CameraFault:
            LOG.exception("it ended")
    first, second = last_lines(tmp_path, 10)
    assert first["error"]["kind"] == "ValueError"
    assert first["error"]["at"][0].startswith("test_json_log.py:")
    assert "567" not in json.dumps(first)
    assert second["error"]["says"] == "The camera has a fault: unplugged."


def test_it_is_rotated_and_the_oldest_lines_go(tmp_path, monkeypatch):
    monkeypatch.setattr(json_log, "FILE_BYTES", 2000)
    with keep_log(tmp_path, ""):
        for number in range(400):
            LOG.info("line %d", number)
    files = sorted(tmp_path.iterdir())
    assert len(files) == json_log.FILES
    assert all(path.stat().st_size <= 2000 for path in files)
    kept = [line["says"] for line in last_lines(tmp_path, 10_000)]
    assert kept == [f"line {number}" for number in range(400 - len(kept), 400)]
    assert [line["says"] for line in last_lines(tmp_path, 2)] == ["line 398", "line 399"]


def test_a_disk_that_hangs_holds_nobody_up(tmp_path, monkeypatch):
    """The writer's thread stands still; ten times as many lines as may wait are logged all the same."""
    free = threading.Event()
    monkeypatch.setattr(json_log, "MOST_QUEUED", 100)
    monkeypatch.setattr(json_log._Writer, "emit", lambda *_: free.wait(30))
    with keep_log(tmp_path, ""):
        for number in range(1000):
            LOG.info("line %d", number)
        assert not free.is_set()
        free.set()


def test_a_disk_that_hangs_does_not_hold_up_the_end(tmp_path, monkeypatch):
    free = threading.Event()
    monkeypatch.setattr(json_log, "END_S", 0.01)
    monkeypatch.setattr(json_log._Writer, "emit", lambda *_: free.wait(30))
    with keep_log(tmp_path, ""):
        LOG.info("a line")
    assert not free.is_set()
    free.set()
    for thread in threading.enumerate():
        if thread.name == "log's end":
            thread.join()


def test_a_line_cut_short_by_a_power_cut_is_left_out(tmp_path):
    (tmp_path / NAME).write_text('{"says": "whole"}\n{"says": "cut sh')
    assert last_lines(tmp_path, 10) == [{"says": "whole"}]


def test_a_log_that_cannot_be_kept_is_said(tmp_path):
    (tmp_path / "file").touch()
    with pytest.raises(CannotWrite, match="file/log"), keep_log(tmp_path / "file" / "log", ""):
        pass


def test_levels_are_as_before_afterwards(tmp_path):
    logger = logging.getLogger("kiosk")
    before = logger.level, list(logger.handlers)
    with keep_log(tmp_path, ""):
        pass
    assert (logger.level, list(logger.handlers)) == before
