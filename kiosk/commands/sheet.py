"""Crop photos and impose them on paper at true scale, or make the file that an authority accepts."""

from __future__ import annotations

import argparse
import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from kiosk.commands.output import SETTINGS, cautions, json_text, known_documents, notice, write
from kiosk.errors import EXIT_DONE, BadCommand

if TYPE_CHECKING:
    from kiosk.core.document.document import Document
    from kiosk.core.judging.conformance import Judgement
    from kiosk.core.sheet.back_side import Back
    from kiosk.core.sheet.imposition import Sheet
    from kiosk.render.sheet.photo import Photo

Form = Literal["pdf", "jpeg", "tiff"]
_FORMS: dict[str, Form] = {".pdf": "pdf", ".jpg": "jpeg", ".jpeg": "jpeg", ".tif": "tiff", ".tiff": "tiff"}


@dataclass(frozen=True, slots=True)
class _Order:
    """A photo for one document."""

    path: Path
    document: Document

    @property
    def names(self) -> tuple[str, str]:
        return str(self.path), self.document.id


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("photos", nargs="+", type=Path, metavar="PHOTO", help="several share a sheet")
    parser.add_argument(
        "--document", required=True, action="append", dest="documents", metavar="ID", help="several share a sheet"
    )
    parser.add_argument(
        "--settings", type=Path, default=SETTINGS, metavar="FILE", help="settings of a booth, for its own documents"
    )
    parser.add_argument("--paper", metavar="NAME", help="a PWG 5101.1 name, or 4x6in, 10x15cm, a4 …")
    parser.add_argument(
        "-o",
        "--output",
        required=True,
        type=Path,
        metavar="FILE",
        help="the sheet as .pdf, or as .jpg or .tif for a laboratory; without --paper the .jpg to upload",
    )
    parser.add_argument(
        "--photos",
        type=int,
        action="append",
        dest="counts",
        metavar="N",
        help="the number of prints, once for all or once for each photo on each document; by default as many as fit",
    )
    parser.add_argument(
        "--back",
        metavar="TEXT",
        help="add a second page for the backs: the studio's name and address, and what the authority requires there",
    )
    parser.add_argument("--margin-mm", type=float, default=3.0, metavar="MM", help="unprintable margin of the paper")
    parser.add_argument("--gutter-mm", type=float, default=2.0, metavar="MM", help="gap between photos")
    parser.add_argument("--json", action="store_true", help="print the place of each photo")


def run(options: argparse.Namespace) -> int:
    """Write the sheet or the file, with a notice for each photo that does not conform."""
    form = _FORMS.get(options.output.suffix.lower())
    if form is None:
        raise BadCommand(detail=f"{options.output.name} does not end in .pdf, .jpg or .tif")
    catalogue = known_documents(options.settings)
    if any(path.exists() and options.output.exists() and path.samefile(options.output) for path in options.photos):
        raise BadCommand(detail=f"{options.output} is the photo itself, and would be overwritten")
    documents = [catalogue.get(name) for name in options.documents]
    orders = [_Order(path, document) for path in options.photos for document in documents]
    is_upload = form == "jpeg" and (options.paper is None or all(document.size is None for document in documents))
    if is_upload:
        _write_upload(options, orders)
    else:
        _write_sheet(options, orders, form)
    for document in documents:
        cautions(document)
    return EXIT_DONE


def _write_sheet(options: argparse.Namespace, orders: list[_Order], form: Form) -> None:
    from kiosk.render.sheet.json import sheet_json
    from kiosk.render.sheet.lab_file import lab_dpi, lab_file
    from kiosk.render.sheet.margin_notes import SheetStrip
    from kiosk.render.sheet.pdf import sheet_pdf
    from kiosk.render.sheet.photo import PRINT_DPI
    from kiosk.system.clock import SystemClock

    sheet = _imposed(options, orders)
    backs = _backs(options.back, orders)
    if backs and form != "pdf":
        raise BadCommand(detail="only a .pdf has a page for the backs")
    strip = SheetStrip(tuple(dict.fromkeys(order.document.id for order in orders)), SystemClock().today())
    if form == "pdf":
        file = sheet_pdf(sheet, _photos(orders, PRINT_DPI), strip, backs)
        word = "print it at 100 %, without fitting to the page"
    else:
        dpi = lab_dpi(order.document.needed_dpi for order in orders)
        made = lab_file(sheet, _photos(orders, dpi, least_dpi=dpi), strip, form, dpi)
        file, word = made.content, made.instruction
    write(options.output, file)
    _print_backs(options.back, orders)
    if options.json:
        print(json_text(sheet_json(sheet, [order.names for order in orders])))
        return
    for item, order in enumerate(orders):
        size, count = order.document.size_mm, sum(place.item == item for place in sheet.photos)
        whose = f" of {order.path} for {order.document.id}" if len(orders) > 1 else ""
        print(f"{count} photos{whose} of {size.width:g} x {size.height:g} mm on {sheet.medium.name}")
    print(f"{options.output}: {word}")


