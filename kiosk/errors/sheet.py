"""Errors of papers and layouts."""

from __future__ import annotations

from kiosk.errors.base import BadInput


class UnknownPaper(BadInput):
    """No paper has that name."""

    key = "unknown_paper"
    exit_code = 6
    sentence = "No paper is called {paper!r}."
    next_step = "Give its size, as in 6x4in, 100x150mm or 15x10cm, a name of PWG 5101.1, or one of: {known}."


class SheetDoesNotFit(BadInput):
    """The requested photos do not fit the printable area of the paper."""

    key = "sheet_does_not_fit"
    exit_code = 11
    sentence = "{count} photos of {width_mm:g} x {height_mm:g} mm do not fit {paper} with its margins; {fit} do."
    next_step = "Choose a larger paper or fewer copies."


class PhotosDoNotFit(BadInput):
    """The photos of several sizes do not fit on the paper together."""

    key = "photos_do_not_fit"
    exit_code = 11
    sentence = "{photos} do not fit {paper} together with its margins."
    next_step = "Choose a larger paper or fewer copies."


class UnreadableSheet(BadInput):
    """The file to be printed is not a sheet."""

    key = "unreadable_sheet"
    exit_code = 3
    sentence = "{path} cannot be printed as a sheet: {detail}."
    next_step = "Give the PDF as `holdstill sheet` has written it."


class OtherPaper(BadInput):
    """The sheet is for another paper than the printer holds; nothing is scaled to fit."""

    key = "other_paper"
    exit_code = 11
    sentence = "{path} is for a paper of {size}; there is {held}."
    next_step = "Make the sheet anew with --paper for the paper that is there, or name it in the settings."
