"""The file in its own process: for how long it is there, who may have it, and what the booth hears of it."""

from __future__ import annotations

import asyncio
import hmac
from collections.abc import Callable
from pathlib import Path

from kiosk.core.session.events import FileSaid
from kiosk.handover.held_file import HeldFile
from kiosk.handover.messages import UNCHOSEN_S, FromBooth, Hold, ToPhone, ToStick, from_booth
from kiosk.handover.sending import Transfer
from kiosk.handover.sticks import mounted, write_to
from kiosk.page.channel import Channel

MOST_FETCHES = 5
"""How often a file may be asked for: a browser that leaves a download to another program asks twice, and a phone that
loses the network asks again."""
LOOK_S = 0.5
"""How often the mounted sticks are looked at."""


class Keeper:
    """One sitter's file; for one event loop.

    Attributes
    ----------
    file
        Destroyed as soon as a phone or a stick has it, or its time is over.
    file_name
        Its name for a phone.
    code, language
        What a phone must ask for, and the language of its page; no code opens nothing.
    transfers
        Those that are sending the file.
    """

    def __init__(self, hold: Hold, file: HeldFile, channel: Channel) -> None:
        self.file = file
        self.file_name = f"{hold.name}.jpg"
        self.code, self.language = "", ""
        self._hold = hold
        self._channel = channel
        self.transfers: set[Transfer] = set()
        self._fetches = 0
        self._is_writing = False
        self._late: asyncio.TimerHandle | None = None
        self._watching: asyncio.Task[None] | None = None

    def attend(self, at_end: Callable[[], None]) -> None:
        """Take what the booth says from now on; `at_end` is called when it is gone."""
        loop = asyncio.get_running_loop()

        def read() -> None:
            try:
                while received := self._channel.receive():
                    self._take(from_booth(received))
            except EOFError:
                loop.remove_reader(self._channel.fileno())
                self.file.destroy()
                at_end()

        loop.add_reader(self._channel.fileno(), read)
        self._keep(self._hold.keep_s + UNCHOSEN_S)
        self._say("kept")

    def opens(self, code: str) -> bool:
        """Return whether the file is there for somebody with this code; the time it takes says nothing about it."""
        right = hmac.compare_digest(self.code.encode(), code.upper().encode())
        return right and bool(self.code) and self.file.is_held

    def may_fetch(self) -> bool:
        """Count a request for the file; return whether it is sent."""
        self._fetches += 1
        return self._fetches <= MOST_FETCHES

    def taken(self) -> None:
        """Destroy the file, which somebody has."""
        self._end("taken")

    def _take(self, message: FromBooth) -> None:
        if not self.file.is_held or self._is_writing:
            return
        self._keep(self._hold.keep_s)
        if self._watching is not None:
            self._watching.cancel()
        match message:
            case ToPhone(code, language):
                self.code, self.language, self._fetches = code, language, 0
                self._say("link")
            case ToStick():
                self.code = ""
                self._watching = asyncio.create_task(self._to_stick(mounted(self._hold.sticks)))
                self._say("insert")

    async def _to_stick(self, before: dict[tuple[str, str], Path]) -> None:
        """Write the file to the first stick that was not there before, which alone is this sitter's.

        One that has gone may come back under the ids that it had.
        """
        now = before
        while not (new := [place for key, place in now.items() if key not in before]):
            before = {key: place for key, place in before.items() if key in now}
            await asyncio.sleep(LOOK_S)
            now = mounted(self._hold.sticks)
        self._is_writing = True
        self._say("writing")
        content = self.file.read(0, self.file.size)
        failure = await asyncio.to_thread(write_to, new[0], self._hold.name, content)
        self._is_writing = False
        if failure is None:
            self.taken()
        elif self.file.is_held:
            self._keep(self._hold.keep_s)
            self._say(failure)

    def _keep(self, time_s: float) -> None:
        """Keep the file for a time that begins now; what is being written is written to its end."""
        if self._late is not None:
            self._late.cancel()
        self._late = asyncio.get_running_loop().call_later(time_s, self._over)

    def _over(self) -> None:
        if self.file.is_held and not self._is_writing:
            self._end("late")

    def _end(self, said: FileSaid) -> None:
        """Destroy the file, and break off what is still being sent of it."""
        self.file.destroy()
        for transfer in tuple(self.transfers):
            transfer.abort()
        self._say(said)

    def _say(self, said: FileSaid) -> None:
        self._channel.send(said.encode("ascii"))
