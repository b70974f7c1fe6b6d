"""A still's way through the house: from the decoded picture to the judgement, and from there to the sheet."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import simplejpeg

from kiosk.core.base.geometry import Size
from kiosk.core.base.measurement import Observation
from kiosk.core.document.document import Document
from kiosk.core.event.badge import BadgeDesign
from kiosk.core.judging.conformance import Judgement, judge
from kiosk.core.judging.crop import CropPlan
from kiosk.core.session.events import Print, PrintBadge, Still, Turn
from kiosk.core.sheet.bleed import BLEED_MM
from kiosk.core.sheet.imposition import Margins, Medium, Sheet, impose
from kiosk.devices.base import LiveFrame, PrintJob
from kiosk.errors import NoFace, PhotoDoesNotFit, SeveralFaces, UnreadablePhoto, UploadNotMade
from kiosk.render.badge.badge_sheet import BadgeOrder, badge_sheets, card_pages, is_card
from kiosk.render.sheet.margin_notes import SheetStrip, has_room
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.photo import PRINT_DPI, Photo, check_pixels, render_photo
from kiosk.render.sheet.upload_file import QUALITY, UploadFile, upload_file
from kiosk.system.clock import Clock
from kiosk.vision.live import LiveVision
from kiosk.vision.models.codes import CodeReader
from kiosk.vision.pictures.photo_file import decode_still, read_photo, still_focal_length_px
from kiosk.vision.still import StillVision

REVIEW_DPI = 300.0

Rgb = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """How photos lie on a paper; `count` None for as many as fit."""

    medium: Medium
    margins: Margins
    gutter_mm: float
    count: int | None = None

    def impose(self, document: Document, *, marked: bool = False) -> Sheet:
        """Return the sheet of one document; a marked one lacks a photo where all of them would leave no word room.

        Raises
        ------
        SheetDoesNotFit
            The paper holds fewer photos than asked for.
        NoPrintSize
            The document is a file to upload.
        """
        return (_with_room if marked else _imposed)(self, document.size_mm)


@cache
def _imposed(layout: SheetLayout, photo_mm: Size) -> Sheet:
    return impose(layout.medium, photo_mm, layout.margins, layout.gutter_mm, layout.count)


@cache
def _with_room(layout: SheetLayout, photo_mm: Size) -> Sheet:
    sheet = _imposed(layout, photo_mm)
    if len(sheet.photos) == 1 or has_room(sheet):
        return sheet
    return _imposed(replace(layout, count=len(sheet.photos) - 1), photo_mm)


@dataclass(frozen=True, slots=True)
class SeenPicture:
    """A live picture, sRGB and not mirrored, and what was seen in it."""

    rgb: Rgb
    observation: Observation


@dataclass(frozen=True, slots=True)
class CodesRead:
    """A live picture, sRGB and not mirrored, and what the codes in it say; nobody was looked at."""

    rgb: Rgb
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetMade:
    """A finished sheet, ready for the printer."""

    job: PrintJob


@dataclass(frozen=True, slots=True)
class CutPhoto:
    """A photo as it is cut out of a judged still."""

    jpeg: bytes = field(repr=False)
    plan: CropPlan
    document: Document


@dataclass(frozen=True, slots=True)
class BadgeMade:
    """A finished badge, ready for the printer, and the guest's photo as JPEG where it shows one."""

    job: PrintJob
    photo_jpeg: bytes


@dataclass(frozen=True, slots=True)
class BadgeStill:
    """A badge that is wanted, and after a while the still that its photo is cut out of."""

    wanted: PrintBadge
    document: Document | None
    arrived_at: datetime
    still: bytes = field(default=b"", repr=False)


JobResult = Still | SheetMade | BadgeMade | BadgeStill | None
Seeing = SeenPicture | CodesRead


