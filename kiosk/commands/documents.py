"""List documents, explain one with its sources, show what several can share, or confirm one.

Without an id it prints a table; with one, its rules limit by limit; with several, whether one shot or even one print
serves all of them. `confirm ID --by NAME --on DAY --source TEXT` records in the site's settings that a person has read
the authority's own text; until then, a document whose geometry is quoted from memory is hidden from the booth.
With `--channel` it also records whether the authority takes a photo from a booth; until then the sitter is advised to
ask the office.
"""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from kiosk.commands.output import SETTINGS, complain, json_text, known_documents, notice, write
from kiosk.core.document.requirements import Channel
from kiosk.errors import EXIT_DONE, BadCommand

if TYPE_CHECKING:
    from kiosk.catalogue.documents import Catalogue

CONFIRM = "confirm"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("documents", nargs="*", metavar="ID", help=f"ids, or `{CONFIRM}` and one id")
    parser.add_argument("--json", action="store_true", help="a list of objects")
    parser.add_argument("--check", type=Path, metavar="FOLDER", help="check a folder of your own documents")
    parser.add_argument("--drawing", type=Path, metavar="FILE", help="draw one at true size as .svg or .pdf")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    parser.add_argument("--by", metavar="NAME", help="the person who read the authority's text")
    parser.add_argument("--on", type=date.fromisoformat, metavar="YYYY-MM-DD", help="the day on which it was read")
    parser.add_argument("--source", metavar="TEXT", help="the page or law that was read")
    parser.add_argument("--channel", choices=get_args(Channel), help="whether a photo from a booth is taken")


def run(options: argparse.Namespace) -> int:
    """Run the command."""
    if options.check is not None:
        return _check(options.check)
    catalogue = known_documents(options.settings)
    if options.documents[:1] == [CONFIRM]:
        return _confirm(options, catalogue)
    chosen = [catalogue.get(name) for name in options.documents] or list(catalogue.all())
    if options.drawing is not None:
        return _draw(options, catalogue)
    if options.json:
        from kiosk.render.report.explain import as_json

        print(json_text([as_json(document) for document in chosen], indent=2))
        return EXIT_DONE
    return _print(options, catalogue)


def _print(options: argparse.Namespace, catalogue: Catalogue) -> int:
    from kiosk.core.document.compatibility import share
    from kiosk.render.report.explain import explain, table

    chosen = [catalogue.get(name) for name in options.documents]
    if len(chosen) == 1:
        print(explain(chosen[0], catalogue))
        return EXIT_DONE
    print(table(chosen or catalogue.all()))
    if chosen:
        print(f"\n{share(chosen).sentence}")
    return EXIT_DONE


def _check(folder: Path) -> int:
    """Print the first fault of each file in a folder."""
    from kiosk.catalogue.documents import check

    codes = [complain(refusal) for refusal in check(folder)]
    if not codes:
        print(f"{folder}: every document is well formed")
    return max(codes, default=EXIT_DONE)


def _draw(options: argparse.Namespace, catalogue: Catalogue) -> int:
    from kiosk.render.report.rule_drawing import drawing_pdf, drawing_svg

    if len(options.documents) != 1 or options.drawing.suffix not in (".svg", ".pdf"):
        raise BadCommand(detail="a drawing shows one document, in a file that ends in .svg or .pdf")
    document = catalogue.get(options.documents[0])
    drawn = drawing_svg(document).encode() if options.drawing.suffix == ".svg" else drawing_pdf(document)
    write(options.drawing, drawn)
    print(f"{options.drawing}: print it at 100 % and lay it over a photo")
    return EXIT_DONE


def _confirm(options: argparse.Namespace, catalogue: Catalogue) -> int:
    """Record a confirmation in the site's settings."""
    from kiosk.core.document.confirmation import Confirmation
    from kiosk.settings import add_confirmation

    if len(options.documents) != 2 or not (options.by and options.on and options.source):
        raise BadCommand(detail=f"`{CONFIRM}` takes one id, --by, --on and --source")
    document = catalogue.get(options.documents[1])
    confirmation = Confirmation(
        document=document.id, by=options.by, on=options.on, source=options.source, channel=options.channel
    )
    add_confirmation(options.settings, confirmation)
    if options.on < document.read_on:
        notice(f"The file was read later, on {document.read_on}: this confirmation does not open it to sitters.")
    print(f"{document.id}: confirmed by {options.by} in {options.settings}")
    return EXIT_DONE
