"""A webcam's device file, by the kernel's own interface: what OpenCV does not show of it.

OpenCV answers "not opened" whether a webcam is away, taken or forbidden, and waits for ever where another program has
it (`tryIoctl` in `modules/videoio/src/cap_v4l.cpp`, OpenCV 4.11). So the kernel is asked before.

The numbers and layouts are those of `linux/videodev2.h` and `linux/v4l2-controls.h`, as a C compiler prints them.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import struct
from collections.abc import Callable, Iterator

from kiosk.devices.camera.driver import NotThere
from kiosk.errors import os_reason

Ioctl = Callable[[int, int, bytearray], object]
"""`fcntl.ioctl`: a file descriptor, a request, and the structure that the kernel reads and fills in."""

QUERYCAP, G_FMT, S_FMT, G_CTRL, S_CTRL = 0x80685600, 0xC0D05604, 0xC0D05605, 0xC008561B, 0xC008561C
"""Requests: what a device is, its picture format, and one of its controls."""

CAPABILITY_BYTES, FORMAT_BYTES = 104, 208
DEVICE_CAPS_OFFSET = 88
VIDEO_CAPTURE = 0x1
"""The capability, and also the type of buffers, of a node that delivers pictures; a webcam's second node has none."""

POWER_LINE_FREQUENCY = 0x00980918
EXPOSURE_AUTO, AUTOGAIN, AUTO_WHITE_BALANCE, FOCUS_AUTO = 0x009A0901, 0x00980912, 0x0098090C, 0x009A090C
"""Controls: the mains against whose flicker it works, and what it changes by itself."""

_CONTROL = struct.Struct("<Ii")


class VideoNode:
    """One device file such as /dev/video0; every method opens it anew, beside whoever takes pictures from it.

    Parameters
    ----------
    path
        The device file, or a link to it.
    ioctl
        Asks the kernel.
    """

    def __init__(self, path: str, ioctl: Ioctl = fcntl.ioctl) -> None:
        self._path = path
        self._ioctl = ioctl

    def check(self) -> None:
        """Return where pictures could be had from it now.

        Raises
        ------
        NotThere
            They could not, and why.
        """
        try:
            with self._opened() as descriptor:
                known = bytearray(CAPABILITY_BYTES)
                self._ioctl(descriptor, QUERYCAP, known)
                if not struct.unpack_from("<I", known, DEVICE_CAPS_OFFSET)[0] & VIDEO_CAPTURE:
                    raise NotThere(detail=f"{self._path} delivers no pictures", advice="Name the webcam's first node.")
                format_now = bytearray(struct.pack("<I", VIDEO_CAPTURE)).ljust(FORMAT_BYTES, b"\0")
                self._ioctl(descriptor, G_FMT, format_now)
                self._ioctl(descriptor, S_FMT, format_now)
        except OSError as error:
            raise NotThere(**self._reason(error)) from error

    def value(self, control: int) -> int | None:
        """Return a control's value, None where the webcam has no such control or is away."""
        asked = bytearray(_CONTROL.pack(control, 0))
        try:
            with self._opened() as descriptor:
                self._ioctl(descriptor, G_CTRL, asked)
        except OSError:
            return None
        return int(_CONTROL.unpack(asked)[1])

    def put(self, control: int, value: int) -> bool:
        """Set a control, and return whether the webcam has taken the value."""
        try:
            with self._opened() as descriptor:
                self._ioctl(descriptor, S_CTRL, bytearray(_CONTROL.pack(control, value)))
        except OSError:
            return False
        return self.value(control) == value

    @contextlib.contextmanager
    def _opened(self) -> Iterator[int]:
        descriptor = os.open(self._path, os.O_RDWR | os.O_NONBLOCK | os.O_CLOEXEC)
        try:
            yield descriptor
        finally:
            os.close(descriptor)

    def _reason(self, error: OSError) -> dict[str, str]:
        match error.errno:
            case errno.ENOENT | errno.ENODEV | errno.ENXIO:
                return {"detail": f"no webcam is connected at {self._path}"}
            case errno.EBUSY:
                advice = "Close the other program; the booth connects again by itself."
                return {"detail": f"another program uses the webcam at {self._path}", "advice": advice}
            case errno.EACCES | errno.EPERM:
                advice = "Add the booth's user to the group video, and start the booth again."
                return {"detail": f"this user may not open the webcam at {self._path}", "advice": advice}
            case errno.ENOTTY | errno.EINVAL:
                return {"detail": f"{self._path} is no webcam"}
        return {"detail": f"the webcam at {self._path} cannot be opened: {os_reason(error)}"}
