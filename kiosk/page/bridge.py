"""The exchange between the frame loop and the page's thread: views one way, orders and PINs the other; never blocks."""

from __future__ import annotations

import queue
import secrets
from concurrent.futures import Future
from dataclasses import dataclass, field
from typing import Literal

from kiosk.core.view.attendant import DeskIntent, DeskView

PinAnswer = Literal["right", "wrong", "refused"]
"""The answer to a PIN; `refused` means unchecked, because of the lock or because another PIN is being checked."""
MOST_WAITING = 16


@dataclass(frozen=True, slots=True)
class PinAsked:
    """A PIN entered on the page; `asker` is a random key for the answer."""

    asker: str
    pin: str = field(repr=False)


class Bridge:
    """A thread-safe exchange. `shown` is None until the loop has published its first view."""

    def __init__(self) -> None:
        self.shown: DeskView | None = None
        self._requests: queue.Queue[PinAsked | DeskIntent] = queue.Queue(MOST_WAITING)
        self._answers: dict[str, Future[PinAnswer]] = {}

    def ask(self, pin: str) -> Future[PinAnswer]:
        """Ask the loop whether a PIN is right; called by the page's thread."""
        asker, answer = secrets.token_hex(8), Future[PinAnswer]()
        self._answers[asker] = answer
        try:
            self._requests.put_nowait(PinAsked(asker, pin))
        except queue.Full:
            self.answer(asker, "refused")
        return answer

    def give(self, order: DeskIntent) -> bool:
        """Pass an order to the loop and return whether the queue had room; called by the page's thread."""
        try:
            self._requests.put_nowait(order)
        except queue.Full:
            return False
        return True

    def poll(self) -> list[PinAsked | DeskIntent]:
        """Return the PINs and orders since the last call; called by the loop."""
        requests = []
        while not self._requests.empty():
            requests.append(self._requests.get_nowait())
        return requests

    def answer(self, asker: str, answer: PinAnswer) -> None:
        """Answer a PIN; called by the loop. The answer is dropped if the asker has disconnected in the meantime."""
        waiting = self._answers.pop(asker, None)
        if waiting is not None and waiting.set_running_or_notify_cancel():
            waiting.set_result(answer)
