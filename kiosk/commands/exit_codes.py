"""What each exit code of the program means."""

from __future__ import annotations

import re

from kiosk.errors import EXIT_DONE, EXIT_ENDED, EXIT_NOT_CONFORMING, KioskError, all_errors

_OTHERS = {
    EXIT_DONE: "Done and, for `measure`, conforming",
    EXIT_NOT_CONFORMING: "Measured and not conforming; for `ready`, something is not as it should be; for `ruler`, the"
    " printer must not print documents; for `colour`, its colour is not right; for"
    " `documents`, a value is too old or a page says otherwise",
    EXIT_ENDED: "The attendant has ended the booth; the service does not start it again by itself",
}


def exit_codes() -> dict[int, str]:
    """Return the meanings by code, in ascending order, those of errors from their classes."""
    meanings = dict(_OTHERS)
    for error in all_errors():
        words = "Something went wrong inside the program" if error is KioskError else error.__doc__ or ""
        line = re.sub(r"\s+", " ", words.split("\n\n", maxsplit=1)[0]).strip().rstrip(".")
        before = meanings.get(error.exit_code)
        meanings[error.exit_code] = f"{before}. {line}" if before else line
    return dict(sorted(meanings.items()))
