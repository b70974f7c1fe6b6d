"""The command's reference, generated from its parser.

`python -m tests.support.command_reference` writes the page anew.
"""

from __future__ import annotations

import argparse
import re
from pathlib import Path

from kiosk.commands.exit_codes import exit_codes
from kiosk.commands.parser import parser_of_all

PAGE = Path(__file__).parents[2] / "hardware" / "command.md"
HEAD = """# The command

Generated from the program; `holdstill COMMAND --help` prints the same. Results go to standard output, everything about
them to standard error. Every command takes `--quiet`, for results and errors only, and `--verbose`, for a log.

Where no `--settings` are named, they are those of the user, `~/.config/holdstill/settings.toml`, or else those of the
booth, `/etc/holdstill/settings.toml`. Who may read a file that a command writes is up to the umask. Faces of a booth's
sitters are another matter: what the booth itself stores or prints into a folder is for its own user alone.
"""


def page() -> str:
    """Return the page: each command with what it takes, then the exit codes."""
    return "\n".join([HEAD, *(_command(name, one) for name, one in _commands()), _exit_codes()])


def _commands() -> list[tuple[str, argparse.ArgumentParser]]:
    """Return every command, those of a command that has some under their whole names."""
    found = []
    for name, one in _children(parser_of_all()):
        inner = _children(one)
        found += [(f"{name} {word}", parser) for word, parser in inner] or [(name, one)]
    return found


def _children(parser: argparse.ArgumentParser) -> list[tuple[str, argparse.ArgumentParser]]:
    """Return the commands of a parser, each with what its parent says of it where it says nothing itself."""
    found = []
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            helps = {choice.dest: choice.help or "" for choice in action._choices_actions}
            for name, one in action.choices.items():
                one.description = one.description or f"{helps[name][:1].upper()}{helps[name][1:]}."
                found.append((name, one))
    return found


def _command(name: str, parser: argparse.ArgumentParser) -> str:
    lines = [f"## holdstill {name}", "", _one_line(parser.description or ""), ""]
    rows = [_row(parser, action) for action in parser._actions if _is_told(action)]
    if rows:
        lines += ["| argument | what |", "|---|---|", *rows, ""]
    return "\n".join(lines)


def _is_told(action: argparse.Action) -> bool:
    """Return whether an argument has a row: what all commands take is said once, at the top."""
    everywhere = {action.dest for action in parser_of_all()._actions}
    return action.dest not in everywhere and not isinstance(action, argparse._SubParsersAction)


def _row(parser: argparse.ArgumentParser, action: argparse.Action) -> str:
    formatter = parser._get_formatter()
    shown = formatter._format_action_invocation(action)
    needed = " (needed)" if action.required and action.nargs != "*" else ""
    return f"| `{_cell(shown)}` | {_cell(_one_line(action.help or ''))}{needed} |"


def _exit_codes() -> str:
    rows = [f"| {code} | {_cell(words)} |" for code, words in exit_codes().items()]
    return "\n".join(["## Exit codes", "", "| code | meaning |", "|---|---|", *rows, ""])


def _one_line(words: str) -> str:
    return re.sub(r"\s+", " ", words).strip()


def _cell(words: str) -> str:
    return words.replace("|", "\\|")


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
