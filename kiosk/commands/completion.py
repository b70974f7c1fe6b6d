"""Print what a shell needs to complete commands, options, documents, papers and names of files.

For bash: holdstill completion bash > ~/.local/share/bash-completion/completions/holdstill. For zsh, write it to a
file _holdstill in a folder of $fpath; for fish, to ~/.config/fish/completions/holdstill.fish.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from kiosk.commands.output import SETTINGS, known_documents
from kiosk.errors import EXIT_DONE, MissingPart

_SHELLS = ("bash", "zsh", "fish", "tcsh")
_FILES = ("FILE", "PHOTO", "SHEET")
"""How the names begin that the help gives to arguments which are files; a folder's is FOLDER."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("shell", choices=_SHELLS, help="the shell")


def run(options: argparse.Namespace) -> int:
    """Print the shell's script."""
    from kiosk.commands.parser import parser_of_all
    from kiosk.core.sheet.media import MEDIA

    try:
        import shtab
    except ImportError as error:
        raise MissingPart(part="shtab", detail="it writes the completion for shells") from error
    documents = [document.id for document in known_documents(SETTINGS).all()]
    parser = parser_of_all()
    for action in _actions(parser):
        if str(action.metavar).startswith(_FILES):
            action.complete = shtab.FILE  # type: ignore[attr-defined]
        elif action.metavar == "FOLDER":
            action.complete = shtab.DIRECTORY  # type: ignore[attr-defined]
        elif action.dest in ("document", "documents"):
            action.choices = documents
        elif action.dest == "paper":
            action.choices = [paper.short for paper in MEDIA]
    print(shtab.complete(parser, options.shell))
    return EXIT_DONE


def _actions(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    """Yield the arguments of a parser and of all its commands."""
    for action in parser._actions:
        yield action
        if isinstance(action, argparse._SubParsersAction):
            for one in action.choices.values():
                yield from _actions(one)
