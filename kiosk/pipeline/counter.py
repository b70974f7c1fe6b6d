"""The work of a counter or a laboratory on one photo file, as jobs that a process of the pool can do."""

from __future__ import annotations

import logging
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Judgement, judge
from kiosk.core.judging.nudge import FrameShift
from kiosk.errors import KioskError
from kiosk.pipeline.looking import SeenPhoto, see_photo
from kiosk.vision.still import StillVision

if TYPE_CHECKING:
    from kiosk.core.sheet.back_side import Back
    from kiosk.pipeline.counter_sheet import Form, Maker, Paper
    from kiosk.render.sheet.photo import Photo

_log = logging.getLogger(__name__)

ENDINGS: Mapping[Form, str] = {"pdf": ".pdf", "jpeg": ".jpg", "tiff": ".tif"}


@dataclass(frozen=True, slots=True)
class MeasuredPhoto:
    """What `measure` found in a photo.

    Attributes
    ----------
    path
        The file.
    judgements
        One for each document, in their order; empty where the photo could not be used.
    photos
        The crops that were judged, in the same order, where the job asks for them; None where one reaches outside.
    remarks
        What decoding assumed or left out, as sentences.
    preview_png
        The photo with the measured lines, where the job asks for it.
    error
        Why the photo could not be used, or None.
    """

    path: Path
    judgements: tuple[Judgement, ...] = ()
    photos: tuple[Photo | None, ...] = ()
    remarks: tuple[str, ...] = ()
    preview_png: bytes = field(default=b"", repr=False)
    error: KioskError | None = None


@dataclass(frozen=True, slots=True)
class MeasureJob:
    """Judges a photo by the rules of each document."""

    documents: tuple[Document, ...]
    nudge: FrameShift | None = None
    wants_photos: bool = False
    wants_preview: bool = False

    def __call__(self, path: Path, vision: StillVision) -> MeasuredPhoto:
        """Return what was found; a photo that cannot be used is a result as well, and stops no other."""
        try:
            return self._measured(see_photo(path, vision))
        except Exception as error:
            return MeasuredPhoto(path, error=_as_kiosk_error(error))

    def _measured(self, seen: SeenPhoto) -> MeasuredPhoto:
        judgements = tuple(judge(seen.observation, document, self.nudge) for document in self.documents)
        photos: tuple[Photo | None, ...] = ()
        preview = b""
        if self.wants_photos:
            from kiosk.pipeline.photo import judged_photo

            pairs = zip(judgements, self.documents, strict=True)
            photos = tuple(judged_photo(seen.rgb, judgement, document) for judgement, document in pairs)
        if self.wants_preview:
            from kiosk.render.report.preview import preview_png

            preview = preview_png(seen.rgb, judgements[0], self.documents[0])
        return MeasuredPhoto(seen.path, judgements, photos, seen.remarks, preview)


@dataclass(frozen=True, slots=True)
class MadeFile:
    """A finished file: its document, the end of its name, its content, and what should be known about it."""

    document_id: str
    ending: str
    content: bytes = field(repr=False)
    words: str
    notices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MadePhoto:
    """What was made of a photo.

    Attributes
    ----------
    path
        The photo's file.
    judgements
        One for each document, in their order; empty where the photo could not be used.
    files
        What was made, in the order of the documents, the print before the file to upload.
    refusals
        The documents for which nothing was made, each with the reason; under an empty id if the photo is of no use.
    remarks
        What decoding assumed or left out, as sentences.
    """

    path: Path
    judgements: tuple[Judgement, ...] = ()
    files: tuple[MadeFile, ...] = ()
    refusals: tuple[tuple[str, KioskError], ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MakeJob:
    """Makes a photo's print and its file to upload for each document that has one.

    Attributes
    ----------
    documents
        The documents.
    maker
        Judges and cuts.
    paper
        The paper for prints, or None for no prints.
    form
        The form of the sheets.
    back
        What is printed behind each photo, by document id; None for no back page.
    today
        The day on the sheets.
    """

    documents: tuple[Document, ...]
    maker: Maker
    paper: Paper | None
    form: Form
    today: date
    back: Mapping[str, Back | None] | None = None

    def __call__(self, path: Path, vision: StillVision) -> MadePhoto:
        """Return what was made; what cannot or should not be made is a result as well, and stops nothing else."""
        try:
            seen = see_photo(path, vision)
        except Exception as error:
            return MadePhoto(path, refusals=(("", _as_kiosk_error(error)),))
        judgements = tuple(judge(seen.observation, document, self.maker.nudge) for document in self.documents)
        files, refusals = list[MadeFile](), list[tuple[str, KioskError]]()
        for document in self.documents:
            try:
                files += self._files(seen, document)
            except Exception as error:
                refusals.append((document.id, _as_kiosk_error(error)))
        return MadePhoto(path, judgements, tuple(files), tuple(refusals), seen.remarks)

    def _files(self, seen: SeenPhoto, document: Document) -> Iterator[MadeFile]:
        from kiosk.pipeline.counter_sheet import dpi_for, made_sheet

        if self.paper is not None and document.size is not None:
            dpi = dpi_for(self.form, [document])
            order = self.maker.cut(seen, document, dpi, 0.0 if self.form == "pdf" else dpi)
            backs = [] if self.back is None else [self.back[document.id]]
            made = made_sheet(self.paper, [order], self.form, self.today, backs)
            words = f"{len(made.sheet.photos)} of {document.size_mm.width:g} x {document.size_mm.height:g} mm"
            yield MadeFile(document.id, ENDINGS[self.form], made.content, words, (*order.caveats, *made.notices))
        if document.upload is not None:
            order = self.maker.upload(seen, document)
            assert order.upload is not None
            ending = "_upload.jpg" if document.size is not None else ".jpg"
            yield MadeFile(document.id, ending, order.upload.jpeg, order.upload.words, order.caveats)


def _as_kiosk_error(error: Exception) -> KioskError:
    """Return an error that can be shown to a user; one that nobody expected stops no other photo either."""
    if isinstance(error, KioskError):
        return error
    _log.info("traceback of the error", exc_info=error)
    return KioskError(detail=type(error).__name__)
