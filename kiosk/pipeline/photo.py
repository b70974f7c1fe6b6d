"""One judged photo on its way: cut, and made into a sheet or a file to upload."""

from __future__ import annotations

from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Judgement
from kiosk.core.judging.crop import CropPlan
from kiosk.core.judging.nudge import lacking_words
from kiosk.core.sheet.bleed import BLEED_MM
from kiosk.core.sheet.imposition import Sheet
from kiosk.errors import PhotoDoesNotFit, UploadNotMade
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.photo import PRINT_DPI, Photo, check_pixels, render_photo
from kiosk.render.sheet.strip import SheetStrip
from kiosk.render.sheet.upload_file import QUALITY, UploadFile, photo_jpeg, upload_file
from kiosk.vision.pictures.arrays import Rgb

REVIEW_DPI = 300.0


def judged_photo(rgb: Rgb, judgement: Judgement, document: Document) -> Photo | None:
    """Return the judged crop for the review and the report, or None if it reaches outside the still."""
    plan = judgement.plan
    if plan is None or not plan.is_inside:
        return None
    return render_photo(rgb, plan.rect_px, document.frame_mm, REVIEW_DPI)


def make_sheet(rgb: Rgb, plan: CropPlan, document: Document, sheet: Sheet, strip: SheetStrip, *, path: str) -> bytes:
    """Cut the photo, impose it, and return the sheet as PDF.

    Raises
    ------
    PhotoDoesNotFit, TooFewPixels
        As by `cut_photo`.
    """
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
        The crop holds fewer pixels than the document requires, or than `least_dpi`.
    """
    _check_inside(rgb, plan, document, path)
    needed_dpi = max(document.needed_dpi, least_dpi)
    check_pixels(plan.rect_px, document.size_mm, needed_dpi, path=path, document=document.id)
    return render_photo(rgb, plan.rect_px, document.size_mm, dpi, bleed_mm=BLEED_MM, border=document.border_allowed)


def make_upload(rgb: Rgb, plan: CropPlan, document: Document, *, path: str) -> UploadFile:
    """Return the file to upload for a document that has one.

    Raises
    ------
    ValueError
        The document has no file to upload.
    PhotoDoesNotFit
        The frame reaches outside the picture.
    TooFewPixels
        The crop holds fewer pixels than the smallest picture the authority accepts.
    UploadNotMade
        No size and quality yields a permitted number of bytes.
    """
    if document.upload is None:
        raise ValueError(f"{document.id} has no file to upload")
    _check_inside(rgb, plan, document, path)
    file = upload_file(rgb, plan.rect_px, document.upload, document=document.id, path=path)
    if file is None:
        least = document.upload.pixels.smallest
        detail = f"from {least.width:.0f} x {least.height:.0f} px up, none of quality {QUALITY.start} to {QUALITY[-1]}"
        limits = f"{detail} has a permitted number of bytes"
        raise UploadNotMade(path=path, document=document.id, detail=limits)
    return file


def make_file(rgb: Rgb, plan: CropPlan, document: Document, *, path: str) -> bytes:
    """Return the file of a photo as JPEG: the one to upload where the document has one, or else the print's photo.

    Raises
    ------
    PhotoDoesNotFit, TooFewPixels, UploadNotMade
        As by `make_upload` and `cut_photo`.
    """
    if document.upload is not None:
        return make_upload(rgb, plan, document, path=path).jpeg
    return photo_jpeg(cut_photo(rgb, plan, document, path=path))


def _check_inside(rgb: Rgb, plan: CropPlan, document: Document, path: str) -> None:
    if not plan.is_inside:
        detail = lacking_words(plan, document, rgb.shape[1], rgb.shape[0])
        raise PhotoDoesNotFit(document=document.id, path=path, detail=detail)
