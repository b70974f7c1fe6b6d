"""Prints and files of many photos, each in a file of its own in one folder."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.output import cautions, complain, notice, write
from kiosk.commands.paper_arguments import FORMS, backs_for, maker, paper, say_of_backs
from kiosk.commands.photo_arguments import Rules
from kiosk.commands.progress import with_progress
from kiosk.errors import EXIT_DONE, BadCommand, CannotWrite, os_reason
from kiosk.errors.base import shown

if TYPE_CHECKING:
    from kiosk.pipeline.counter import MadePhoto, MakeJob


def fill_folder(options: argparse.Namespace, chosen: Rules, photos: Sequence[Path]) -> int:
    """Make the prints and files of each photo, one that is refused beside the others, and return the exit code."""
    from kiosk.pipeline.photo_pool import each_photo

    if len(options.counts or ()) > 1 or options.json:
        raise BadCommand(detail="into a folder, --photos is given once, and nothing is printed as --json")
    job = make_job(options, chosen, options.counts or ())
    folder = options.output
    make_folder(folder)
    if any(path.parent.exists() and path.parent.samefile(folder) for path in photos):
        raise BadCommand(detail=f"{folder} holds the photos themselves; give another folder")
    codes, files = [EXIT_DONE], 0
    for made in with_progress(each_photo(job, photos), len(photos), "Making"):
        files += len(written_files(made, folder))
        codes += [complain(error) for _, error in made.refusals]
    refused = len(codes) - 1
    print(f"Of {len(photos)} photo(s) for {len(chosen.documents)} document(s): {files} made, {refused} refused.")
    say_of_backs(options.back, chosen.documents)
    for document in chosen.documents:
        cautions(document)
    return max(codes)


def make_job(options: argparse.Namespace, chosen: Rules, counts: Sequence[int] = ()) -> MakeJob:
    """Return the job that makes the prints and files of one photo.

    Raises
    ------
    BadCommand
        No document gets anything from these arguments, or a length or a number makes no sense.
    UnknownPaper
        No paper has that name.
    """
    from kiosk.pipeline.counter import MakeJob
    from kiosk.system.clock import SystemClock

    prints = [document for document in chosen.documents if document.size is not None]
    if options.paper is not None and not prints:
        raise BadCommand(detail="none of these documents is printed, and --paper is for prints")
    for document in prints:
        if options.paper is None and document.upload is None:
            raise BadCommand(detail=f"{document.id} takes a print, which needs --paper")
    form = FORMS[f".{options.form or 'pdf'}"]
    backs = backs_for(options.back, prints, form)
    by_id = {document.id: back for document, back in zip(prints, backs, strict=True)} if backs else None
    wanted = None if options.paper is None else paper(options, counts)
    return MakeJob(chosen.documents, maker(options, chosen), wanted, form, SystemClock().today(), by_id)


def written_files(made: MadePhoto, folder: Path) -> list[Path]:
    """Write a photo's files into a folder, print a line for each, and return their paths."""
    stem = made.path.stem if made.path.suffix == ".jpg" else made.path.name.replace(".", "-")
    for remark in made.remarks:
        notice(f"{made.path}: {remark}")
    paths = []
    for file in made.files:
        paths.append(folder / f"{stem}_{file.document_id}{file.ending}")
        write(paths[-1], file.content)
        print(shown(f"{paths[-1]}: {file.words}"))
        for words in file.notices:
            notice(words)
    return paths


def make_folder(folder: Path) -> None:
    """Make a folder for results, if there is none.

    Raises
    ------
    CannotWrite
        It cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CannotWrite(path=folder, detail=os_reason(error)) from error
