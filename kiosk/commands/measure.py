"""Measure and judge photos."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kiosk.commands.output import cautions, check_place, complain, encoded, json_text, write
from kiosk.commands.photo_arguments import Rules, add_rules, photos_among, rules
from kiosk.commands.progress import with_progress
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, BadCommand, shown

if TYPE_CHECKING:
    from kiosk.core.judging.conformance import Judgement
    from kiosk.pipeline.counter import MeasuredPhoto
    from kiosk.render.drawing.pdf import PdfPage

_REPORTS = (".pdf", ".json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "photos", nargs="+", type=Path, metavar="PHOTO", help="JPEG, HEIC, PNG, TIFF, WebP or BMP, or a folder of them"
    )
    add_rules(parser)
    parser.add_argument("--all", action="store_true", help="also print a line for each requirement, with its numbers")
    parser.add_argument(
        "--preview", type=Path, metavar="FILE.png", help="also draw the frame and the measured lines on one photo"
    )
    parser.add_argument(
        "--report",
        type=Path,
        action="append",
        default=[],
        dest="reports",
        metavar="FILE",
        help="also write a page per photo with the measured lines (.pdf), or all objects (.json); may be given twice",
    )
    parser.add_argument("--csv", type=Path, metavar="FILE", help="also write a table with a row per photo and document")
    parser.add_argument("--json", action="store_true", help="print one object per photo and document, each on a line")


def run(options: argparse.Namespace) -> int:
    """Judge each photo by each document; one that cannot be used does not stop the others."""
    from kiosk.pipeline.counter import MeasureJob
    from kiosk.pipeline.photo_pool import each_photo

    chosen, photos = rules(options), photos_among(options.photos)
    _check_files(options, chosen, photos)
    found = _Found(options, chosen)
    wants_pages = any(report.suffix.lower() == ".pdf" for report in options.reports)
    job = MeasureJob(chosen.documents, chosen.nudge, wants_pages, options.preview is not None)
    results = each_photo(job, photos)
    for measured in with_progress(results, len(photos), "Measuring"):
        found.add(measured)
    found.write()
    if not options.json:
        found.summarise()
        for document in chosen.documents:
            cautions(document)
    return max(found.codes)


class _Found:
    """What has been found so far, printed at once and kept for the files."""

    def __init__(self, options: argparse.Namespace, chosen: Rules) -> None:
        self._options = options
        self._rules = chosen
        self.codes: list[int] = []
        self._objects: list[dict[str, Any]] = []
        self._pages: list[PdfPage] = []
        self._preview = b""

    def add(self, measured: MeasuredPhoto) -> None:
        """Print one photo's result, and keep it."""
        from kiosk.render.report.measurement import measured_json, unmeasurable_json

        if measured.error is not None:
            self.codes.append(complain(measured.error))
            for document in self._rules.documents:
                self._object(unmeasurable_json(measured.path, document, measured.error))
            return
        for document, judgement in zip(self._rules.documents, measured.judgements, strict=True):
            self.codes.append(EXIT_DONE if judgement.verdict == "pass" else EXIT_NOT_CONFORMING)
            remarks = (*measured.remarks, *self._rules.caveats(document))
            self._object(measured_json(measured.path, judgement, remarks))
            if not self._options.json:
                print("\n".join(self._words(measured.path, judgement, remarks)))
        if measured.photos:
            self._pages += self._report_pages(measured)
        self._preview = measured.preview_png

    def write(self) -> None:
        """Write the files that were asked for."""
        for report in self._options.reports:
            if report.suffix.lower() == ".json":
                write(report, encoded(f"{json_text(self._objects, indent=2)}\n"))
            elif self._pages:
                from kiosk.render.drawing.pdf import pdf_file

                write(report, pdf_file(self._pages))
        if self._options.csv is not None:
            from kiosk.render.report.measurement_table import measured_csv

            write(self._options.csv, encoded(measured_csv(self._objects)))
        if self._preview:
            write(self._options.preview, self._preview)

    def summarise(self) -> None:
        """Print how many photos there were of each verdict, if there were several."""
        verdicts = [each["verdict"] for each in self._objects]
        if len(verdicts) > 1:
            words = {"pass": "pass", "refer": "to be judged", "fail": "fail", "unmeasurable": "could not be used"}
            counts = [f"{verdicts.count(word)} {said}" for word, said in words.items() if word in verdicts]
            print(f"Of {len(verdicts)}: {', '.join(counts)}.")

    def _object(self, data: dict[str, Any]) -> None:
        self._objects.append(data)
        if self._options.json:
            print(json_text(data))

    def _words(self, path: Path, judgement: Judgement, remarks: tuple[str, ...]) -> Iterator[str]:
        from kiosk.render.report.measurement import measured_table, measured_text

        document = next(each for each in self._rules.documents if each.id == judgement.document_id)
        yield measured_text(shown(path), judgement, document, remarks)
        if self._options.all:
            yield measured_table(judgement)

    def _report_pages(self, measured: MeasuredPhoto) -> Iterator[PdfPage]:
        from kiosk.render.report.measurement_pdf import report_page

        sources, name = self._rules.catalogue.sources, shown(measured.path.name)
        results = zip(self._rules.documents, measured.judgements, measured.photos, strict=True)
        for document, judgement, photo in results:
            yield report_page(photo, judgement, document, sources, photo_name=name)


def _check_files(options: argparse.Namespace, chosen: Rules, photos: list[Path]) -> None:
    """Check what is to be written before anything is measured."""
    for report in options.reports:
        if report.suffix.lower() not in _REPORTS:
            raise BadCommand(detail=f"{report.name} does not end in {' or '.join(_REPORTS)}")
    if options.csv is not None and options.csv.suffix.lower() != ".csv":
        raise BadCommand(detail=f"{options.csv.name} does not end in .csv")
    if options.preview is not None:
        if options.preview.suffix.lower() != ".png":
            raise BadCommand(detail=f"{options.preview.name} does not end in .png")
        if len(photos) > 1 or len(chosen.documents) > 1:
            raise BadCommand(detail="a preview shows one photo for one document")
    written = [path for path in (*options.reports, options.csv, options.preview) if path is not None]
    for path in written:
        check_place(path)
        if any(path.exists() and photo.exists() and photo.samefile(path) for photo in photos):
            raise BadCommand(detail=f"{path} is the photo itself, and would be overwritten")
