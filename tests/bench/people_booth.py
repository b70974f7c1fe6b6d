"""Each person before the real booth on a manual clock: who leaves with a sheet, after how long, and why not."""

from __future__ import annotations

import multiprocessing
import tempfile
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from people_seat import NEUTRAL, SMILE, ChairDriver, arrival, enlargement, put_on_chair, still_size
from people_sets import Photograph
from people_words import POSE

from kiosk.booth.config import BURST
from kiosk.booth.loop import TICK_S
from kiosk.catalogue.documents import Catalogue
from kiosk.core.base.measurement import HeadPoints, Observation
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.framing import framing
from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision
from tests.support.pilot import Pilot, booth

SCREEN_PX = (270, 480)
FACE_REASONS = frozenset({"expression_neutrality", "mouth_closed"})
"""Reasons of the last still that the screen names while the next is prepared, and a sitter can follow."""
PRINTING_S = 0.002
"""The print queue is a real thread: how long it is waited for at each tick."""
PRINTS = (Intent("accept"), Intent("accept_doubt"))
"""Taps by which a sitter has a photo printed: one that passes, and one that stays doubtful, where that is offered."""
GIVES_UP_S = 15.0
"""An instruction that nothing answers for this long will stand without end: a photograph has nothing left to do."""
RETAKES = 1
"""How often a sitter begins again when the shots are used up: a photograph will not be another."""

SHEET, DOUBTFUL, FAILED = "sheet", "sheet, doubt accepted", "sheet of a failed photo"
REFUSED, REFERRED, NO_SHOT, NOBODY = "refused", "referred", "no shot", "no single face in the photograph"
OUTCOMES = (SHEET, DOUBTFUL, FAILED, REFERRED, REFUSED, NO_SHOT, NOBODY)
PRINTED = {"pass": SHEET, "refer": DOUBTFUL}
UNPRINTED = {"pass": REFERRED, "refer": REFERRED}


@dataclass(frozen=True)
class Person:
    """A neutral photograph, and a smiling one where there is one."""

    photo: Photograph
    smiling: Photograph | None = None


@dataclass(frozen=True)
class Visit:
    """How a visit went.

    Attributes
    ----------
    shots, seconds
        Bursts that were taken, and booth time from the first instruction to the sheet, or to the end of the trial.
    stood, stood_s
        The instruction that was last on the screen, and since when.
    reasons
        Of the last judgement.
    pose_outside
        Which angles of the photograph itself are outside the limits.
    enlarged
        How many times larger the head is in the still than in the photograph.
    was_dim, smiled
        Whether the light was still too low, and the smile still there, in the last still.
    """

    photo: Photograph
    outcome: str
    shots: int = 0
    seconds: float = 0.0
    stood: str = ""
    stood_s: float = 0.0
    reasons: tuple[str, ...] = ()
    pose_outside: tuple[str, ...] = ()
    enlarged: float = 0.0
    was_dim: bool = False
    smiled: bool = False


def people_of(photos: Sequence[Photograph]) -> list[Person]:
    """Return the people of some photographs: compliant ones with their smiles, and each where none is compliant."""
    neutral = [photo for photo in photos if photo.is_compliant]
    smiles = {photo.person: photo for photo in photos if photo.labels.get("expression") == "smiling"}
    return [Person(photo, smiles.get(photo.person)) for photo in neutral] or [Person(photo) for photo in photos]


def visit(person: Person, document: Document, vision: StillVision, limit_s: float) -> Visit:
    """Let a person come, follow, and leave."""
    seen = vision.measure(read_photo(person.photo.file).rgb)
    if seen.points is None:
        return Visit(person.photo, NOBODY)
    faces = {NEUTRAL: (person.photo.file, seen.points), **_smile(person, vision)}
    head_px = seen.points.head_height_px()
    still_px = still_size(document, head_px)
    size = int(still_px.width), int(still_px.height)
    where = framing(document, *size)
    scenario = arrival(person.photo.person, smiling=len(faces) > 1)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        put_on_chair(folder, faces, where)

        chairs: list[ChairDriver] = []

        def driver(_: Path, scenario, clock) -> ChairDriver:
            chairs.append(ChairDriver(folder, scenario, clock, still_px))
            return chairs[0]

        with booth(
            folder,
            document.id,
            scenario=scenario,
            size=SCREEN_PX,
            burst=BURST,
            driver=driver,
            still_px=size,
            doubt="sitter",
            tick_s=TICK_S,
        ) as pilot:
            pilot.to_align(document.id)
            told = _Stay(pilot, chairs[0]).until(limit_s)
    outside = _pose_outside(seen, document)
    return Visit(person.photo, **told, pose_outside=outside, enlarged=enlargement(where, still_px, head_px))


