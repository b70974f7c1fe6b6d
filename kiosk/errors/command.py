"""What the command line or its user gave."""

from __future__ import annotations

from kiosk.errors.base import EXIT_USAGE, BadInput


class BadCommand(BadInput):
    """The command line is wrong."""

    key = "bad_command"
    exit_code = EXIT_USAGE
    sentence = "That command cannot be done: {detail}."
    next_step = "Add --help to the command for what it takes."


class PinRefused(BadInput):
    """The attendant's PIN cannot be that one."""

    key = "pin_refused"
    exit_code = EXIT_USAGE
    sentence = "That cannot be the attendant's PIN: {detail}."
    next_step = "Choose six to twelve digits that nobody would try first."


class AnswersEnded(BadInput):
    """The answers to the questions of `holdstill setup` ended early."""

    key = "answers_ended"
    exit_code = EXIT_USAGE
    sentence = "No answer came to the question {question!r}; nothing was written."
    next_step = "Answer every question, with an empty line where the default is meant."


class CannotWrite(BadInput):
    """An output file or folder cannot be written; nothing was left behind."""

    key = "cannot_write"
    exit_code = 9
    sentence = "{path} cannot be written: {detail}."
    next_step = "Choose a folder you may write to, with free space."
