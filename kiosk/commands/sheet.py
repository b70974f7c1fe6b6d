"""Crop photos and impose them on paper at true scale, or make the file that an authority accepts.

Into a FILE, all photos for all documents go on one sheet; into a folder, each photo gets a sheet for each document that
is printed and a file for each that is uploaded. What should not be made is refused: a photo that fails, a document of
which the authority takes no such photo, or one whose sizes nobody has confirmed.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kiosk.commands.output import cautions, check_place, json_text, notice, write
from kiosk.commands.paper_arguments import FORMS, add_paper, backs_for, maker, paper, say_of_backs
from kiosk.commands.photo_arguments import Rules, add_rules, photos_among, rules
from kiosk.commands.sheet_folder import fill_folder
from kiosk.errors import EXIT_DONE, BadCommand, KioskError
from kiosk.errors.base import shown

if TYPE_CHECKING:
    from kiosk.core.document.document import Document
    from kiosk.pipeline.counter_sheet import Form, Order
    from kiosk.pipeline.looking import SeenPhoto


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("photos", nargs="+", type=Path, metavar="PHOTO", help="a photo, or a folder of photos")
    add_rules(parser)
    add_paper(parser)
    parser.add_argument(
        "-o",
        "--output",
        required=True,
        type=Path,
        metavar="FILE",
        help="the sheet as .pdf, or as .jpg or .tif for a laboratory; without --paper the .jpg to upload; or a folder",
    )
    parser.add_argument(
        "--photos",
        type=int,
        action="append",
        dest="counts",
        metavar="N",
        help="the number of prints, once for all or once for each photo on each document; by default those to hand in"
        " and as many more as fit",
    )
    parser.add_argument("--csv", type=Path, metavar="FILE", help="with a folder: also write a table of what was made")
    parser.add_argument("--json", action="store_true", help="print the place of each photo")


def run(options: argparse.Namespace) -> int:
    """Write the sheet or the files."""
    chosen, photos = rules(options), photos_among(options.photos)
    if options.csv is not None and options.csv.suffix.lower() != ".csv":
        raise BadCommand(detail=f"{options.csv.name} does not end in .csv")
    if options.csv is not None:
        check_place(options.csv)
    if options.output.is_dir() or not options.output.suffix:
        return fill_folder(options, chosen, photos)
    form = FORMS.get(options.output.suffix.lower())
    if form is None:
        raise BadCommand(detail=f"{options.output.name} does not end in .pdf, .jpg or .tif")
    if options.form is not None or options.csv is not None:
        raise BadCommand(detail="--as and --csv are for a folder; a FILE's form is that of its ending")
    if any(path.exists() and options.output.exists() and path.samefile(options.output) for path in photos):
        raise BadCommand(detail=f"{options.output} is the photo itself, and would be overwritten")
    orders = [(path, document) for path in photos for document in chosen.documents]
    try:
        if form == "jpeg" and (options.paper is None or all(document.size is None for document in chosen.documents)):
            _write_upload(options, chosen, orders)
        else:
            _write_sheet(options, chosen, orders, form)
    except KioskError:
        if options.output.exists():
            notice(f"{options.output} is still the file that was made earlier.")
        raise
    for document in chosen.documents:
        cautions(document)
    return EXIT_DONE


def _write_sheet(options: argparse.Namespace, chosen: Rules, wanted: list[tuple[Path, Document]], form: Form) -> None:
    from kiosk.pipeline.counter_sheet import dpi_for, imposed, made_sheet
    from kiosk.render.sheet.strip import SheetStrip
    from kiosk.system.clock import SystemClock

    documents = [document for _, document in wanted]
    if options.paper is None:
        raise BadCommand(detail="a sheet needs --paper; without it only -o FILE.jpg, a file to upload, can be made")
    counts = options.counts or []
    if counts and len(counts) not in {1, len(wanted)}:
        names = ", ".join(f"{path.name} for {document.id}" for path, document in wanted)
        raise BadCommand(detail=f"give --photos once, or {len(wanted)} times ({names})")
    laid = paper(options, counts if len(counts) > 1 else counts * len(wanted))
    today = SystemClock().today()
    imposed(laid, documents, SheetStrip(tuple(document.id for document in documents), today))
    backs = backs_for(options.back, documents, form)
    dpi, makes = dpi_for(form, documents), maker(options, chosen)
    orders, remarks = [], list[str]()
    for seen, its_documents in _seen(wanted):
        remarks += [f"{seen.path}: {remark}" for remark in seen.remarks]
        orders += [makes.cut(seen, document, dpi, 0.0 if form == "pdf" else dpi) for document in its_documents]
    made = made_sheet(laid, orders, form, today, backs)
    write(options.output, made.content)
    say_of_backs(options.back, documents)
    remarks += [*(words for order in orders for words in order.caveats), *made.notices]
    for remark in remarks:
        notice(remark)
    if options.json:
        from kiosk.render.sheet.json import sheet_json

        whose = [(str(order.path), order.document.id) for order in orders]
        print(json_text(sheet_json(made.sheet, whose) | _said(orders, remarks)))
        return
    for item, order in enumerate(orders):
        size, count = order.document.size_mm, sum(place.item == item for place in made.sheet.photos)
        of_whom = f" of {order.path} for {order.document.id}" if len(orders) > 1 else ""
        photos = "1 photo" if count == 1 else f"{count} photos"
        print(shown(f"{photos}{of_whom} of {size.width:g} x {size.height:g} mm on {made.sheet.medium.short}"))
    print(shown(f"{options.output}: {made.instruction}"))


def _write_upload(options: argparse.Namespace, chosen: Rules, wanted: list[tuple[Path, Document]]) -> None:
    if len(wanted) > 1 or options.counts or options.back is not None:
        raise BadCommand(detail="a file to upload holds one photo for one document")
    if options.paper is not None:
        raise BadCommand(detail=f"{wanted[0][1].id} is a file to upload, and takes no --paper")
    if wanted[0][1].upload is None:
        raise BadCommand(detail=f"{wanted[0][1].id} takes a print, and a sheet needs --paper")
    ((seen, (document,)),) = _seen(wanted)
    order = maker(options, chosen).upload(seen, document)
    file = order.upload
    assert file is not None
    write(options.output, file.jpeg)
    remarks = [*(f"{seen.path}: {remark}" for remark in seen.remarks), *order.caveats]
    for remark in remarks:
        notice(remark)
    if options.json:
        size = {"width_px": file.width_px, "height_px": file.height_px, "bytes": len(file.jpeg)}
        print(json_text({"document": document.id, **size, "quality": file.quality, **_said([order], remarks)}))
    else:
        print(shown(f"{options.output}: {file.words}"))


def _seen(wanted: list[tuple[Path, Document]]) -> Iterator[tuple[SeenPhoto, list[Document]]]:
    """Yield each photo with its documents; it is read and measured once."""
    from kiosk.pipeline.looking import see_photo
    from kiosk.vision.still import StillVision

    with StillVision() as vision:
        for path in dict.fromkeys(path for path, _ in wanted):
            yield see_photo(path, vision), [document for photo, document in wanted if photo == path]


def _said(orders: list[Order], remarks: list[str]) -> dict[str, Any]:
    """Return what the JSON object says beside the file itself."""
    anyway = [
        {"photo": str(order.path), "document": order.document.id, "reasons": [each.reason for each in order.objections]}
        for order in orders
        if order.objections
    ]
    return {"made_anyway": anyway, "remarks": remarks}
