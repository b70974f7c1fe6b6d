"""Whether a confident word is contradicted by the truth: a pass that is none, or a fail that is none.

Each requirement whose true value the renderer knows is judged twice, by what was measured and by what is true. A word
is contradicted where the truth lies on the other side of the limit by more than the measurement's stated uncertainty.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from judged import limits
from rendered import seen_angles_deg

from kiosk.catalogue.documents import Catalogue
from kiosk.core.base.geometry import Point, Range
from kiosk.core.base.measurement import HeadPoints, Measurement, Observation
from kiosk.core.judging.conformance import word_for
from kiosk.core.judging.crop import frame_measurements, plan_crop

DOCUMENTS = tuple(map(Catalogue.load().get, ("gb-passport-print", "us-passport-print")))
"""One whose head reaches to the crown, and one to the hair top."""

FRAME = ("head_size", "eye_line", "face_centre")

SHUT, OPEN = 0.11, 0.33
"""Lid gap over eye width of rendered lids that are shut, as their lashes leave it, and the least of lids at rest."""


@dataclass(frozen=True)
class Case:
    """One requirement of one picture."""

    name: str
    measured: Measurement
    limit: Range
    true: float

    @property
    def word(self) -> str:
        """Return the word of the measurement."""
        return word_for(self.measured, self.limit)

    @property
    def excess(self) -> float:
        """Return by how many stated uncertainties the truth contradicts a confident word; negative: not at all."""
        low, high = self.limit.low, self.limit.high
        ends = ([] if low is None else [self.true - low]) + ([] if high is None else [high - self.true])
        inside = min(ends)
        against = {"pass": -inside, "fail": inside}.get(self.word, -np.inf)
        return float(against / max(self.measured.uncertainty, 1e-9))


def true_points(truth: dict) -> HeadPoints:
    """Return the true points, px."""
    marks = {name: np.array(place, float) for name, place in truth["landmarks_px"].items()}

    def eye(side: str) -> Point:
        return Point(*((marks[f"{side}_eye_inner"] + marks[f"{side}_eye_outer"]) / 2).tolist())

    crown, chin = Point(*marks["skull_top"].tolist()), Point(*marks["chin_contour"].tolist())
    return HeadPoints(crown, Point(crown.x, truth["hair_top_px"]), chin, eye("right"), eye("left"))


def cases(truth: dict, seen: Observation) -> Iterator[Case]:
    """Yield every requirement of a picture whose true value is known."""
    if seen.points is None:
        return
    points = true_points(truth)
    for document in DOCUMENTS:
        plan = plan_crop(seen.points, document, seen.width_px, seen.height_px)
        size = seen.width_px, seen.height_px
        true = frame_measurements(points, document, plan.rect_px, plan.mm_per_px, *size)
        ranges = {"head_size": document.head_height_mm, "face_centre": Range(0.45, 0.55)}
        if document.eye_line is not None:
            ranges["eye_line"] = document.eye_line_mm
        for name in FRAME:
            value = true[name].value
            if name in ranges and value is not None:
                label = f"{name}, {document.head_top.value}" if name == "head_size" else name
                yield Case(label, plan.measurements[name], ranges[name], value)
    for name, value in _true_values(truth, points).items():
        measured = seen.measurements.get(name)
        if measured is not None and measured.value is not None:
            yield Case(name, measured, limits()[name].range, value)


def _true_values(truth: dict, points: HeadPoints) -> dict[str, float]:
    angles = dict(zip(("yaw", "pitch", "roll"), seen_angles_deg(truth), strict=True))
    known: dict[str, float] = {
        **angles,
        "eyes_open": (min(truth["eye_aperture_ratio"].values()) - SHUT) / (OPEN - SHUT),
        "inter_eye_distance": points.inter_eye_px / np.cos(np.radians(angles["yaw"])),
    }
    if "gaze_offset_deg" in truth:
        known["gaze"] = truth["gaze_offset_deg"][0]
    if "distance_to_eyes_m" in truth["camera"]:
        known["camera_distance"] = 1000 * truth["camera"]["distance_to_eyes_m"]
    return known


def contradiction_lines(rows: list) -> tuple[list[str], dict[str, float]]:
    """Return one line a requirement: the words, and how many of the confident ones the truth contradicts."""
    lines = [f"{'word and truth':22}{'n':>5}{'pass':>6}{'refer':>7}{'fail':>6}{'contradicted':>14}  by at most"]
    found = [(row.name, case) for row in rows for case in cases(row.truth, row.seen)]
    numbers: dict[str, float] = {}
    confident = wrong = 0
    told = []
    for name in dict.fromkeys(case.name for _, case in found):
        members = [(picture, case) for picture, case in found if case.name == name]
        words = [case.word for _, case in members]
        against = [(picture, case) for picture, case in members if case.excess > 1]
        worst = max((case.excess for _, case in members if case.excess > 0), default=0.0)
        counts = "".join(f"{words.count(word):{width}}" for word, width in (("pass", 6), ("refer", 7), ("fail", 6)))
        lines.append(f"{name:22}{len(members):5}{counts}{len(against):14}  {worst:.2f} u")
        confident += words.count("pass") + words.count("fail")
        wrong += len(against)
        told += [
            f"  {picture}: {name} {case.word} at {case.measured.value:.3g}, u {case.measured.uncertainty:.2g},"
            f" true {case.true:.3g}"
            for picture, case in against
        ]
        numbers[f"contradicted.{name}"] = len(against)
    lines += [f"{wrong} of {confident} confident words are contradicted by more than the stated uncertainty", *told]
    return lines, {**numbers, "contradicted.share": round(wrong / max(confident, 1), 4)}
