"""The booth's log: a line of JSON for each thing that happened, kept in a few files, never waited for.

Whoever logs only puts a record into a queue; a thread of its own writes. Where the queue is full or the disk is, the
record is dropped and the booth goes on. A picture or an array that is logged by mistake is written as its size, and
of an error that nobody expected only its kind and place are kept, for its text may hold what a sitter showed.
"""

from __future__ import annotations

import contextlib
import json
import logging
import queue
import threading
import traceback
from collections import deque
from collections.abc import Iterator
from datetime import UTC, datetime
from logging.handlers import QueueHandler, QueueListener, RotatingFileHandler
from pathlib import Path
from typing import Any

from kiosk.errors import CannotWrite, KioskError, os_reason

NAME = "holdstill.jsonl"
FILE_BYTES, FILES = 2 * 2**20, 10
"""The log never takes more than 20 MiB: some months of a busy booth, at a few hundred lines a day."""
WAITING = 10_000
"""Records that may wait for the disk."""
END_S = 5.0
"""How long the end of the booth waits for the last lines to be written."""

JsonRecord = dict[str, Any]


@contextlib.contextmanager
def keep_log(folder: Path, booth: str) -> Iterator[None]:
    """Write what this program logs into `folder`, from `INFO` on, until left.

    Raises
    ------
    CannotWrite
        The folder or the file cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        writer = _Writer(folder / NAME, maxBytes=FILE_BYTES, backupCount=FILES - 1, encoding="utf-8")
    except OSError as error:
        raise CannotWrite(path=folder / NAME, detail=os_reason(error)) from error
    writer.setFormatter(JsonLine(booth))
    records: queue.SimpleQueue[Any] = queue.SimpleQueue()
    listener = QueueListener(records, writer)
    handler = _NeverWaits(records)
    logger = logging.getLogger("kiosk")
    level, others = logger.level, [(other, other.level) for other in logging.getLogger().handlers]
    for other, _ in others:
        other.setLevel(max(other.level, logger.getEffectiveLevel()))
    logger.setLevel(logging.INFO)
    logger.addHandler(handler)
    listener.start()
    try:
        yield
    finally:
        logger.removeHandler(handler)
        logger.setLevel(level)
        for other, before in others:
            other.setLevel(before)
        ending = threading.Thread(target=_end, args=(listener, writer), name="log's end", daemon=True)
        ending.start()
        ending.join(END_S)


def _end(listener: QueueListener, writer: logging.Handler) -> None:
    listener.stop()
    writer.close()


class JsonLine(logging.Formatter):
    """One object a line: `time` (ISO 8601, UTC), `level`, `booth`, `room`, `says`, and `error` where there was one."""

    def __init__(self, booth: str) -> None:
        super().__init__()
        self._booth = booth

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: JsonRecord = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "booth": self._booth,
            "room": record.name.removeprefix("kiosk."),
            "says": record.getMessage(),
        }
        error = record.__dict__.get("told_error")
        return json.dumps(line if error is None else {**line, "error": error}, ensure_ascii=False)


class _NeverWaits(QueueHandler):
    """Hands records over as text, and drops them where too many wait."""

    def __init__(self, records: queue.SimpleQueue[Any]) -> None:
        super().__init__(records)
        self._records = records

    def prepare(self, record: logging.LogRecord) -> logging.LogRecord:
        """Return the record with its words filled in, and nothing of a picture in it."""
        args = record.args if isinstance(record.args, tuple) else ()
        told = logging.makeLogRecord({**record.__dict__, "args": tuple(_as_size(each) for each in args)})
        told.msg, told.args = told.getMessage(), None
        error = record.exc_info[1] if record.exc_info else None
        told.exc_info = told.exc_text = told.stack_info = None
        if error is not None:
            told.__dict__["told_error"] = error_record(error)
        return told

    def enqueue(self, record: logging.LogRecord) -> None:
        """Put a record in line, unless the line is full."""
        if self._records.qsize() < WAITING:
            self._records.put_nowait(record)


class _Writer(RotatingFileHandler):
    """A full disk loses lines, and nothing else."""

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802
        """Go on."""


def _as_size(value: object) -> object:
    if isinstance(value, bytes | bytearray | memoryview):
        return f"<{len(value)} bytes>"
    return f"<array {value.shape}>" if hasattr(value, "shape") else value


def error_record(error: BaseException) -> JsonRecord:
    """Return an error's kind and the way to it; its words only where they are this program's own."""
    frames = traceback.extract_tb(error.__traceback__)
    told: JsonRecord = {
        "kind": type(error).__name__,
        "at": [f"{Path(frame.filename).name}:{frame.lineno} {frame.name}" for frame in frames],
    }
    return {**told, "says": str(error)} if isinstance(error, KioskError) else told


def last_lines(folder: Path, count: int) -> list[JsonRecord]:
    """Return the last lines of the log, oldest first; a line cut short by a power cut is left out."""
    lines: deque[JsonRecord] = deque(maxlen=count)
    for path in (*(folder / f"{NAME}.{number}" for number in range(FILES - 1, 0, -1)), folder / NAME):
        if path.is_file():
            for text in path.read_text(encoding="utf-8", errors="replace").splitlines():
                with contextlib.suppress(json.JSONDecodeError):
                    lines.append(json.loads(text))
    return list(lines)
