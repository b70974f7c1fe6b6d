"""What the booth sees in each photograph: the still as it is, and a live picture with the head where it belongs."""

from __future__ import annotations

import itertools
import multiprocessing
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import simplejpeg
from people_sets import Photograph

from kiosk.catalogue.documents import Catalogue
from kiosk.core.base.geometry import Point, Size
from kiosk.core.base.measurement import HeadPoints, Observation
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.framing import framing
from kiosk.core.session.coach import advise, live_limits, unseen
from kiosk.devices.sim.frame import warped
from kiosk.devices.sim.pictures import LIVE_PX, STILL_PX, GridPicture, Similarity
from kiosk.vision.live import LiveVision
from kiosk.vision.pictures.photo_file import decode_still, read_photo
from kiosk.vision.still import StillVision

FRAME_S = 1 / 30
LIVE_FRAMES = 8
"""Live pictures that are looked at: in the first every part is looked for, and in the others the mesh comes to rest."""
WAITS_S = 2.0
"""For how long the coach is shown what was seen last: twice as long as an instruction stays."""
LIVE_QUALITY = 85
"""JPEG, as the simulated camera's live pictures are."""


@dataclass(frozen=True)
class Look:
    """One photograph and what was seen and said of it.

    Attributes
    ----------
    words, values
        Word and number by requirement; without a single face, `single_face_present` alone, as refused.
    demands
        What the coach would still say before the live picture, by measurement; None where the head could not be
        placed, because no still's points say where it is.
    live
        Numbers seen in the live picture.
    """

    photo: Photograph
    seen: Observation
    words: Mapping[str, str]
    values: Mapping[str, float | None]
    demands: Mapping[str, str] | None = None
    live: Mapping[str, float | None] = field(default_factory=dict)

    @property
    def live_words(self) -> dict[str, str]:
        """What the live view says, in the still's words: fail where the coach has something to say, else pass."""
        measured = {name for name, value in self.live.items() if value is not None}
        return {name: "fail" if name in (self.demands or {}) else "pass" for name in measured | set(self.demands or {})}


def judged(seen: Observation, document: Document) -> tuple[dict[str, str], dict[str, float | None]]:
    """Return the document's word for each requirement, and the numbers."""
    if seen.points is None:
        return {"single_face_present": "fail"}, {}
    found = judge(seen, document).findings
    return {each.measurement.name: each.word for each in found}, {
        each.measurement.name: each.measurement.value for each in found
    }


def live_picture(file: Path, size_px: Size, points: HeadPoints, document: Document) -> np.ndarray:
    """Return the live picture of a sitter whose head is as large as the outline and lies in its middle."""
    where = framing(document, int(STILL_PX.width), int(STILL_PX.height))
    times = where.head.middle * LIVE_PX.height / points.head_height_px()
    eyes = points.eye_centre.scaled(times)
    at = Point(where.eye_x.middle * LIVE_PX.width, where.eye_y.middle * LIVE_PX.height)
    picture = GridPicture(file, size_px, 0.0, 0.0, "neutral", points.eye_centre, 1.0)
    frame = warped(picture, Similarity(times, 0.0, at.x - eyes.x, at.y - eyes.y), LIVE_PX)
    return decode_still(simplejpeg.encode_jpeg(frame, quality=LIVE_QUALITY, colorspace="BGR", colorsubsampling="422"))


def coached(live: LiveVision, rgb: np.ndarray, document: Document) -> tuple[dict[str, str], Observation]:
    """Return what the coach still says when it has looked at one live picture for a while, and what was seen last."""
    limits = live_limits(document, framing(document, int(STILL_PX.width), int(STILL_PX.height)))
    live.observe(np.full_like(rgb, 200))
    advice, now_s, seen = unseen(limits), 0.0, None
    for number in itertools.count():
        now_s = number * FRAME_S
        if seen is not None and now_s >= WAITS_S:
            break
        seen = live.observe(rgb) if number < LIVE_FRAMES or seen is None else seen
        advice = advise(advice, seen, limits, now_s)
    asked = {name: str(fault.ask) for name, fault in advice.broken.items() if fault.is_settled}
    return asked, seen


class Looker:
    """Looks at one photograph after the other; keep one for the life of a process."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._stills, self._live = StillVision(), LiveVision()

    def look(self, photo: Photograph) -> Look:
        """Return what is seen of a photograph."""
        read = read_photo(photo.file)
        seen = self._stills.measure(read.rgb)
        words, values = judged(seen, self._document)
        if seen.points is None:
            return Look(photo, seen, words, values)
        size_px = Size(seen.width_px, seen.height_px)
        shown = live_picture(photo.file, size_px, seen.points, self._document)
        demands, observed = coached(self._live, shown, self._document)
        live = {name: each.value for name, each in observed.measurements.items()}
        return Look(photo, seen, words, values, demands, live)


_LOOKER: list[Looker] = []
"""The one of this process."""


def _begin(document: Document) -> None:
    _LOOKER.append(Looker(document))


def _look(photo: Photograph) -> Look:
    return _LOOKER[0].look(photo)


def looks(photos: Iterable[Photograph], document_id: str, processes: int) -> Iterator[Look]:
    """Yield the looks in the order of the photographs, shared out among processes."""
    document = Catalogue.load().get(document_id)
    if processes == 1:
        looker = Looker(document)
        yield from map(looker.look, photos)
        return
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(processes, context, _begin, (document,)) as pool:
        yield from pool.map(_look, photos, chunksize=4)
