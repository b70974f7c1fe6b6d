"""Questions on any terminal, even a serial line: one line out, one line in, the current value as the default."""

from __future__ import annotations

import getpass
import textwrap
from collections.abc import Callable, Mapping, Sequence
from typing import TextIO, TypeVar

from kiosk.errors import AnswersEnded, BadInput

WIDTH = 78
T = TypeVar("T")


class InvalidAnswer(ValueError):
    """An answer that cannot be used; the message says why."""


class Terminal:
    """Asks each question until the answer is valid.

    Parameters
    ----------
    answers, shown
        The streams for input and output.
    """

    def __init__(self, answers: TextIO, shown: TextIO) -> None:
        self._answers = answers
        self._shown = shown

    def say(self, text: str = "") -> None:
        """Show a paragraph."""
        print(textwrap.fill(text, WIDTH, break_on_hyphens=False, break_long_words=False), file=self._shown)

    def show(self, text: str) -> None:
        """Show text without wrapping it."""
        print(text, file=self._shown)

    def heading(self, text: str) -> None:
        """Show a heading for the next questions."""
        print(f"\n{text}\n{'-' * len(text)}", file=self._shown)

    def value(self, question: str, read: Callable[[str], T], default: str, help_text: str = "") -> T:
        """Ask until `read` accepts the answer, and return its result; an empty answer stands for the default.

        `read` raises ValueError or BadInput for an invalid answer. The answer `?` shows `help_text`.

        Raises
        ------
        AnswersEnded
            The input has ended.
        """
        while True:
            answer = self._line(f"{question} [{default}]: ").strip() or default
            if answer == "?" and help_text:
                print(help_text, file=self._shown)
                continue
            try:
                return read(answer)
            except (ValueError, BadInput) as error:
                advice = f" {error.advice}" if isinstance(error, BadInput) else ""
                self.say(f"  This cannot be used: {str(error).rstrip('.')}.{advice}")

    def text(self, question: str, default: str) -> str:
        """Ask for any text."""
        return self.value(question, str, default)

    def yes(self, question: str, *, default: bool) -> bool:
        """Ask for yes or no, and return whether the answer is yes."""

        def read(answer: str) -> bool:
            if answer.lower() not in ("yes", "y", "no", "n"):
                raise InvalidAnswer("answer yes or no")
            return answer.lower() in ("yes", "y")

        return self.value(question, read, "yes" if default else "no")

    def choice(self, question: str, options: Mapping[str, str], default: str) -> str:
        """Let the user choose one of several options by number or key, and return its key."""
        keys = list(options)
        print(f"{question}", file=self._shown)
        for number, (key, words) in enumerate(options.items(), start=1):
            print(f"  {number}  {key}: {words}", file=self._shown)

        def read(answer: str) -> str:
            if answer in keys:
                return answer
            if answer.isdecimal() and 1 <= int(answer) <= len(keys):
                return keys[int(answer) - 1]
            raise InvalidAnswer(f"give a number from 1 to {len(keys)}")

        return self.value("Which", read, default)

    def several(self, question: str, known: Mapping[str, str], default: Sequence[str]) -> list[str]:
        """Ask for one or more keys, separated by commas or spaces; the answer `?` lists all of them."""

        def read(answer: str) -> list[str]:
            keys = list(dict.fromkeys(answer.replace(",", " ").split()))
            unknown = [key for key in keys if key not in known]
            if unknown or not keys:
                raise InvalidAnswer(f"{unknown[0]!r} is not known; ? lists all" if unknown else "name at least one")
            return keys

        widest = max(map(len, known))
        listed = "\n".join(f"  {key:{widest}}  {words}" for key, words in known.items())
        return self.value(f"{question} (? lists them)", read, ", ".join(default), listed)

    def secret(self, question: str) -> str:
        """Ask for a line that the terminal does not echo."""
        if self._answers.isatty():
            return getpass.getpass(f"{question}: ")
        return self._line(f"{question}: ", secret=True).strip()

    def _line(self, prompt: str, *, secret: bool = False) -> str:
        print(prompt, end="", file=self._shown, flush=True)
        line = self._answers.readline()
        if not self._answers.isatty():
            print("" if secret else line.rstrip("\n"), file=self._shown)
        if not line:
            raise AnswersEnded(question=prompt.split(" [", maxsplit=1)[0].rstrip(": "))
        return line.rstrip("\n")
