"""The pictures that a camera's process hands over, and which of them may still be seen.

Both mailboxes show faces. What nobody asks for is forgotten, what a dead child has left is erased, and what another
sitter sat for is not handed out.
"""

from __future__ import annotations

import math

from kiosk.devices.base import LiveFrame
from kiosk.devices.camera.mailbox import Mailbox

LIVE_BYTES = 8 << 20
"""The longest live frame, in bytes; a JPEG of 8192 px a side takes less at any usual quality (practice)."""

STILL_BYTES = 96 << 20
"""The longest still, in bytes; bodies of 100 megapixels write JPEGs of some 50 MB (practice)."""

KEPT_S = 0.5
"""How long the last live frame is kept after nobody has asked for one, in seconds."""


class Pictures:
    """The live frames and stills of one camera, through whichever child has it.

    Attributes
    ----------
    live, stills
        The mailboxes, which the children share.
    """

    def __init__(self) -> None:
        self.live = Mailbox.create(LIVE_BYTES)
        self.stills = Mailbox.create(STILL_BYTES)
        self._unanswered = 0
        self._forgotten = 0
        self._asked_s = -math.inf
        self._is_erased = True

    def begin(self) -> None:
        """Expect the frames of another child; the last one left none that may be seen."""
        self.stills.wipe()
        self._unanswered = 0
        self._forgotten = self.live.sequence()

    def newest(self, now_s: float) -> LiveFrame | None:
        """Return the newest live frame that may be seen, None where there is none; from any one thread."""
        self._asked_s = now_s
        frame = self.live.newest()
        return frame if frame and not self._unanswered and frame.sequence > self._forgotten else None

    def forget(self) -> None:
        """Hand out no live frame until `forgotten` was called as often as this."""
        self._unanswered += 1

    def forgotten(self, sequence: int) -> None:
        """Hand out live frames again, those after `sequence`."""
        self._unanswered -= 1
        self._forgotten = sequence

    def take_still(self, sequence: int) -> bytes | None:
        """Return the still of that number and wipe it, None where another one lies there."""
        still = self.stills.newest()
        self.stills.wipe()
        return still.jpeg if still is not None and still.sequence == sequence else None

    def lost(self) -> None:
        """Note that the child was ended, and that its pictures have to be erased as soon as it is gone."""
        self._is_erased = False

    def clear_up(self, now_s: float, *, is_writer_gone: bool) -> None:
        """Forget the frame that nobody asks for any more, and erase what a child that is gone has left."""
        if now_s - self._asked_s > KEPT_S:
            self.live.forget()
        if not self._is_erased and is_writer_gone:
            self.live.erase()
            self.stills.wipe()
            self._is_erased = True

    def close(self) -> None:
        """Let go of the memory."""
        self.live.close()
        self.stills.close()
