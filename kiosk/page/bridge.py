"""Between the frame loop and the page's thread: what is shown goes one way, orders and PINs the other; nobody waits."""

from __future__ import annotations

import queue
import secrets
from concurrent.futures import Future
from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.view.attendant import DeskIntent, DeskView

PinAnswer = Literal["right", "wrong", "refused"]
"""Of a PIN; `refused` was not looked at, because of the lock or because another is being checked."""
MOST_WAITING = 16


@dataclass(frozen=True, slots=True)
class PinAsked:
    """A PIN that somebody gave on the page; whose it is, is random."""

    asker: str
    pin: str = field(repr=False)


class Bridge:
    """Safe from both threads. `shown` is None until the loop has told how things stand."""

    def __init__(self) -> None:
        self.shown: DeskView | None = None
        self._asked: queue.Queue[PinAsked | DeskIntent] = queue.Queue(MOST_WAITING)
        self._answers: dict[str, Future[PinAnswer]] = {}

    def ask(self, pin: str) -> Future[PinAnswer]:
        """Ask the loop whether a PIN is right; from the page's thread."""
        asker, answer = secrets.token_hex(8), Future[PinAnswer]()
        self._answers[asker] = answer
        try:
            self._asked.put_nowait(PinAsked(asker, pin))
        except queue.Full:
            self.answer(asker, "refused")
        return answer

    def give(self, order: DeskIntent) -> bool:
        """Give an order to the loop, from the page's thread; tell whether there was room for it."""
        try:
            self._asked.put_nowait(order)
        except queue.Full:
            return False
        return True

    def poll(self) -> list[PinAsked | DeskIntent]:
        """Return what was asked since the last call; from the loop."""
        asked = []
        while not self._asked.empty():
            asked.append(self._asked.get_nowait())
        return asked

    def answer(self, asker: str, answer: PinAnswer) -> None:
        """Answer a PIN; from the loop. An asker who has hung up meanwhile, at whatever moment, gets none."""
        waiting = self._answers.pop(asker, None)
        if waiting is not None and waiting.set_running_or_notify_cancel():
            waiting.set_result(answer)
