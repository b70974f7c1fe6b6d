"""A file in memory that no name leads to: it is gone with the last process that has it open."""

from __future__ import annotations

import os

_ZEROS = bytes(1 << 16)


class HeldFile:
    """The bytes behind a descriptor of `memfd_create(2)`, read in parts; for one thread at a time.

    Nobody finds the file by a name, its pages are on no disk, and the kernel frees them when it is closed, however the
    process ends.
    """

    def __init__(self, descriptor: int) -> None:
        self._descriptor = descriptor
        self.size = os.fstat(descriptor).st_size

    @classmethod
    def of(cls, content: bytes) -> HeldFile:
        """Return a new file with this content.

        Raises
        ------
        OSError
            The machine has no memory for it.
        """
        descriptor = os.memfd_create("sitter's file")
        with os.fdopen(os.dup(descriptor), "wb") as file:
            file.write(content)
        return cls(descriptor)

    def fileno(self) -> int:
        """Return the descriptor."""
        return self._descriptor

    @property
    def is_held(self) -> bool:
        """Whether it is still there."""
        return self._descriptor >= 0

    def read(self, start: int, count: int) -> bytes:
        """Return a part of it."""
        return os.pread(self._descriptor, count, start)

    def close(self) -> None:
        """Let go of it, and leave it to whoever else has it open."""
        if self.is_held:
            os.close(self._descriptor)
            self._descriptor = -1

    def destroy(self) -> None:
        """Overwrite it with zeros, for all who have it open, and let go of it."""
        if self.is_held:
            for start in range(0, self.size, len(_ZEROS)):
                os.pwrite(self._descriptor, _ZEROS[: self.size - start], start)
            self.close()
