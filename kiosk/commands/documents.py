"""List documents, explain one with its sources, compare them with the authorities' pages, or confirm one.

Without a word it prints a table; with the id of one document, or words that only one has, that document's rules. Words
are found in ids, titles, authorities and countries, in any letter case. Several ids: whether one shot or even one print
serves all of them.

`review ID -o FILE` writes a worksheet for a person who goes through the authority's own pages, and `review --answers
FILE` turns its answers into confirmations. `confirm ID --by NAME --on DAY --source TEXT` enters a single one; with
`--channel` it also records whether the authority takes a photo from a booth. Confirmations are kept in the site's
settings; without one, a document whose geometry is quoted from memory is hidden from the booth.

`--check` warns of values that are older than the shop's limit, and `--check FOLDER` finds faults in a folder of your
own documents.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from kiosk.commands.output import SETTINGS, are_there, complain, json_text, known_documents, notice, write
from kiosk.core.document.requirements import Channel
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, BadCommand
from kiosk.system.clock import SystemClock

if TYPE_CHECKING:
    from kiosk.catalogue.documents import Catalogue
    from kiosk.core.document.confirmation import Confirmation
    from kiosk.core.document.document import Document

CONFIRM, REVIEW = "confirm", "review"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument(
        "documents", nargs="*", metavar="WORD", help=f"ids, or words to find; `{CONFIRM}` or `{REVIEW}` before them"
    )
    parser.add_argument("--json", action="store_true", help="a list of objects")
    parser.add_argument("--all", action="store_true", help="explain the limits that all documents share as well")
    parser.add_argument(
        "--check",
        nargs="?",
        const="",
        metavar="FOLDER",
        help="check the values' age, or a folder of your own",
    )
    parser.add_argument("--drawing", type=Path, metavar="FILE", help="draw one at true size as .svg or .pdf")
    parser.add_argument("-o", "--output", type=Path, metavar="FILE", help="the worksheet to write")
    parser.add_argument("--answers", type=Path, metavar="FILE", help="a worksheet that has been filled in")
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    parser.add_argument("--by", metavar="NAME", help="the person who read the authority's text")
    parser.add_argument("--on", type=date.fromisoformat, metavar="YYYY-MM-DD", help="the day on which it was read")
    parser.add_argument("--source", metavar="TEXT", help="the page or law that was read")
    parser.add_argument("--channel", choices=get_args(Channel), help="whether a photo from a booth is taken")


def run(options: argparse.Namespace) -> int:
    """Run the command."""
    from kiosk.catalogue.search import find

    if options.check:
        return _check_folder(Path(options.check))
    catalogue = known_documents(options.settings)
    if options.documents[:1] == [CONFIRM]:
        return _confirm(options, catalogue)
    if options.documents[:1] == [REVIEW]:
        return _review(options, catalogue)
    chosen = find(catalogue, options.documents) if options.documents else catalogue.all()
    if options.check is not None:
        return _check_age(options, chosen if options.documents else _offered(options.settings, catalogue), catalogue)
    if options.drawing is not None:
        return _draw(options.drawing, chosen)
    if options.json:
        from kiosk.render.report.rule_json import as_json

        confirmations = _confirmations(options.settings)
        print(json_text([as_json(document, confirmations) for document in chosen], indent=2))
        return EXIT_DONE
    return _print(options, chosen, catalogue)


def _confirmations(settings: Path) -> list[Confirmation]:
    from kiosk.settings import read_settings

    return read_settings(settings).confirmations if are_there(settings) else []


def _offered(settings: Path, catalogue: Catalogue) -> Sequence[Document]:
    """Return the documents that the booth offers, or all where no settings name any."""
    from kiosk.settings import read_settings

    named = read_settings(settings).booth.documents if are_there(settings) else []
    return [catalogue.get(name) for name in named] or catalogue.all()


def _print(options: argparse.Namespace, chosen: Sequence[Document], catalogue: Catalogue) -> int:
    from kiosk.core.document.compatibility import share
    from kiosk.render.report.explain import explain
    from kiosk.render.report.rule_table import table

    confirmations = _confirmations(options.settings)
    if len(chosen) == 1:
        print(explain(chosen[0], catalogue, confirmations, everything=options.all))
        return EXIT_DONE
    print(table(chosen, confirmations))
    if [document.id for document in chosen] == list(dict.fromkeys(map(str.lower, options.documents))):
        print(f"\n{share(chosen).sentence}")
    return EXIT_DONE


def _check_folder(folder: Path) -> int:
    """Print the first fault of each file in a folder."""
    from kiosk.catalogue.documents import check

    if not folder.is_dir():
        raise BadCommand(detail=f"{folder} is not a folder; `documents {folder} --check` checks the age of its values")
    codes = [complain(refusal) for refusal in check(folder)]
    if not codes:
        print(f"{folder}: every document is well formed")
    return max(codes, default=EXIT_DONE)


def _check_age(options: argparse.Namespace, chosen: Sequence[Document], catalogue: Catalogue) -> int:
    """Print the values that nobody has read or confirmed for longer than the shop's limit."""
    from kiosk.core.document.confirmation import RULES_LAST_DAYS
    from kiosk.render.report.rule_age import old_values
    from kiosk.settings import read_settings

    days, confirmations = RULES_LAST_DAYS, _confirmations(options.settings)
    if are_there(options.settings):
        days = read_settings(options.settings).booth.rules_last_days
    today = SystemClock().today()
    lines = [line for document in chosen for line in old_values(document, catalogue, confirmations, today, days)]
    print("\n".join(lines) or f"no value was read or confirmed more than {days} days ago")
    if lines:
        notice("`holdstill documents review ID -o FILE` writes a worksheet for reading the authority's pages again.")
    return EXIT_NOT_CONFORMING if lines else EXIT_DONE


