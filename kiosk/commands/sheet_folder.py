"""Prints and files of many photos, each in a file of its own in one folder."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.output import cautions, complain, encoded, notice, write
from kiosk.commands.paper_arguments import FORMS, backs_for, maker, paper, say_of_backs
from kiosk.commands.photo_arguments import Rules
from kiosk.commands.progress import with_progress
from kiosk.errors import EXIT_DONE, BadCommand, CannotWrite, os_reason
from kiosk.errors.base import shown
from kiosk.render.report.measurement_table import csv_text

if TYPE_CHECKING:
    from kiosk.pipeline.counter import MadeFile, MadePhoto, MakeJob

ALL_ENDINGS = (".pdf", ".jpg", ".tif", "_upload.jpg")
"""The ends of the names of all files that can be made of a photo for a document."""

COLUMNS = ("photo", "document", "verdict", "file", "what", "refused")


def fill_folder(options: argparse.Namespace, chosen: Rules, photos: Sequence[Path]) -> int:
    """Make the prints and files of each photo, one that is refused beside the others, and return the exit code."""
    from kiosk.pipeline.photo_pool import each_photo

    if len(options.counts or ()) > 1 or options.json:
        raise BadCommand(detail="into a folder, --photos is given once, and nothing is printed as --json")
    job, folder = make_job(options, chosen, options.counts or ()), options.output
    _check_names(photos, folder)
    make_folder(folder)
    codes, files, rows = [EXIT_DONE], 0, list[tuple[object, ...]]()
    for made in with_progress(each_photo(job, photos), len(photos), "Making"):
        files += len(written_files(made, chosen, folder))
        codes += [complain(error) for _, error in made.refusals]
        rows += _rows(made, folder)
    print(f"Photos: {len(photos)}. Documents: {len(chosen.documents)}. Files made: {files}. Refused: {len(codes) - 1}.")
    if options.csv is not None:
        write(options.csv, encoded(csv_text(COLUMNS, rows)))
    say_of_backs(options.back, chosen.documents)
    for document in chosen.documents:
        cautions(document)
    return max(codes)


def _check_names(photos: Sequence[Path], folder: Path) -> None:
    """Check that no file is written over another, or among the photos."""
    if any(path.parent.exists() and folder.exists() and path.parent.samefile(folder) for path in photos):
        raise BadCommand(detail=f"{folder} holds the photos themselves; give another folder")
    twice = alike(photos)
    if twice:
        raise BadCommand(detail=f"two photos are called {twice[0].name}; make their files in two folders")


def alike(photos: Sequence[Path]) -> list[Path]:
    """Return the photos whose files would have the names of another photo's."""
    photos_of = Counter(map(_stem, photos))
    return [photo for photo in photos if photos_of[_stem(photo)] > 1]


def _rows(made: MadePhoto, folder: Path) -> Iterator[tuple[object, ...]]:
    verdicts = {judgement.document_id: judgement.verdict for judgement in made.judgements}
    for file in made.files:
        yield made.path, file.document_id, verdicts[file.document_id], _place(made.path, file, folder), file.words, ""
    for document_id, error in made.refusals:
        yield made.path, document_id, verdicts.get(document_id, "unmeasurable"), "", "", str(error)


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


def written_files(made: MadePhoto, chosen: Rules, folder: Path) -> list[Path]:
    """Write a photo's files into a folder, print a line for each, and return their paths.

    What lies there from another photo of the same name is removed where nothing takes its place: nobody should hand
    out somebody else's picture.
    """
    for remark in made.remarks:
        notice(f"{made.path}: {remark}")
    paths = [_place(made.path, file, folder) for file in made.files]
    for path, file in zip(paths, made.files, strict=True):
        write(path, file.content)
        print(shown(f"{path}: {file.words}"))
        for words in file.notices:
            notice(words)
    for document in chosen.documents:
        for ending in ALL_ENDINGS:
            old = folder / f"{_stem(made.path)}_{document.id}{ending}"
            if old not in paths and old.exists():
                old.unlink()
                notice(f"{old}, made earlier, was removed.")
    return paths


def note_path(photo: Path, folder: Path) -> Path:
    """Return where the text about a photo lies."""
    return folder / f"{_stem(photo)}.txt"


def _place(photo: Path, file: MadeFile, folder: Path) -> Path:
    return folder / f"{_stem(photo)}_{file.document_id}{file.ending}"


def _stem(photo: Path) -> str:
    """Return what the files of a photo are called; photos that differ in their ending only have different names."""
    return photo.stem if photo.suffix == ".jpg" else f"{photo.stem}-{photo.suffix[1:]}"


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
