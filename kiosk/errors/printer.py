"""Errors of the printer, its sheets and its scale."""

from __future__ import annotations

from kiosk.errors.base import BadInput, NeedsAttendant


class PrinterFault(NeedsAttendant):
    """The printer refused the sheet or stopped."""

    key = "printer_fault"
    exit_code = 21
    sentence = "The printer {printer} stopped: {detail}."
    next_step = "Ask the attendant to look at the printer."


class SheetUnknown(PrinterFault):
    """It is not known whether the sheet came out; it is never sent again automatically."""

    key = "sheet_unknown"
    sentence = "It is not known whether {printer} has printed the sheet: {detail}."
    next_step = "Ask the attendant to look in the tray and to destroy a sheet that nobody takes."


class ScaleUnproven(PrinterFault):
    """The printer's scale is not proven, so that it must not print documents."""

    key = "scale_unproven"
    exit_code = 24
    sentence = "The printer {printer} must not print documents: {detail}."
    next_step = "Print a page with `holdstill ruler`, measure it, and record what the ruler reads."


class UnreadableRuler(BadInput):
    """The readings, scan or photo of a ruler page cannot be used."""

    key = "unreadable_ruler"
    exit_code = 3
    sentence = "The ruler page cannot be measured: {detail}."
    next_step = "Scan the whole page flat at 300 dpi or more, or read both lengths with a steel ruler."


class ColourUnproven(PrinterFault):
    """The printer's colour is not proven, and the settings ask for a proof."""

    key = "colour_unproven"
    exit_code = 24
    sentence = "The printer {printer} must not print documents: {detail}."
    next_step = "Print a page with `holdstill colour`, photograph it beside a grey card, and record the picture."


class UnreadableColours(BadInput):
    """The readings or the picture of a colour page cannot be used."""

    key = "unreadable_colours"
    exit_code = 3
    sentence = "The colour page cannot be measured: {detail}."
    next_step = "Photograph or scan it whole beside a grey card, in even light, or type the readings of all of row D."