class _Stay:
    """The time from the first instruction on."""

    def __init__(self, pilot: Pilot, chair: ChairDriver) -> None:
        self._pilot, self._chair = pilot, chair
        self._began_s = pilot.parts.clock.now_s()
        self._shots = self._retakes = 0
        self._stood, self._since_s = "", self._began_s
        self._was_dim = self._smiled = False
        self._judged: tuple[str, tuple[str, ...]] = ("unmeasured", ())

    def until(self, limit_s: float) -> dict[str, object]:
        """Let time pass until there is a sheet or the limit is reached, and tell how it went."""
        outcome = None
        while outcome is None:
            before = self._pilot.view
            if before.state == "printing":
                time.sleep(PRINTING_S)
            self._pilot.advance(TICK_S)
            outcome = self._after(before, self._pilot.view, limit_s)
        now_s = self._pilot.parts.clock.now_s()
        return {
            "outcome": outcome,
            "shots": self._shots,
            "seconds": now_s - self._began_s,
            "stood": self._stood,
            "stood_s": now_s - self._since_s,
            "reasons": self._judged[1],
            "was_dim": self._was_dim,
            "smiled": self._smiled,
        }

    def _after(self, before: SessionView, view: SessionView, limit_s: float) -> str | None:
        """Take note of what has changed and do what a sitter does; return the outcome where it has come."""
        now_s = self._pilot.parts.clock.now_s()
        if view.state == "shooting" and before.state != "shooting":
            self._shots += 1
            self._was_dim, self._smiled = self._chair.is_dim, self._chair.is_smiling
        if view.review.verdict != "unmeasured":
            self._judged = view.review.verdict, view.review.reasons
        if view.align.instruction and view.align.instruction != self._stood:
            self._stood, self._since_s = view.align.instruction, now_s
        if view.state == "align" and before.state != "align" and FACE_REASONS & set(view.review.reasons[:1]):
            self._chair.relax()
        if view.state == "collect":
            return PRINTED.get(self._judged[0], FAILED)
        if view.state == "review" and before.state == "review":
            return self._reviewed(view)
        over = now_s - self._began_s >= limit_s or now_s - self._since_s >= GIVES_UP_S
        if over and view.state == "align":
            return UNPRINTED.get(self._judged[0], REFUSED) if self._shots else NO_SHOT
        return None

    def _reviewed(self, view: SessionView) -> str | None:
        """Tap what a sitter taps under the photo; return the outcome where nothing is left to tap."""
        acts = [target.act for target in self._pilot.parts.screen.stage.targets]
        way = next((act for act in PRINTS if act in acts), None)
        if way is None and self._retakes == RETAKES:
            return UNPRINTED.get(view.review.verdict, REFUSED)
        if way is None:
            self._retakes += 1
        self._pilot.tap(*((way.name, way.argument) if way else ("retake", "")), rest_s=TICK_S)
        return None


def _smile(person: Person, vision: StillVision) -> dict[str, tuple[Path, HeadPoints]]:
    if person.smiling is None:
        return {}
    points = vision.measure(read_photo(person.smiling.file).rgb).points
    return {} if points is None else {SMILE: (person.smiling.file, points)}


OUTSIDE = ("fail", "refer")


def _pose_outside(seen: Observation, document: Document) -> tuple[str, ...]:
    findings = judge(seen, document).findings
    return tuple(each.measurement.name for each in findings if each.measurement.name in POSE and each.word in OUTSIDE)


_PROCESS: list[tuple[Document, StillVision, float]] = []
"""What this process looks with, and for how long."""


def _begin(document: Document, limit_s: float) -> None:
    _PROCESS.append((document, StillVision(), limit_s))


def _visit(person: Person) -> Visit:
    document, vision, limit_s = _PROCESS[0]
    return visit(person, document, vision, limit_s)


def visits(people: Sequence[Person], document_id: str, processes: int, limit_s: float) -> Iterator[Visit]:
    """Yield the visits in the order of the people, shared out among processes."""
    context = multiprocessing.get_context("spawn")
    document = Catalogue.load().get(document_id)
    with ProcessPoolExecutor(processes, context, _begin, (document, limit_s)) as pool:
        yield from pool.map(_visit, people)
