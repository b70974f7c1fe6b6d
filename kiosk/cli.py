"""The command `holdstill`: one handler turns every error into a sentence, a next step and an exit code.

0 is done and, for `measure`, conforming; 1 is measured and not conforming; 2 is a wrong command line; everything else
is an error of `kiosk.errors`. Results go to standard output, everything about them to standard error.
"""

from __future__ import annotations

import argparse
import json
import logging
import sys
from collections.abc import Sequence
from pathlib import Path

from kiosk import __version__
from kiosk.errors import EXIT_DONE, EXIT_NOT_CONFORMING, CannotWrite, KioskError


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    options = _parser().parse_args(arguments)
    logging.basicConfig(
        level=logging.INFO if options.verbose else logging.ERROR,
        format="%(asctime)s %(name)s: %(message)s",
        stream=sys.stderr,
    )
    try:
        code: int = options.run(options)
    except KioskError as error:
        return _complain(error)
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        sys.stderr.close()
        return EXIT_DONE
    except Exception as error:
        logging.getLogger(__name__).info("the error's trace", exc_info=True)
        return _complain(KioskError(detail=f"{type(error).__name__}: {error}"))
    return code


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="holdstill",
        description="Photograph a sitter until the identity photo conforms; print it at true scale.",
        epilog="The issuing authority decides whether a photo is accepted; its rules change.",
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    parser.add_argument("-v", "--verbose", action="store_true", help="tell on standard error what happens")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")

    booth = commands.add_parser("booth", help="run the kiosk")
    booth.add_argument("--settings", type=Path, default=Path("/etc/holdstill/settings.toml"), metavar="FILE")
    booth.add_argument("--headless", action="store_true", help="draw without a screen")
    booth.set_defaults(run=_booth)

    measure = commands.add_parser("measure", help="measure and judge photos")
    measure.add_argument("photos", nargs="+", type=Path, metavar="PHOTO")
    measure.add_argument("--document", required=True, metavar="ID")
    measure.add_argument("--json", action="store_true", help="one object a photo, a line each")
    measure.set_defaults(run=_measure)

    sheet = commands.add_parser("sheet", help="crop a photo and impose it on paper")
    sheet.add_argument("photo", type=Path, metavar="PHOTO")
    sheet.add_argument("--document", required=True, metavar="ID")
    sheet.add_argument("--paper", required=True, metavar="NAME", help="a PWG 5101.1 name, or 4x6in, 10x15cm, a4 …")
    sheet.add_argument("-o", "--output", required=True, type=Path, metavar="FILE", help="the PDF to write")
    sheet.add_argument("--photos", type=int, metavar="N", help="how many; without it, as many as fit")
    sheet.add_argument("--margin-mm", type=float, default=3.0, metavar="MM", help="unprintable edge of the paper")
    sheet.add_argument("--gutter-mm", type=float, default=2.0, metavar="MM", help="room between photos")
    sheet.add_argument("--json", action="store_true", help="where each photo lies")
    sheet.set_defaults(run=_sheet)

    documents = commands.add_parser("documents", help="list the documents, or explain one with its sources")
    documents.add_argument("document", nargs="?", metavar="ID")
    documents.add_argument("--json", action="store_true")
    documents.set_defaults(run=_documents)
    return parser


def _booth(options: argparse.Namespace) -> int:
    from kiosk.app import open_booth
    from kiosk.settings import read_settings

    with open_booth(read_settings(options.settings), headless=options.headless) as booth:
        booth.loop.run(lambda: True)
    return EXIT_DONE


def _measure(options: argparse.Namespace) -> int:
    from kiosk.catalogue import Catalogue
    from kiosk.pipeline import judge_photo
    from kiosk.render.report import measured_json, measured_text, unmeasurable_json
    from kiosk.vision.still import StillVision

    document = Catalogue.load().get(options.document)
    codes = []
    with StillVision() as vision:
        for path in options.photos:
            try:
                _, judgement = judge_photo(path, document, vision)
            except KioskError as error:
                codes.append(_complain(error))
                if options.json:
                    print(json.dumps(unmeasurable_json(path, document)))
                continue
            codes.append(EXIT_DONE if judgement.verdict == "pass" else EXIT_NOT_CONFORMING)
            print(json.dumps(measured_json(path, judgement)) if options.json else measured_text(path, judgement))
    if not options.json:
        _notice(document.channel.text if document.channel.value != "self_service" else "")
        _notice(f"The issuing authority decides. Rules of {document.id} as read on {document.read_on}.")
    return max(codes)


def _sheet(options: argparse.Namespace) -> int:
    from kiosk.catalogue import Catalogue
    from kiosk.clock import SystemClock
    from kiosk.core.media import medium
    from kiosk.core.sheet import Margins
    from kiosk.pipeline import Layout, judge_photo, make_sheet
    from kiosk.render.sheet_json import sheet_json
    from kiosk.render.strip import SheetStrip
    from kiosk.vision.still import StillVision

    document = Catalogue.load().get(options.document)
    margins = Margins(*[options.margin_mm] * 4)
    sheet = Layout(medium(options.paper), margins, options.gutter_mm, options.photos).impose(document)
    with StillVision() as vision:
        rgb, judgement = judge_photo(options.photo, document, vision)
    assert judgement.plan is not None
    strip = SheetStrip(document.id, SystemClock().today())
    _write(options.output, make_sheet(rgb, judgement.plan, document, sheet, strip, path=str(options.photo)))
    if judgement.verdict != "pass":
        _notice(f"The photo does not conform ({judgement.verdict}): {', '.join(judgement.reasons)}.")
    _notice(document.channel.text if document.channel.value != "self_service" else "")
    if options.json:
        print(json.dumps(sheet_json(sheet)))
    else:
        size = document.size_mm
        print(f"{len(sheet.photos)} photos of {size.width:g} x {size.height:g} mm on {sheet.medium.name}")
        print(f"{options.output}: print it at 100 %, without fitting to the page")
    return EXIT_DONE


def _documents(options: argparse.Namespace) -> int:
    from kiosk.catalogue import Catalogue
    from kiosk.render.explain import as_json, explain, table

    catalogue = Catalogue.load()
    chosen = [catalogue.get(options.document)] if options.document else list(catalogue.all())
    if options.json:
        print(json.dumps([as_json(document) for document in chosen], indent=2, ensure_ascii=False))
    elif options.document:
        print(explain(chosen[0], catalogue))
    else:
        print(table(chosen))
    return EXIT_DONE


def _write(path: Path, content: bytes) -> None:
    from kiosk.files import write_whole

    try:
        write_whole(path, content)
    except OSError as error:
        raise CannotWrite(path=path, detail=(error.strerror or "it cannot be written").lower()) from error


def _notice(text: str) -> None:
    if text:
        print(text, file=sys.stderr)


def _complain(error: KioskError) -> int:
    print(f"holdstill: {error}\n  {error.advice}", file=sys.stderr)
    return error.exit_code


if __name__ == "__main__":
    sys.exit(main())