def _draw(drawing: Path, chosen: Sequence[Document]) -> int:
    from kiosk.render.report.rule_drawing import drawing_pdf, drawing_svg

    if len(chosen) != 1 or drawing.suffix not in (".svg", ".pdf"):
        raise BadCommand(detail="a drawing shows one document, in a file that ends in .svg or .pdf")
    drawn = drawing_svg(chosen[0]).encode() if drawing.suffix == ".svg" else drawing_pdf(chosen[0])
    write(drawing, drawn)
    print(f"{drawing}: print it at 100 % and lay it over a photo")
    return EXIT_DONE


def _confirm(options: argparse.Namespace, catalogue: Catalogue) -> int:
    """Record a confirmation in the site's settings."""
    from kiosk.core.document.confirmation import Confirmation, last_read
    from kiosk.settings import add_confirmation

    if len(options.documents) != 2 or not (options.by and options.on and options.source):
        raise BadCommand(detail=f"`{CONFIRM}` takes one id, --by, --on and --source")
    if options.on > SystemClock().today():
        raise BadCommand(detail=f"nobody can have read the text on {options.on}, which is yet to come")
    document = catalogue.get(options.documents[1].lower())
    confirmation = Confirmation(
        document=document.id, by=options.by, on=options.on, source=options.source, channel=options.channel
    )
    if not add_confirmation(options.settings, confirmation):
        notice(f"{document.id}: {options.settings} already has this, or a newer confirmation that says as much.")
        return EXIT_DONE
    if options.on < last_read(document):
        notice(f"The file was read later, on {last_read(document)}: this confirmation does not open it to sitters.")
    print(f"{document.id}: confirmed by {options.by} in {options.settings}")
    return EXIT_DONE


def _review(options: argparse.Namespace, catalogue: Catalogue) -> int:
    """Write a worksheet, or read one back."""
    from kiosk.catalogue.search import find
    from kiosk.render.report.worksheet import worksheet

    words = options.documents[1:]
    if (options.answers is None) == (options.output is None) or (options.answers and words):
        raise BadCommand(detail=f"`{REVIEW}` takes -o FILE to write a worksheet, or --answers FILE to read it back")
    if options.answers:
        return _read_back(options, catalogue)
    chosen = find(catalogue, words) if words else _offered(options.settings, catalogue)
    write(options.output, worksheet(chosen, catalogue).encode())
    print(f"{options.output}: {len(chosen)} {'document' if len(chosen) == 1 else 'documents'} to compare")
    return EXIT_DONE


def _read_back(options: argparse.Namespace, catalogue: Catalogue) -> int:
    """Turn a worksheet's answers into confirmations, once all of it has been understood."""
    from kiosk.catalogue.review import read_answers, read_worksheet
    from kiosk.render.report.worksheet import outcome
    from kiosk.settings import add_confirmation

    reviewed = read_answers(read_worksheet(options.answers), catalogue, SystemClock().today())
    for each in reviewed:
        if each.confirmation is not None:
            add_confirmation(options.settings, each.confirmation)
        print(outcome(each))
    return EXIT_NOT_CONFORMING if any(each.differing for each in reviewed) else EXIT_DONE
