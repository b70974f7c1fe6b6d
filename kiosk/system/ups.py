"""Ask an uninterruptible power supply about the mains, through `upsc` of Debian's nut-client."""

from __future__ import annotations

import contextlib
import logging
import subprocess
import threading
from collections import deque
from collections.abc import Callable, Iterator

from kiosk.core.base.mains import ON_BATTERY, ON_LINE, Mains

ASK_S = 5.0
"""The longest that an answer may take; upsd answers from memory, in milliseconds."""
POLL_S = 2.0
"""How often it is asked; upsmon asks every 5 s (upsmon.conf(5), POLLFREQ)."""

_log = logging.getLogger(__name__)


def ask_ups(ups: str) -> Mains:
    """Return what a UPS says; one that cannot be asked is a trouble, not an error."""
    try:
        done = subprocess.run(["upsc", ups, "ups.status"], capture_output=True, text=True, timeout=ASK_S, check=False)
    except FileNotFoundError:
        return Mains(trouble="upsc is not installed; it is in Debian's nut-client")
    except subprocess.TimeoutExpired:
        return Mains(trouble=f"the UPS {ups} does not answer")
    words = tuple(done.stdout.split())
    if done.returncode == 0 and {ON_LINE, ON_BATTERY} & set(words):
        return Mains(words)
    said = [line.removeprefix("Error: ") for line in done.stderr.splitlines() if line.startswith("Error: ")]
    detail = said[-1] if said else f"its status is {' '.join(words) or 'empty'}"
    return Mains(trouble=f"the UPS {ups} cannot be asked ({detail})")


@contextlib.contextmanager
def watched_mains(ups: str) -> Iterator[Callable[[], Mains | None]]:
    """Ask a UPS again and again in a thread, and give a function that returns its last answer without waiting.

    The function returns None before the first answer, and always where no UPS is named; then nobody is asked.
    """
    if not ups:
        yield lambda: None
        return
    answers: deque[Mains] = deque(maxlen=1)
    ended = threading.Event()
    thread = threading.Thread(target=_ask_on, args=(ups, answers, ended), name="mains", daemon=True)
    thread.start()
    try:
        yield lambda: next(iter(answers.copy()), None)
    finally:
        ended.set()
        thread.join(ASK_S + 1)


def _ask_on(ups: str, answers: deque[Mains], ended: threading.Event) -> None:
    while not ended.is_set():
        found = ask_ups(ups)
        if [found] != list(answers.copy()):
            _log.log(logging.INFO if found.are_there else logging.WARNING, "%s", found.sentence)
        answers.append(found)
        ended.wait(POLL_S)
