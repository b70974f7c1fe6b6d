"""The jobs on pictures: from a decoded still to its judgement, and from there to the sheet or badge."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
import simplejpeg

from kiosk.core.base.measurement import Observation
from kiosk.core.document.document import Document
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.crop import CropPlan
from kiosk.core.session.commands import MakeFile, Print, PrintBadge, Turn
from kiosk.core.session.events import Still
from kiosk.core.session.receipt import Purchase, sheet_number
from kiosk.devices.base import LiveFrame, PrintJob
from kiosk.errors import PhotoSizeRefused, UnreadablePhoto
from kiosk.pipeline.photo import cut_photo, judged_photo, make_file, make_sheet
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.render.badge.badge_sheet import BadgeOrder, badge_sheets, card_pages, is_card
from kiosk.render.receipt.words import sheet_receipts
from kiosk.render.sheet.strip import SheetStrip
from kiosk.system.clock import Clock
from kiosk.vision.live import LiveVision
from kiosk.vision.models.codes import CodeReader
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.pictures.photo_file import decode_still, still_focal_length_px
from kiosk.vision.still import StillVision


@dataclass(frozen=True, slots=True)
class SeenPicture:
    """A live picture (HxWx3 uint8 sRGB, not mirrored), and its observation."""

    rgb: Rgb
    observation: Observation


@dataclass(frozen=True, slots=True)
class CodesRead:
    """A live picture (HxWx3 uint8 sRGB, not mirrored), and the content of the codes in it, without an observation."""

    rgb: Rgb
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetMade:
    """A finished sheet, ready for the printer, and what a receipt says of it."""

    job: PrintJob
    purchase: Purchase | None = None


@dataclass(frozen=True, slots=True)
class FileMade:
    """A sitter's photo as a JPEG file, and its name without an ending, in which nothing is the sitter's."""

    jpeg: bytes = field(repr=False)
    name: str


@dataclass(frozen=True, slots=True)
class CutPhoto:
    """A still with the plan by which to cut the photo from it."""

    jpeg: bytes = field(repr=False)
    plan: CropPlan
    document: Document


@dataclass(frozen=True, slots=True)
class BadgeMade:
    """A finished badge, ready for the printer; `photo_jpeg` is the guest's photo if it was newly taken."""

    job: PrintJob
    photo_jpeg: bytes


@dataclass(frozen=True, slots=True)
class BadgeStill:
    """An order for a badge, with the still to cut its photo from."""

    wanted: PrintBadge
    document: Document | None
    arrived_at: datetime
    still: bytes = field(default=b"", repr=False)


JobResult = Still | SheetMade | FileMade | BadgeMade | BadgeStill | None
Seeing = SeenPicture | CodesRead


