"""Measure each photo that arrives in a folder, and make its prints and files in another.

Beside what is made, a text for each photo says how it was judged and what was refused; it has the photo's own time, by
which a photo is known to be done. It runs until it is interrupted, and goes on where it was when it is started again.
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.output import cautions, complain, encoded, notice, write
from kiosk.commands.paper_arguments import add_paper
from kiosk.commands.photo_arguments import Rules, add_rules, photos_in, rules
from kiosk.commands.sheet_folder import alike, make_folder, make_job, note_path, written_files
from kiosk.errors import BadCommand, CannotWrite, os_reason
from kiosk.errors.base import shown

if TYPE_CHECKING:
    from kiosk.pipeline.counter import MadePhoto
    from kiosk.vision.still import StillVision

POLL_S = 1.0
"""How often the folder is read. A photo is taken up once its size and time were the same twice: a copy over a network
takes a while (practice)."""
_STEPS_NS = (1, 100, 10**3, 10**6, 10**7, 10**9, 2 * 10**9)
"""The steps in which file systems keep times, and to which they round down: 100 ns for NTFS and SMB ([MS-DTYP] 2.3.3),
10 ms for exFAT, 2 s for FAT (both from memory)."""

_Stamp = tuple[int, int]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="where photos arrive; they stay as they are")
    add_rules(parser)
    add_paper(parser)
    parser.add_argument(
        "-o", "--output", required=True, type=Path, metavar="FOLDER", help="another folder, for what is made"
    )


def run(options: argparse.Namespace) -> int:
    """Watch until interrupted."""
    from kiosk.vision.still import StillVision

    chosen = rules(options)
    make_job(options, chosen)
    if not options.folder.is_dir():
        raise BadCommand(detail=f"{options.folder} is no folder")
    make_folder(options.output)
    if options.output.samefile(options.folder):
        raise BadCommand(detail=f"{options.output} is the folder of the photos; give another one")
    for document in chosen.documents:
        cautions(document)
    notice(f"Waiting for photos in {options.folder}.")
    before: dict[Path, _Stamp] = {}
    done: dict[Path, _Stamp] = {}
    mistakable: list[Path] = []
    with StillVision() as vision:
        while True:
            now = _stamps(options.folder)
            mistakable = _mistakable(alike(list(now)), mistakable)
            for path, stamp in now.items():
                if path in mistakable:
                    continue
                if before.get(path) == stamp and not _is_done(path, stamp, done.get(path), options.output):
                    _do(options, chosen, vision, path, stamp)
                    done[path] = stamp
            before = now
            done = {path: stamp for path, stamp in done.items() if path in now}
            time.sleep(POLL_S)


def _mistakable(photos: list[Path], before: list[Path]) -> list[Path]:
    """Return photos of which the files would have one name, after a complaint of each that is new among them."""
    for path in photos:
        if path not in before:
            detail = f"nothing is made of {path}, whose files would be called like those of another photo; rename it"
            complain(BadCommand(detail=detail))
    return photos


def _stamps(folder: Path) -> dict[Path, _Stamp]:
    """Return size and time of each photo; none while the folder, on another machine, cannot be reached."""
    try:
        return {path: (about.st_size, about.st_mtime_ns) for path in photos_in(folder) for about in [path.stat()]}
    except OSError:
        return {}


def _is_done(path: Path, stamp: _Stamp, made: _Stamp | None, output: Path) -> bool:
    """Return whether the text beside a photo is there and of this photo, as its output's file system keeps the time.

    Parameters
    ----------
    made
        What the photo was when this run made it; None if it did not.
    """
    try:
        noted_ns = note_path(path, output).stat().st_mtime_ns
    except OSError:
        return False
    return made in (None, stamp) and any(noted_ns == stamp[1] // step * step for step in _STEPS_NS)


def _do(options: argparse.Namespace, chosen: Rules, vision: StillVision, path: Path, stamp: _Stamp) -> None:
    """Make what is to be made of one photo, and note it."""
    made = make_job(options, chosen)(path, vision)
    paths = written_files(made, chosen, options.output)
    for _, error in made.refusals:
        complain(error)
    note = note_path(path, options.output)
    write(note, encoded("\n".join(_note(made, chosen, paths)) + "\n"))
    try:
        os.utime(note, ns=(stamp[1], stamp[1]))
    except OSError as error:
        raise CannotWrite(path=note, detail=os_reason(error)) from error


def _note(made: MadePhoto, chosen: Rules, paths: list[Path]) -> Iterator[str]:
    from kiosk.render.report.measurement import measured_text

    for document, judgement in zip(chosen.documents, made.judgements, strict=False):
        remarks = (*made.remarks, *chosen.caveats(document))
        yield measured_text(shown(made.path.name), judgement, document, remarks)
    for path, file in zip(paths, made.files, strict=True):
        yield from (shown(f"{path.name}: {file.words}"), *map(shown, file.notices))
    for _, error in made.refusals:
        yield f"{error} {error.advice}"
