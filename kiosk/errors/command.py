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