@dataclass(frozen=True)
class PictureJobs:
    """The booth's jobs on pictures; they are slow, and belong in the vision worker's thread.

    `shop` are the shop's lines on a receipt in the margin of a sheet, and nothing where no sheet has one.
    """

    live: LiveVision
    stills: StillVision
    layout: SheetLayout
    clock: Clock
    simulated: bool
    papers: Mapping[str, SheetLayout] = field(default_factory=dict)
    codes: CodeReader = field(default_factory=CodeReader)
    shop: tuple[str, ...] = ()

    def layout_on(self, paper: str) -> SheetLayout:
        """Return the layout for a paper by its short name, or the usual one if the name is not among the others."""
        return self.papers.get(paper, self.layout)

    def warm_up(self) -> None:
        """Load the models before there is a picture of anybody, in the worker's thread; takes seconds."""
        self.live.warm_up()

    def look(self, frame: LiveFrame, turned_deg: Turn = 0) -> SeenPicture | None:
        """Observe a live picture after turning it clockwise; return None if it arrived damaged."""
        try:
            rgb = turned(decode_still(frame.jpeg), turned_deg)
        except (UnreadablePhoto, PhotoSizeRefused):
            return None
        return SeenPicture(rgb, self.live.observe(rgb))

    def read_codes(self, frame: LiveFrame) -> CodesRead | None:
        """Read the codes in a live picture; return None if it arrived damaged."""
        try:
            rgb = decode_still(frame.jpeg)
        except (UnreadablePhoto, PhotoSizeRefused):
            return None
        return CodesRead(rgb, self.codes.read(rgb, frame.taken_s))

    def measure(self, jpeg: bytes, document: Document, turned_deg: Turn = 0) -> JobResult:
        """Judge the camera's still after turning it clockwise, and crop the photo for the review screen.

        Raises
        ------
        UnreadablePhoto
            The still arrived damaged.
        """
        rgb = turned(decode_still(jpeg), turned_deg)
        judgement = judge(self.stills.measure(rgb, still_focal_length_px(jpeg)), document)
        photo = judged_photo(rgb, judgement, document)
        if photo is None:
            return Still(judgement)
        preview = simplejpeg.encode_jpeg(np.ascontiguousarray(photo.pixels), quality=92, colorspace="RGB")
        return Still(judgement, preview)

    def sheet(self, jpeg: bytes, wanted: Print) -> JobResult:
        """Return the sheets of a judged still.

        Raises
        ------
        UnreadablePhoto
            The still was damaged since.
        SheetDoesNotFit
            The paper holds fewer photos than requested.
        PhotoDoesNotFit, TooFewPixels
            As by `cut_photo`.
        """
        document, layout = wanted.document, self.layout_on(wanted.paper)
        sheet = layout.impose(document, marked=bool(wanted.not_certain))
        key, today, bought = secrets.token_hex(8), self.clock.today(), wanted.purchase
        strip = SheetStrip(
            (document.id,),
            today,
            self.simulated,
            wanted.passed_by_attendant,
            not_certain=wanted.not_certain,
            receipts=sheet_receipts(bought, self.shop, today, sheet_number(key)) if bought and self.shop else (),
        )
        rgb = turned(decode_still(jpeg), wanted.turned_deg)
        pdf = make_sheet(rgb, wanted.plan, document, sheet, strip, path="the still")
        return SheetMade(PrintJob(key, pdf, layout.medium.name, wanted.sheets, is_awaited=True), bought)

    def file(self, jpeg: bytes, wanted: MakeFile) -> JobResult:
        """Return the file of a judged still.

        Raises
        ------
        UnreadablePhoto
            The still was damaged since.
        PhotoDoesNotFit, TooFewPixels, UploadNotMade
            As by `make_file`.
        """
        rgb = turned(decode_still(jpeg), wanted.turned_deg)
        made = make_file(rgb, wanted.plan, wanted.document, path="the still")
        return FileMade(made, f"{wanted.document.id}_{self.clock.today().isoformat()}")

    def badge(
        self,
        photo: CutPhoto | bytes,
        design: BadgeDesign,
        values: Mapping[str, str],
    ) -> JobResult:
        """Return a guest's badge, with a newly cut photo, a stored one, or none.

        Parameters
        ----------
        photo
            A still with its plan, a stored photo as JPEG, or empty bytes for no photo.
        design
            The design of the badge.
        values
            The roster's columns for this guest.

        Raises
        ------
        PhotoDoesNotFit, TooFewPixels
            As by `cut_photo`.
        SheetDoesNotFit
            The badge is larger than the paper.
        """
        shown, kept = _photo_shown(photo)
        order, paper = BadgeOrder(values, shown), self.layout.medium
        if is_card(paper, design):
            pdf = card_pages(design, [order], upright=True)
        else:
            pdf = badge_sheets(design, [order], paper, self.layout.margins)
        return BadgeMade(PrintJob(secrets.token_hex(8), pdf, paper.name), kept)


def turned(rgb: Rgb, turned_deg: Turn) -> Rgb:
    """Return a picture turned clockwise."""
    return np.ascontiguousarray(np.rot90(rgb, -turned_deg // 90)) if turned_deg else rgb


def _photo_shown(photo: CutPhoto | bytes) -> tuple[Rgb | None, bytes]:
    """Return the photo to show on a badge, and a JPEG to store if the photo is new."""
    if isinstance(photo, bytes):
        return (decode_still(photo) if photo else None), b""
    cut = cut_photo(decode_still(photo.jpeg), photo.plan, photo.document, path="the still")
    pixels = np.ascontiguousarray(cut.pixels)
    return pixels, simplejpeg.encode_jpeg(pixels, quality=92, colorspace="RGB")
