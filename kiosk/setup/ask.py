"""Questions on a plain terminal, a serial line too: a line out, a line in, the old answer as the default."""

from __future__ import annotations

import getpass
import textwrap
from collections.abc import Callable, Mapping, Sequence
from typing import TextIO, TypeVar

from kiosk.errors import AnswersEnded, BadInput

WIDTH = 78
T = TypeVar("T")


class Unfit(ValueError):
    """An answer that cannot be used, and why."""


class Terminal:
    """Asks until the answer can be used.

    Parameters
    ----------
    answers, shown
        Where lines come from, and where questions go.
    """

    def __init__(self, answers: TextIO, shown: TextIO) -> None:
        self._answers = answers
        self._shown = shown

    def say(self, text: str = "") -> None:
        """Show a paragraph."""
        print(textwrap.fill(text, WIDTH, break_on_hyphens=False, break_long_words=False), file=self._shown)

    def show(self, text: str) -> None:
        """Show text as it is laid out."""
        print(text, file=self._shown)

    def heading(self, text: str) -> None:
        """Show what the next questions are about."""
        print(f"\n{text}\n{'-' * len(text)}", file=self._shown)

    def value(self, question: str, read: Callable[[str], T], default: str, help_text: str = "") -> T:
        """Return what `read` makes of the answer; an empty one takes the default, `?` shows `help_text`.

        Raises
        ------
        AnswersEnded
            No answer came.
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
                self.say(f"  That does not do: {str(error).rstrip('.')}.{advice}")

    def text(self, question: str, default: str) -> str:
        """Return any text."""
        return self.value(question, str, default)

    def yes(self, question: str, *, default: bool) -> bool:
        """Return whether the answer is yes."""

        def read(answer: str) -> bool:
            if answer.lower() not in ("yes", "y", "no", "n"):
                raise Unfit("answer yes or no")
            return answer.lower() in ("yes", "y")

        return self.value(question, read, "yes" if default else "no")

    def choice(self, question: str, options: Mapping[str, str], default: str) -> str:
        """Return the key of one of several, chosen by its number or its key; the values are shown."""
        keys = list(options)
        print(f"{question}", file=self._shown)
        for number, (key, words) in enumerate(options.items(), start=1):
            print(f"  {number}  {key}: {words}", file=self._shown)

        def read(answer: str) -> str:
            if answer in keys:
                return answer
            if answer.isdecimal() and 1 <= int(answer) <= len(keys):
                return keys[int(answer) - 1]
            raise Unfit(f"give a number from 1 to {len(keys)}")

        return self.value("Which", read, default)

    def several(self, question: str, known: Mapping[str, str], default: Sequence[str]) -> list[str]:
        """Return one or more keys, given with commas or spaces between; `?` shows all of them."""

        def read(answer: str) -> list[str]:
            keys = list(dict.fromkeys(answer.replace(",", " ").split()))
            unknown = [key for key in keys if key not in known]
            if unknown or not keys:
                raise Unfit(f"{unknown[0]!r} is not known; ? shows what is" if unknown else "name one at least")
            return keys

        widest = max(map(len, known))
        listed = "\n".join(f"  {key:{widest}}  {words}" for key, words in known.items())
        return self.value(f"{question} (? lists them)", read, ", ".join(default), listed)

    def secret(self, question: str) -> str:
        """Return a line that a terminal does not show."""
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
