"""Errors in the command line and the user's other input."""

from __future__ import annotations

from kiosk.errors.base import EXIT_USAGE, BadInput


class BadCommand(BadInput):
    """The command line is wrong."""

    key = "bad_command"
    exit_code = EXIT_USAGE
    sentence = "This command cannot be carried out: {detail}."
    next_step = "Add --help to the command to see its arguments."


class PinRefused(BadInput):
    """The PIN is not acceptable."""

    key = "pin_refused"
    exit_code = EXIT_USAGE
    sentence = "This PIN cannot be used: {detail}."
    next_step = "Choose six to twelve digits that nobody would try first."


class AnswersEnded(BadInput):
    """The input to `holdstill setup` ended before all questions were answered."""

    key = "answers_ended"
    exit_code = EXIT_USAGE
    sentence = "There was no answer to the question {question!r}; nothing was written."
    next_step = "Answer every question; an empty line accepts the default."


class CannotWrite(BadInput):
    """An output file or folder cannot be written; nothing was left behind."""

    key = "cannot_write"
    exit_code = 9
    sentence = "{path} cannot be written: {detail}."
    next_step = "Choose a folder that you may write to and that has free space."


class ResultsRefused(CannotWrite):
    """Standard output is closed or full."""

    key = "results_refused"
    sentence = "The results cannot be written to standard output: {detail}."
    next_step = "Send them to a terminal, or to a file on a disk with free space."


class ResultsUnread(BadInput):
    """The program that was reading the results has ended before their end, as in `… | head`."""

    key = "results_unread"
    exit_code = 141
    sentence = "The results were not read to their end."
    next_step = "Let the next program read all of them, or send them to a file."


class Interrupted(BadInput):
    """The command was interrupted by Ctrl-C; no file was left half-written."""

    key = "interrupted"
    exit_code = 130
    sentence = "The command was interrupted."
    next_step = "No file is half-written; start the command again."
