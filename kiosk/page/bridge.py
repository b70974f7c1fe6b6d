"""The page's side of its exchange with the booth: what is shown, and the PINs and orders on their way."""

from __future__ import annotations

import asyncio
import os
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import Any

from kiosk.core.view.attendant import DeskIntent
from kiosk.core.view.metrics import Metrics
from kiosk.page.channel import Channel
from kiosk.page.messages import (
    Alive,
    FromPage,
    MetricsAnswered,
    MetricsAsked,
    PinAnswer,
    PinAnswered,
    PinAsked,
    Shown,
    from_booth,
    to_booth,
)

MOST_WAITING = 16
"""Questions that may wait for the booth's answer at once."""
PIN_S = 20.0
"""How long a PIN waits."""
METRICS_S = 5.0
"""How long a monitoring server waits: half of the 10 s after which Prometheus gives up by default (`scrape_timeout`).
The booth answers with its next frame; a booth that hangs answers nothing."""
ALIVE_S = 5.0
"""How often the booth hears that the page is served."""


class Bridge:
    """What the page knows of the booth, for one event loop; `shown` is None until the booth has published a view."""

    def __init__(self, channel: Channel) -> None:
        self.shown: Shown | None = None
        self._channel = channel
        self._answers: dict[str, asyncio.Future[Any]] = {}

    def attend(self, at_end: Callable[[], None]) -> None:
        """Take what the booth says from now on, and say that the page is served; `at_end` is called when it is gone."""
        loop = asyncio.get_running_loop()

        def read() -> None:
            try:
                while received := self._channel.receive():
                    self._take(received)
            except EOFError:
                loop.remove_reader(self._channel.fileno())
                at_end()

        def say_alive() -> None:
            self._send(Alive(_resident_mb()))
            loop.call_later(ALIVE_S, say_alive)

        loop.add_reader(self._channel.fileno(), read)
        say_alive()

    async def ask(self, pin: str) -> PinAnswer:
        """Ask the booth whether a PIN is right; `refused` also where it does not answer in time."""
        answer: PinAnswer | None = await self._answer(lambda asker: PinAsked(asker, pin), PIN_S)
        return answer or "refused"

    async def metrics(self) -> Metrics | None:
        """Ask the booth for its metrics; None where it does not answer in time."""
        answer: Metrics | None = await self._answer(MetricsAsked, METRICS_S)
        return answer

    def give(self, order: DeskIntent) -> bool:
        """Pass an order to the booth and return whether there was room for it."""
        return self._send(order)

    async def _answer(self, question: Callable[[str], FromPage], limit_s: float) -> Any:
        """Ask the booth something under a new key, and return its answer; None where none comes in time."""
        if len(self._answers) >= MOST_WAITING:
            return None
        key = secrets.token_hex(8)
        answer = self._answers[key] = asyncio.get_running_loop().create_future()
        try:
            return await asyncio.wait_for(answer, limit_s) if self._send(question(key)) else None
        except TimeoutError:
            return None
        finally:
            del self._answers[key]

    def _take(self, received: bytes) -> None:
        """Take a message; the answer to somebody who has hung up in the meantime is dropped."""
        match from_booth(received):
            case Shown() as shown:
                self.shown = shown
            case PinAnswered(key, answer) | MetricsAnswered(key, answer):
                waiting = self._answers.get(key)
                if waiting is not None and not waiting.done():
                    waiting.set_result(answer)

    def _send(self, message: FromPage) -> bool:
        return self._channel.send(to_booth(message))


def _resident_mb() -> float:
    """Return this process's memory (proc(5), statm)."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6
