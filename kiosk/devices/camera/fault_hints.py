"""From a vendor's text to words for a person: one table, the first match wins.

The texts are those of libgphoto2 2.5 and of the operating system. Where no entry matches, the vendor's own text is
shown only when it is short and printable, so that picture data can never end up in a message or a log.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from kiosk.errors import CameraFault, KioskError

_LONGEST_TEXT = 120


@dataclass(frozen=True, slots=True)
class Hint:
    """A vendor's text and what it means.

    Attributes
    ----------
    pattern
        Regular expression looked for in the vendor's text, case ignored.
    meaning
        The second half of the sentence `The camera has a fault: ...`.
    advice
        The next step, where it is not to look at the cable.
    """

    pattern: str
    meaning: str
    advice: str = ""


HINTS = (
    Hint(
        r"out of focus|0x2019|0xa002",
        "it could not focus on the sitter",
        "Give it more light and one focus point in the middle, and wipe the lens; the booth tries again by itself.",
    ),
    Hint(r"store full|storage full|\[-3\]", "its card is full"),
    Hint(
        r"could not claim|\[-53\]",
        "another program holds it; a desktop's volume monitor does that",
        "Close the other program; hardware/os/install masks the volume monitor. The booth connects again by itself.",
    ),
    Hint(r"could not find the requested device|no such device|\[-52\]", "it is no longer on the USB"),
    Hint(r"unknown model|no camera|\[-105\]", "no camera is connected, or it is switched off"),
    Hint(r"i/o in progress|device busy|\[-110\]", "it is busy"),
    Hint(r"timeout reading|\[-10\]", "it stopped answering; its cable or battery may be loose"),
    Hint(r"i/o problem|\[-7\]", "the connection broke; its cable may be loose"),
    Hint(r"battery", "its battery is low"),
    Hint(r"permission denied|errno 13", "this user may not open it"),
    Hint(r"ptp general error|\[-1\]", "it refused without a reason"),
)


def explained(text: str) -> dict[str, str]:
    """Return what a vendor's text means, as the parameters of a `CameraFault`."""
    hint = _hint(text)
    advice = {"advice": hint.advice} if hint is not None and hint.advice else {}
    return {"detail": meaning_of(text), **advice}


def meaning_of(text: str) -> str:
    """Return what a vendor's text means, or the text itself where it is fit to be shown.

    Parameters
    ----------
    text
        A library's message, with its error number in square brackets where there is one.
    """
    hint = _hint(text)
    if hint is not None:
        return hint.meaning
    line = " ".join(text.split())
    if not line or len(line) > _LONGEST_TEXT or not line.isprintable() or "\\x" in line:
        return "it gave no reason that can be shown"
    return line.rstrip(".")


def camera_fault(error: Exception) -> KioskError:
    """Return `error` where it is one of this project's own, or else what its text means."""
    if isinstance(error, KioskError):
        return error
    return CameraFault(**explained(str(error)))


def _hint(text: str) -> Hint | None:
    return next((hint for hint in HINTS if re.search(hint.pattern, text, re.IGNORECASE)), None)
