"""Pictures that are known by any few of their bytes, and the search for them in the memory of running processes."""

from __future__ import annotations

import io
import random
from pathlib import Path

from PIL import Image

MARK_BYTES = 48
_TAIL_BYTES = 2048
"""The end of a known picture, which is that of every other."""
_LONGEST_COMMENT = 65_000


def known_picture(seed: int, size_bytes: int) -> bytes:
    """Return a JPEG of about that size that decodes, and whose bytes are random (comments, ITU-T T.81, B.2.4.5)."""
    made = io.BytesIO()
    Image.new("RGB", (64, 64), (seed % 256, 90, 90)).save(made, "JPEG")
    chance, parts = random.Random(seed), [made.getvalue()[:2]]
    for _ in range(0, size_bytes, _LONGEST_COMMENT):
        parts += [b"\xff\xfe", (_LONGEST_COMMENT + 2).to_bytes(2), chance.randbytes(_LONGEST_COMMENT)]
    return b"".join([*parts, made.getvalue()[2:]])


def marks_of(content: bytes) -> list[bytes]:
    """Return parts of a content from all over it, from its first bytes on."""
    last = len(content) - _TAIL_BYTES - MARK_BYTES
    starts = range(0, last, max(last // 12, MARK_BYTES))
    return [content[start : start + MARK_BYTES] for start in starts]


def found_in(pid: int, marks: list[bytes]) -> int:
    """Return how many of the marks stand anywhere in the memory of a process, shared memory included."""
    found: set[bytes] = set()
    with Path(f"/proc/{pid}/mem").open("rb", buffering=0) as memory:
        for line in Path(f"/proc/{pid}/maps").read_text().splitlines():
            span, rights, *_, name = f"{line} ".split(" ", 5)
            if not rights.startswith("r") or "[v" in name:
                continue
            start, end = (int(edge, 16) for edge in span.split("-"))
            try:
                memory.seek(start)
                content = memory.read(end - start)
            except (OSError, ValueError, OverflowError):
                continue
            found.update(mark for mark in marks if mark in content)
    return len(found)