def _imposed(options: argparse.Namespace, orders: list[_Order]) -> Sheet:
    from kiosk.core.sheet.imposition import Margins, impose
    from kiosk.core.sheet.media import medium
    from kiosk.core.sheet.mixed_imposition import PhotoCopies, impose_equally, impose_several

    counts = options.counts
    lengths_mm = (options.margin_mm, options.gutter_mm)
    if not all(0 <= length < math.inf for length in lengths_mm) or any(count < 1 for count in counts or ()):
        raise BadCommand(detail="margins and gutter are 0 mm or more, and photos 1 or more")
    if options.paper is None:
        raise BadCommand(detail="a sheet needs --paper; without it only -o FILE.jpg, a file to upload, can be made")
    if counts and len(counts) not in {1, len(orders)}:
        wanted = ", ".join(f"{order.path.name} for {order.document.id}" for order in orders)
        raise BadCommand(detail=f"give --photos once, or {len(orders)} times ({wanted})")
    paper, margins = medium(options.paper), Margins(*[options.margin_mm] * 4)
    sizes_mm = [order.document.size_mm for order in orders]
    if len(orders) == 1:
        return impose(paper, sizes_mm[0], margins, options.gutter_mm, counts[0] if counts else None)
    if not counts:
        return impose_equally(paper, sizes_mm, margins, options.gutter_mm)
    each = counts if len(counts) > 1 else counts * len(orders)
    wanted_mm = [PhotoCopies(size_mm, count) for size_mm, count in zip(sizes_mm, each, strict=True)]
    return impose_several(paper, wanted_mm, margins, options.gutter_mm)


def _backs(text: str | None, orders: list[_Order]) -> list[Back | None]:
    """Return the content of each back: what its authority requires, or studio and date if no authority says so."""
    from kiosk.core.sheet.back_side import Back

    if text is None:
        return []
    rules = [order.document.back for order in orders]
    if not any(rules):
        return [Back(text, ("date",)) for _ in orders]
    if not text and any(rule is not None and "studio" in rule.lines for rule in rules):
        raise BadCommand(detail="the studio's name and address are wanted on the back: --back 'NAME, ADDRESS'")
    return [
        None
        if rule is None
        else Back(text if "studio" in rule.lines else "", tuple(line for line in rule.lines if line != "studio"))
        for rule in rules
    ]


def _print_backs(text: str | None, orders: list[_Order]) -> None:
    asking = {order.document.id: order.document.back for order in orders if order.document.back is not None}
    if text is None:
        for name, rule in asking.items():
            notice(f"{name} wants something on the back: {rule.text} Give --back TEXT for a page to print there.")
    elif not asking:
        notice("These rules ask for nothing on the back; many authorities refuse a photo with writing on it.")


def _photos(orders: list[_Order], dpi: float, least_dpi: float = 0.0) -> list[Photo]:
    """Return the photo of each order at `dpi`, or at its own resolution if that is lower; each file is read once."""
    from kiosk.core.judging.conformance import judge
    from kiosk.pipeline.photo import cut_photo, see_photo
    from kiosk.vision.still import StillVision

    photos: dict[int, Photo] = {}
    with StillVision() as vision:
        for path in dict.fromkeys(order.path for order in orders):
            rgb, seen = see_photo(path, vision)
            for item, order in enumerate(orders):
                if order.path != path:
                    continue
                judgement = judge(seen, order.document)
                assert judgement.plan is not None
                photos[item] = cut_photo(
                    rgb, judgement.plan, order.document, path=str(path), dpi=dpi, least_dpi=least_dpi
                )
                _print_verdict(order, judgement)
    return [photos[item] for item in range(len(orders))]


def _write_upload(options: argparse.Namespace, orders: list[_Order]) -> None:
    from kiosk.pipeline.photo import judge_photo, make_upload
    from kiosk.vision.still import StillVision

    if len(orders) > 1 or options.counts or options.back is not None:
        raise BadCommand(detail="a file to upload holds one photo for one document")
    (order,) = orders
    if order.document.upload is None:
        raise BadCommand(detail=f"{order.document.id} takes a print, and a sheet needs --paper")
    with StillVision() as vision:
        rgb, judgement = judge_photo(order.path, order.document, vision)
    assert judgement.plan is not None
    file = make_upload(rgb, judgement.plan, order.document, path=str(order.path))
    write(options.output, file.jpeg)
    _print_verdict(order, judgement)
    size = {"width_px": file.width_px, "height_px": file.height_px, "bytes": len(file.jpeg)}
    if options.json:
        print(json_text({"document": order.document.id, **size, "quality": file.quality}))
    else:
        print(f"{options.output}: {file.width_px} x {file.height_px} px, {len(file.jpeg)} bytes, to be sent unchanged")


def _print_verdict(order: _Order, judgement: Judgement) -> None:
    if judgement.verdict != "pass":
        reasons = ", ".join(judgement.reasons)
        notice(f"{order.path} for {order.document.id} does not conform ({judgement.verdict}): {reasons}.")
