"""One-slot mailbox between two processes: the newest picture wins, and nobody ever waits.

The memory is an anonymous file of the kernel (`memfd_create`): it has no name, so nothing is left behind whichever
process is killed, and it reaches the other process as an inherited file descriptor. There is no lock that a killed
process could leave held. The writer fills the older of two slots and numbers it last; the reader takes the slot with
the higher number and believes it only where its checksum holds, so a copy torn by a writer that is too fast, or that
was killed half-way, is never handed out.
"""

from __future__ import annotations

import mmap
import os
import struct
import zlib
from typing import Self

from kiosk.devices.base import LiveFrame

_HEADER = struct.Struct("<QdQI")  # sequence, taken_s, length, CRC-32 of the first three and the payload
_NUMBERED = struct.Struct("<QdQ")
_SLOTS = 2
_ATTEMPTS = 8


class Mailbox:
    """The newest payload of one writer, for one reading thread.

    The other process makes its own from the inherited file descriptor. Pages of the memory are taken only as payloads
    touch them.

    Parameters
    ----------
    descriptor
        Of a mailbox's memory, from `fileno`; owned by this object from now on.
    capacity_bytes
        The longest payload, the same on both sides.
    """

    def __init__(self, descriptor: int, capacity_bytes: int) -> None:
        self._descriptor = descriptor
        self._capacity_bytes = capacity_bytes
        self._stride_bytes = _HEADER.size + capacity_bytes
        self._memory = mmap.mmap(descriptor, _SLOTS * self._stride_bytes)
        self._last: LiveFrame | None = None

    @classmethod
    def create(cls, capacity_bytes: int) -> Mailbox:
        """Return an empty mailbox for payloads of at most `capacity_bytes`."""
        descriptor = os.memfd_create("holdstill")
        os.ftruncate(descriptor, _SLOTS * (_HEADER.size + capacity_bytes))
        return cls(descriptor, capacity_bytes)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def fileno(self) -> int:
        """Return the file descriptor of the memory."""
        return self._descriptor

    @property
    def capacity_bytes(self) -> int:
        """The longest payload it takes."""
        return self._capacity_bytes

    def put(self, payload: bytes, taken_s: float) -> int:
        """Replace the older payload and return the new one's sequence number.

        Raises
        ------
        ValueError
            The payload is longer than the mailbox, which is left as it was.
        """
        if len(payload) > self._capacity_bytes:
            raise ValueError(f"{len(payload)} bytes do not fit a mailbox of {self._capacity_bytes}")
        sequence = self.sequence() + 1
        start = sequence % _SLOTS * self._stride_bytes
        older_bytes = min(self._header(sequence % _SLOTS)[2], self._capacity_bytes)
        rest_bytes = max(older_bytes - len(payload), 0)
        self._memory[start + _HEADER.size : start + _HEADER.size + len(payload) + rest_bytes] = payload + bytes(
            rest_bytes
        )
        checksum = _checksum(sequence, taken_s, payload)
        _HEADER.pack_into(self._memory, start, sequence, taken_s, len(payload), checksum)
        return sequence

    def sequence(self) -> int:
        """Return the number of the newest payload, 0 before the first."""
        return max(self._header(slot)[0] for slot in range(_SLOTS))

    def newest(self) -> LiveFrame | None:
        """Return the newest whole payload, or None before the first and after `close`.

        Where the writer outruns every attempt to copy, the last payload that was copied whole is returned again.
        """
        if self._memory.closed:
            return None
        for _ in range(_ATTEMPTS):
            slots = sorted(range(_SLOTS), key=lambda slot: self._header(slot)[0], reverse=True)
            for slot in slots:
                sequence = self._header(slot)[0]
                if sequence == 0:
                    continue
                last = self._last
                if last is not None and sequence <= last.sequence:
                    return last
                frame = self._read(slot)
                if frame is not None:
                    self._last = frame
                    return frame
        return self._last

    def forget(self) -> None:
        """Forget the payload that was copied last, from any thread."""
        self._last = None

    def erase(self) -> None:
        """Overwrite every payload, whose writer must be gone, and go on counting."""
        for slot in range(_SLOTS):
            start = slot * self._stride_bytes + _HEADER.size
            length = min(self._header(slot)[2], self._capacity_bytes)
            self._memory[start : start + length] = bytes(length)
        self._last = None

    def wipe(self) -> None:
        """Give the memory back to the kernel, which hands it out zeroed; the writer must be at rest."""
        self._memory.madvise(mmap.MADV_REMOVE)
        self._last = None

    def close(self) -> None:
        """Let go of the memory; it is gone when both processes have. May be called twice."""
        if not self._memory.closed:
            self._memory.close()
            os.close(self._descriptor)
            self._last = None

    def _header(self, slot: int) -> tuple[int, float, int, int]:
        sequence, taken_s, length, checksum = _HEADER.unpack_from(self._memory, slot * self._stride_bytes)
        return sequence, taken_s, length, checksum

    def _read(self, slot: int) -> LiveFrame | None:
        sequence, taken_s, length, checksum = self._header(slot)
        if length > self._capacity_bytes:
            return None
        start = slot * self._stride_bytes + _HEADER.size
        payload = self._memory[start : start + length]
        if checksum != _checksum(sequence, taken_s, payload):
            return None
        return LiveFrame(sequence=sequence, taken_s=taken_s, jpeg=payload)


def _checksum(sequence: int, taken_s: float, payload: bytes) -> int:
    return zlib.crc32(payload, zlib.crc32(_NUMBERED.pack(sequence, taken_s, len(payload))))
