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
    sentence = "{paper} holds at most {fit} of {width_mm:g} x {height_mm:g} mm within its margins, and not {count}."
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


class NotPrintedAgain(BadInput):
    """No sheet of that number can be printed again: its time is over, its file has changed, or it never was."""

    key = "not_printed_again"
    exit_code = 3
    sentence = "The sheet {number} is not printed again: {detail}."
    next_step = "Print a file by its name. The booth's own sheets are printed again at the attendant's desk."


class OtherPaper(BadInput):
    """The sheet is for another paper than the printer holds; nothing is scaled to fit."""

    key = "other_paper"
    exit_code = 11
    sentence = "{path} is for a paper of {size}; there is {held}."
    next_step = "Make the sheet anew with --paper for the paper that is there, or name it in the settings."


class NotesDoNotFit(BadInput):
    """The paper has no room to say what is not certain about the photos, or that they were made anyway."""

    key = "notes_do_not_fit"
    exit_code = 11
    sentence = "{paper} has no room beside the photos to say what speaks against them."
    next_step = "Choose fewer copies, a wider gutter or a larger paper."


class BackDoesNotFit(BadInput):
    """The text for the back of a photo is too long for it."""

    key = "back_does_not_fit"
    exit_code = 11
    sentence = "The text for the back does not fit on {width_mm:g} x {height_mm:g} mm in letters that can be read."
    next_step = "Give --back a shorter text."


class SheetRefused(BadInput):
    """The photo or the document speaks against making a print or a file."""

    key = "sheet_refused"
    exit_code = 13
    sentence = "Nothing was made of {path} for {document}: {reasons}."
    next_step = "Mend that, or give --anyway: it is made all the same, and the sheet's margin says so."