@dataclass(frozen=True)
class PictureJobs:
    """The booth's work on pictures, done in the vision worker's thread."""

    live: LiveVision
    stills: StillVision
    layout: SheetLayout
    clock: Clock
    simulated: bool
    papers: Mapping[str, SheetLayout] = field(default_factory=dict)
    codes: CodeReader = field(default_factory=CodeReader)

    def layout_on(self, paper: str) -> SheetLayout:
        """Return how photos lie on a paper, by its short name; the usual one where it is no other."""
        return self.papers.get(paper, self.layout)

    def look(self, frame: LiveFrame, turned_deg: Turn = 0) -> SeenPicture | None:
        """Return what is seen in a live picture, turned clockwise, or None where it arrived damaged."""
        try:
            rgb = turned(decode_still(frame.jpeg), turned_deg)
        except UnreadablePhoto:
            return None
        return SeenPicture(rgb, self.live.observe(rgb))

    def read_codes(self, frame: LiveFrame) -> CodesRead | None:
        """Return the codes in a live picture, or None where it arrived damaged."""
        try:
            rgb = decode_still(frame.jpeg)
        except UnreadablePhoto:
            return None
        return CodesRead(rgb, self.codes.read(rgb, frame.taken_s))

    def measure(self, jpeg: bytes, document: Document, turned_deg: Turn = 0) -> JobResult:
        """Return the camera's still, turned clockwise and judged, with the cropped photo for the review screen.

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
        """Return the sheets of a judged still; errors as those of `make_sheet`."""
        document, layout = wanted.document, self.layout_on(wanted.paper)
        sheet = layout.impose(document, marked=bool(wanted.not_certain))
        strip = SheetStrip(
            (document.id,),
            self.clock.today(),
            self.simulated,
            wanted.passed_by_attendant,
            not_certain=wanted.not_certain,
        )
        rgb = turned(decode_still(jpeg), wanted.turned_deg)
        pdf = make_sheet(rgb, wanted.plan, document, sheet, strip, path="the still")
        return SheetMade(PrintJob(secrets.token_hex(8), pdf, layout.medium.name, wanted.sheets))

    def badge(
        self,
        photo: CutPhoto | bytes,
        design: BadgeDesign,
        values: Mapping[str, str],
    ) -> JobResult:
        """Return a guest's badge, with the photo that a plan cuts out of a judged still, a kept one, or without.

        Parameters
        ----------
        photo
            How it is cut, or a kept one as JPEG, or nothing.

        Raises
        ------
        PhotoDoesNotFit, TooFewPixels
            As `cut_photo`.
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
    """Return the photo on a badge, and the JPEG that may be kept of it where it is new."""
    if isinstance(photo, bytes):
        return (decode_still(photo) if photo else None), b""
    cut = cut_photo(decode_still(photo.jpeg), photo.plan, photo.document, path="the still")
    pixels = np.ascontiguousarray(cut.pixels)
    return pixels, simplejpeg.encode_jpeg(pixels, quality=92, colorspace="RGB")


def see_photo(path: Path, vision: StillVision) -> tuple[Rgb, Observation]:
    """Return the picture in a file and what was seen in it.

    Raises
    ------
    UnreadablePhoto, PhotoSizeRefused
        The file cannot be used.
    NoFace, SeveralFaces
        There is not exactly one person in it.
    """
    photo = read_photo(path)
    seen = vision.measure(photo.rgb, photo.focal_length_px)
    if seen.points is None:
        raise SeveralFaces(path=path, count=seen.faces) if seen.faces > 1 else NoFace(path=path)
    return photo.rgb, seen


def judge_photo(path: Path, document: Document, vision: StillVision) -> tuple[Rgb, Judgement]:
    """Return the picture in a file with its judgement; errors as `see_photo`."""
    rgb, seen = see_photo(path, vision)
    return rgb, judge(seen, document)


def judged_photo(rgb: Rgb, judgement: Judgement, document: Document) -> Photo | None:
    """Return the crop that was judged, for the review and the report, or None where none lies inside the still."""
    plan = judgement.plan
    if plan is None or not plan.is_inside:
        return None
    return render_photo(rgb, plan.rect_px, document.frame_mm, REVIEW_DPI)


def make_sheet(rgb: Rgb, plan: CropPlan, document: Document, sheet: Sheet, strip: SheetStrip, *, path: str) -> bytes:
    """Cut the photo and impose it; return the sheet as PDF. Errors as `cut_photo`."""
    return sheet_pdf(sheet, [cut_photo(rgb, plan, document, path=path)], strip)


def cut_photo(
    rgb: Rgb, plan: CropPlan, document: Document, *, path: str, dpi: float = PRINT_DPI, least_dpi: float = 0.0
) -> Photo:
    """Return the photo of one document, cropped and scaled once to at most `dpi`.

    Raises
    ------
    PhotoDoesNotFit
        The frame reaches outside the picture.
    TooFewPixels
        The crop holds fewer pixels than the document asks for, or than `least_dpi`.
    """
    _check_inside(plan, document, path)
    needed_dpi = max(document.needed_dpi, least_dpi)
    check_pixels(plan.rect_px, document.size_mm, needed_dpi, path=path, document=document.id)
    return render_photo(rgb, plan.rect_px, document.size_mm, dpi, bleed_mm=BLEED_MM, border=document.border_allowed)


def make_upload(rgb: Rgb, plan: CropPlan, document: Document, *, path: str) -> UploadFile:
    """Return the file to upload for a document that has one.

    Raises
    ------
    PhotoDoesNotFit
        The frame reaches outside the picture.
    TooFewPixels
        The crop holds fewer pixels than the smallest picture that is taken.
    UploadNotMade
        No size and quality meets the window of bytes.
    """
    if document.upload is None:
        raise ValueError(f"{document.id} has no file to upload")
    _check_inside(plan, document, path)
    file = upload_file(rgb, plan.rect_px, document.upload, document=document.id, path=path)
    if file is None:
        least = document.upload.pixels.smallest
        detail = f"from {least.width:.0f} x {least.height:.0f} px up, none of quality {QUALITY.start} to {QUALITY[-1]}"
        limits = f"{detail} has the bytes asked for"
        raise UploadNotMade(path=path, document=document.id, detail=limits)
    return file


def _check_inside(plan: CropPlan, document: Document, path: str) -> None:
    if not plan.is_inside:
        raise PhotoDoesNotFit(document=document.id, path=path, detail=f"{-plan.room_mm:.1f} mm are missing")
