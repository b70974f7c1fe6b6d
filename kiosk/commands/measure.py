"""Measure and judge photos."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kiosk.commands.output import SETTINGS, cautions, complain, json_text, known_documents, write
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, BadCommand, KioskError

if TYPE_CHECKING:
    from kiosk.render.drawing.pdf import PdfPage

_REPORTS = (".pdf", ".json")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("photos", nargs="+", type=Path, metavar="PHOTO", help="JPEG, HEIC, PNG, TIFF, WebP or BMP")
    parser.add_argument("--document", required=True, metavar="ID", help="the document whose rules apply")
    parser.add_argument(
        "--settings", type=Path, default=SETTINGS, metavar="FILE", help="settings of a booth, for its own documents"
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
    parser.add_argument("--json", action="store_true", help="print one object per photo, each on a line")


def run(options: argparse.Namespace) -> int:
    """Judge each photo; one that cannot be used does not stop the others."""
    from kiosk.pipeline.photo import judge_photo, judged_photo
    from kiosk.render.report.measurement import measured_json, measured_text, unmeasurable_json
    from kiosk.render.report.measurement_pdf import report_page
    from kiosk.vision.still import StillVision

    for report in options.reports:
        if report.suffix.lower() not in _REPORTS:
            raise BadCommand(detail=f"{report.name} does not end in {' or '.join(_REPORTS)}")
    catalogue = known_documents(options.settings)
    document = catalogue.get(options.document)
    codes: list[int] = []
    objects: list[dict[str, Any]] = []
    pages: list[PdfPage] = []
    with StillVision() as vision:
        for path in options.photos:
            try:
                rgb, judgement = judge_photo(path, document, vision)
            except KioskError as error:
                codes.append(complain(error))
                objects.append(unmeasurable_json(path, document))
                if options.json:
                    print(json_text(objects[-1]))
                continue
            codes.append(EXIT_DONE if judgement.verdict == "pass" else EXIT_NOT_CONFORMING)
            objects.append(measured_json(path, judgement))
            print(json_text(objects[-1]) if options.json else measured_text(path, judgement))
            if options.reports:
                photo = judged_photo(rgb, judgement, document)
                pages.append(report_page(photo, judgement, document, catalogue.sources, photo_name=path.name))
    for report in options.reports:
        _write_report(report, objects, pages)
    if not options.json:
        cautions(document)
    return max(codes)


def _write_report(report: Path, objects: list[dict[str, Any]], pages: list[PdfPage]) -> None:
    from kiosk.render.drawing.pdf import pdf_file

    if report.suffix.lower() == ".json":
        write(report, f"{json_text(objects, indent=2)}\n".encode())
    elif pages:
        write(report, pdf_file(pages))
