"""The booth's log: one line of JSON per event, in a few rotating files, written without blocking the caller.

Logging only puts a record into a queue, which a thread of its own writes to disk. If the queue or the disk is full, the
record is dropped and the booth goes on. A picture or an array logged by mistake is reduced to its size. Of an
unexpected error only the type and the traceback's places are logged, because its text may contain a sitter's data.
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
"""The log takes at most 20 MiB: some months of a busy booth, at a few hundred lines a day."""
MOST_QUEUED = 10_000
"""The most records that may wait for the disk."""
END_S = 5.0
"""How long the booth waits at its end for the last lines to be written."""

JsonRecord = dict[str, Any]


@contextlib.contextmanager
def keep_log(folder: Path, booth: str) -> Iterator[None]:
    """Write this program's log, from level `INFO`, to `folder` while the context lasts.

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
    handler = _NonBlockingHandler(records)
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
    """A JSON object per line: `time` (ISO 8601, UTC), `level`, `booth`, `room`, `says`, and perhaps `error`."""

    def __init__(self, booth: str) -> None:
        super().__init__()
        self._booth = booth

    def format(self, record: logging.LogRecord) -> str:
        """Return the record as a line of JSON."""
        line: JsonRecord = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "booth": self._booth,
            "room": record.name.removeprefix("kiosk."),
            "says": record.getMessage(),
        }
        error = record.__dict__.get("error_record")
        return json.dumps(line if error is None else {**line, "error": error}, ensure_ascii=False)


class _NonBlockingHandler(QueueHandler):
    """A handler that queues records as text, and drops them while the queue is full."""

    def __init__(self, records: queue.SimpleQueue[Any]) -> None:
        super().__init__(records)
        self._records = records

    def prepare(self, record: logging.LogRecord) -> logging.LogRecord:
        """Return a copy of the record with its message formatted, and binary arguments reduced to their size."""
        args = record.args if isinstance(record.args, tuple) else ()
        prepared = logging.makeLogRecord({**record.__dict__, "args": tuple(_as_size(each) for each in args)})
        prepared.msg, prepared.args = prepared.getMessage(), None
        error = record.exc_info[1] if record.exc_info else None
        prepared.exc_info = prepared.exc_text = prepared.stack_info = None
        if error is not None:
            prepared.__dict__["error_record"] = error_record(error)
        return prepared

    def enqueue(self, record: logging.LogRecord) -> None:
        """Queue a record, or drop it while the queue is full."""
        if self._records.qsize() < MOST_QUEUED:
            self._records.put_nowait(record)


class _Writer(RotatingFileHandler):
    """A rotating log file that ignores errors, so that a full disk costs lines of the log and nothing else."""

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802
        """Ignore the error; there is nowhere to report it."""


def _as_size(value: object) -> object:
    if isinstance(value, bytes | bytearray | memoryview):
        return f"<{len(value)} bytes>"
    return f"<array {value.shape}>" if hasattr(value, "shape") else value


def error_record(error: BaseException) -> JsonRecord:
    """Return an error's type and traceback, and its message only if it is one of this program's own errors."""
    frames = traceback.extract_tb(error.__traceback__)
    entry: JsonRecord = {
        "kind": type(error).__name__,
        "at": [f"{Path(frame.filename).name}:{frame.lineno} {frame.name}" for frame in frames],
    }
    return {**entry, "says": str(error)} if isinstance(error, KioskError) else entry


def last_lines(folder: Path, count: int) -> list[JsonRecord]:
    """Return the last lines of the log, oldest first, without those that a power cut has truncated."""
    lines: deque[JsonRecord] = deque(maxlen=count)
    for path in (*(folder / f"{NAME}.{number}" for number in range(FILES - 1, 0, -1)), folder / NAME):
        if path.is_file():
            for text in path.read_text(encoding="utf-8", errors="replace").splitlines():
                with contextlib.suppress(json.JSONDecodeError):
                    lines.append(json.loads(text))
    return list(lines)
