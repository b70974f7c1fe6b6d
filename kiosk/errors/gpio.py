"""Errors of the lines of a GPIO chip."""

from __future__ import annotations

from kiosk.errors.base import Recoverable


class LineFault(Recoverable):
    """A GPIO line cannot be had, or does not do what it should."""

    key = "line_fault"
    exit_code = 20
    sentence = "The GPIO line {line} of {chip} has a fault: {detail}."
    next_step = (
        "Compare chip and line with the list of `gpioinfo`, and check the cable; the booth tries again by itself."
    )
