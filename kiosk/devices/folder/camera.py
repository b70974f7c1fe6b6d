"""A folder that a camera sends its pictures to, by Wi-Fi, by a card that transmits, or by a program of its maker.

Such a camera shows no live view: an attendant releases it. Each picture that comes in is shown as the live view, so the
sitter is led from picture to picture; when one is as it should be, the shot that is then ordered is that very picture.
Where the site has a command that releases the camera, a shot runs it, and is the picture that comes of it. So a picture
counts for the sitter at whom the booth looked when it began to come in, and for nobody after that; one that was on its
way for longer is known by its time, where the camera writes it.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from pathlib import Path

from kiosk.devices.base import DeviceSettings
from kiosk.devices.camera.body_clock import ALWAYS_LATE_S, BodyClock, taken_s
from kiosk.devices.camera.driver import NotThere
from kiosk.devices.folder.arrivals import Arrivals
from kiosk.devices.folder.pictures import as_jpeg, blank, small
from kiosk.devices.folder.trigger import Trigger
from kiosk.errors import CameraFault

ARRIVAL_S = 11.0
"""How long a shot waits for its picture: less than the limit outside the call (`Timeouts.shot_s`)."""

SHOWN_S = 30.0
"""How long a picture is shown when no shot is ordered: practice, longer than a sitter takes to follow an advice."""

_LOOK_S = 0.05


class FolderDriver:
    """Pictures that appear in a folder, or in one below it.

    A picture counts when it is a whole JPEG or HEIC file and has not changed for 0.2 s. It is read once and, unless it
    is to stay, removed: it shows a face. The last that began to arrive is the newest.

    Parameters
    ----------
    folder
        Where the pictures come in; those already there at the start are left alone and never handed out.
    keep
        Whether pictures stay there.
    command
        The program, and its arguments, that releases the camera at each shot; nothing where an attendant does.
    simulated
        Whether the pictures are made up.
    """

    frame_interval_s = 0.2

    def __init__(
        self, folder: Path, *, keep: bool = False, command: Sequence[str] = (), simulated: bool = False
    ) -> None:
        self._folder = folder
        self._keep = keep
        self.simulated = simulated
        self._trigger = Trigger(command, folder) if command else None
        self._arrivals = Arrivals(folder)
        self._frame = b""
        self._still = b""
        self._came_s = 0.0
        self._refused = ""
        self._clock = BodyClock(late_s=ALWAYS_LATE_S)
        self._forgot_s = time.monotonic()

    def warm_up(self) -> None:
        """Import the encoder of the grey picture."""
        import simplejpeg  # noqa: F401

    def open(self) -> str:
        """Note what is there already.

        Raises
        ------
        NotThere
            There is no such folder.
        """
        try:
            self._arrivals.begin()
        except CameraFault as error:
            raise NotThere(**error.params) from error
        self._show_nothing()
        return f"Folder {self._folder}"

    def next_frame(self) -> bytes:
        """Return the picture that came last, made small, or an empty grey one where there is none to show.

        A picture that was handed out, or that came long ago, is shown no more.
        """
        self._take_in()
        if time.monotonic() - self._came_s > SHOWN_S:
            self._show_nothing()
        return self._frame

    def shoot(self) -> bytes:
        """Return the picture that is shown, if it was not handed out before, or wait for the next.

        With a command, what came before it does not count.

        Raises
        ------
        CameraFault
            None came in time, or the command failed.
        """
        self._refused = ""
        end_s = time.monotonic() + ARRIVAL_S
        if self._trigger is not None:
            self.forget()
            self._trigger.release()
        while not self._still:
            if self._trigger is not None:
                self._trigger.check()
            if time.monotonic() > end_s:
                why = f"; {self._refused}" if self._refused else ""
                raise CameraFault(detail=f"no picture came into its folder within {ARRIVAL_S:g} s{why}")
            time.sleep(_LOOK_S)
            self._take_in()
        still = self._still
        self._show_nothing()
        return still

    def forget(self) -> None:
        """Use no picture that has come, or has begun to come, until now."""
        self._arrivals.forget()
        self._forgot_s = time.monotonic()
        self._show_nothing()

    def notices(self) -> list[str]:
        """Return no notices; a folder knows nothing about its camera."""
        return []

    def settings(self) -> DeviceSettings:
        """Return no settings; a folder knows none."""
        return DeviceSettings({}, {})

    def ask(self, wish: str, argument: str) -> None:
        """Do nothing; a folder has no wishes of its own."""

    def close(self) -> None:
        """Forget what was seen, and end the command."""
        if self._trigger is not None:
            self._trigger.end()
        self._frame = self._still = b""

    def _take_in(self) -> None:
        """Take in the complete pictures; the last one counts, and unwanted ones are removed without being shown."""
        for path, is_wanted in self._arrivals.settled():
            try:
                jpeg = as_jpeg(path)
            except CameraFault as error:
                self._refused = str(error.params["detail"])
                self._arrivals.put_off(path)
                continue
            self._arrivals.done(path)
            if not self._keep:
                path.unlink(missing_ok=True)
            now_s, taken = time.monotonic(), taken_s(jpeg)
            if not is_wanted:
                self._clock.learn(taken, now_s)
            elif not self._clock.is_older(taken, self._forgot_s, now_s):
                self._still, self._frame = jpeg, small(jpeg)
                self._came_s = now_s

    def _show_nothing(self) -> None:
        self._frame, self._still = blank(), b""
