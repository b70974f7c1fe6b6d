"""What FFmpeg's decoders complain of, which OpenCV does not hand out.

A decoder that stumbles over damage conceals it, and reports success; but it writes a line about it to standard error
(`av_log` at AV_LOG_ERROR, which OpenCV 4.11 leaves as it is). OpenCV passes no options to the decoder, so that neither
`err_detect` nor `flags` can make it refuse: `CvCapture_FFMPEG::open` calls `avcodec_open2` without any.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator

_STANDARD_ERROR = 2


class Complaints:
    """Listens while a decoder works, in a file of memory; what it says is counted and thrown away."""

    def __init__(self) -> None:
        self._heard = os.memfd_create("complaints")
        self._usual = os.dup(_STANDARD_ERROR)

    @contextlib.contextmanager
    def listening(self) -> Iterator[None]:
        """Listen to what is written to standard error; by one decoder in one thread."""
        os.ftruncate(self._heard, 0)
        os.dup2(self._heard, _STANDARD_ERROR)
        try:
            yield
        finally:
            os.dup2(self._usual, _STANDARD_ERROR)

    @property
    def came(self) -> bool:
        """Whether there was a complaint when it was last listened to."""
        return os.fstat(self._heard).st_size > 0

    def close(self) -> None:
        """Stop listening."""
        os.close(self._heard)
        os.close(self._usual)
