"""The sheets and files that a counter or a laboratory makes of photo files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal

from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Judgement, judge
from kiosk.core.judging.nudge import FrameShift
from kiosk.core.sheet.back_side import Back
from kiosk.core.sheet.imposition import Margins, Medium, PhotoCopies, Sheet, impose
from kiosk.core.sheet.shared_sheet import impose_filled, impose_shared
from kiosk.errors import NotesDoNotFit, SheetRefused, shown
from kiosk.pipeline.looking import SeenPhoto
from kiosk.pipeline.objections import Objection, objections
from kiosk.pipeline.photo import cut_photo, make_upload
from kiosk.render.report.plain_words import doubts, requirement
from kiosk.render.sheet.lab_file import lab_dpi, lab_file
from kiosk.render.sheet.margin_notes import notes_room
from kiosk.render.sheet.note_rows import SCALE_BAR_MM
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.photo import PRINT_DPI, Photo
from kiosk.render.sheet.strip import SheetStrip
from kiosk.render.sheet.upload_file import UploadFile

Form = Literal["pdf", "jpeg", "tiff"]
PDF_INSTRUCTION = "print it at 100 %, without fitting to the page"
NO_BAR = f"There is no room for the {SCALE_BAR_MM:g} mm bar: measure a photo to check the scale."
NO_CAPTIONS = "There is no room for all captions: the paper does not say of each photo whose it is."


@dataclass(frozen=True, slots=True)
class Paper:
    """How photos lie on the paper; `counts` is empty for as many as fit, or has one number for each photo."""

    medium: Medium
    margins: Margins
    gutter_mm: float
    counts: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Order:
    """One photo for one document, judged and cut.

    Attributes
    ----------
    path
        The photo's file.
    document
        The rules.
    judgement
        The photo's, in the frame that was cut.
    photo
        The cut photo, for a sheet.
    upload
        The file, for a document that is sent.
    objections
        Why it should not have been made.
    """

    path: Path
    document: Document
    judgement: Judgement
    photo: Photo | None = None
    upload: UploadFile | None = None
    objections: tuple[Objection, ...] = ()

    @property
    def caveats(self) -> tuple[str, ...]:
        """What is to be said about the photo beside the file, as sentences."""
        made = f"{self.path} for {self.document.id}"
        found = [f"{made} was made anyway, though {objection.reason}." for objection in self.objections]
        return (*found, *(f"{made}: {doubt}" for doubt in doubts(self.judgement) if self.doubtful))

    @property
    def doubtful(self) -> tuple[str, ...]:
        """The requirements that a person should judge; none where others surely failed."""
        return self.judgement.reasons if self.judgement.verdict == "refer" else ()


@dataclass(frozen=True, slots=True)
class MadeSheet:
    """A finished sheet: the file, the layout, how to print it, and what should be known about it."""

    content: bytes
    sheet: Sheet
    instruction: str
    notices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Maker:
    """Judges and cuts photos for documents; refuses what should not be made, unless it is to be made anyway."""

    unconfirmed: frozenset[str]
    anyway: bool = False
    nudge: FrameShift | None = None

    def cut(self, seen: SeenPhoto, document: Document, dpi: float, least_dpi: float = 0.0) -> Order:
        """Return the photo for a sheet.

        Raises
        ------
        PhotoDoesNotFit, TooFewPixels
            As by `cut_photo`.
        SheetRefused
            The photo should not be made.
        """
        judgement = judge(seen.observation, document, self.nudge)
        assert judgement.plan is not None
        path = str(seen.path)
        photo = cut_photo(seen.rgb, judgement.plan, document, path=path, dpi=dpi, least_dpi=least_dpi)
        return Order(seen.path, document, judgement, photo, objections=self._objections(seen, document, judgement))

    def upload(self, seen: SeenPhoto, document: Document) -> Order:
        """Return the file to upload.

        Raises
        ------
        PhotoDoesNotFit, TooFewPixels, UploadNotMade
            As by `make_upload`.
        SheetRefused
            The file should not be made.
        """
        judgement = judge(seen.observation, document, self.nudge)
        assert judgement.plan is not None
        file = make_upload(seen.rgb, judgement.plan, document, path=str(seen.path))
        return Order(
            seen.path, document, judgement, upload=file, objections=self._objections(seen, document, judgement)
        )

    def _objections(self, seen: SeenPhoto, document: Document, judgement: Judgement) -> tuple[Objection, ...]:
        found = objections(document, judgement, is_confirmed=document.id not in self.unconfirmed)
        if found and not self.anyway:
            reasons = "; ".join(objection.reason for objection in found)
            raise SheetRefused(path=seen.path, document=document.id, reasons=reasons)
        return found


def dpi_for(form: Form, documents: Sequence[Document]) -> float:
    """Return the pixels per inch of the photos on a sheet of some form."""
    return PRINT_DPI if form == "pdf" else lab_dpi(document.needed_dpi for document in documents)


def imposed(paper: Paper, documents: Sequence[Document], strip: SheetStrip) -> Sheet:
    """Return the layout; where numbers are left open, photos give way to the scale bar and to the strip's alarms.

    Raises
    ------
    SheetDoesNotFit, PhotosDoNotFit, NoPrintSize
        The paper does not hold the photos, or a document is no print.
    """
    sizes_mm = [document.size_mm for document in documents]
    medium, margins, gutter_mm = paper.medium, paper.margins, paper.gutter_mm
    if len(sizes_mm) == 1:
        sheet = impose(medium, sizes_mm[0], margins, gutter_mm, paper.counts[0] if paper.counts else None)
        while not paper.counts and len(sheet.photos) > 1 and not all(notes_room(sheet, strip)):
            sheet = impose(medium, sizes_mm[0], margins, gutter_mm, len(sheet.photos) - 1)
        return sheet
    if paper.counts:
        wanted = [PhotoCopies(size_mm, count) for size_mm, count in zip(sizes_mm, paper.counts, strict=True)]
        return impose_shared(medium, wanted, margins, gutter_mm)
    least = [PhotoCopies(size_mm, _to_hand_in(document)) for size_mm, document in zip(sizes_mm, documents, strict=True)]
    return impose_filled(medium, least, margins, gutter_mm)


def made_sheet(
    paper: Paper, orders: Sequence[Order], form: Form, today: date, backs: Sequence[Back | None] = ()
) -> MadeSheet:
    """Return the sheet of some orders, with a caption for each if there are several.

    Raises
    ------
    SheetDoesNotFit, PhotosDoNotFit, NoPrintSize
        As by `imposed`.
    NotesDoNotFit
        The margin has no room to say what is not certain, or that the sheet was made anyway.
    """
    documents = [order.document for order in orders]
    strip = SheetStrip(
        tuple(dict.fromkeys(document.id for document in documents)),
        today,
        warnings=tuple(dict.fromkeys(warning for order in orders for warning in _warnings(order, len(orders)))),
        captions=tuple(f"{order.document.id} · {shown(order.path.name)}" for order in orders)
        if len(orders) > 1
        else (),
    )
    sheet = imposed(paper, documents, strip)
    room = notes_room(sheet, strip)
    if not room.for_alarms:
        raise NotesDoNotFit(paper=sheet.medium.short)
    photos = [order.photo for order in orders if order.photo is not None]
    notices = [] if room.for_bar else [NO_BAR]
    if not room.for_captions:
        notices.append(NO_CAPTIONS)
    notices += _too_few(sheet, documents)
    if form == "pdf":
        return MadeSheet(sheet_pdf(sheet, photos, strip, backs), sheet, PDF_INSTRUCTION, tuple(notices))
    made = lab_file(sheet, photos, strip, form, dpi_for(form, documents))
    return MadeSheet(made.content, sheet, made.instruction, tuple(notices))


def _warnings(order: Order, orders: int) -> list[str]:
    whose = f"{order.document.id} · {order.path.name}: " if orders > 1 else ""
    notes = [objection.note for objection in order.objections]
    if order.doubtful:
        notes.append(f"NOT CERTAIN: {', '.join(requirement(name) for name in order.doubtful)}")
    return [f"{whose}{note}" for note in notes]


def _to_hand_in(document: Document) -> int:
    return 1 if document.prints is None else document.prints.count


def _too_few(sheet: Sheet, documents: Sequence[Document]) -> list[str]:
    """Return a notice for each document of which the sheet holds fewer prints than are handed in."""
    notices = []
    for item, document in enumerate(documents):
        made = sum(photo.item == item for photo in sheet.photos)
        if made < _to_hand_in(document):
            notices.append(f"{document.id}: {_to_hand_in(document)} prints are handed in, and the sheet has {made}.")
    return notices
