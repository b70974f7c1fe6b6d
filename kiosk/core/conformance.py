"""Does the picture meet the document's rules? Pass, fail, or refer where the number is too near its limit to say.

A measurement passes when it lies inside its limits by at least its standard uncertainty, fails when it lies outside by
more than that, and is referred to a person in between: the guard band of JCGM 106:2012, 8.3, with w = u (from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from kiosk.core.background import ColourRegion
from kiosk.core.crop import PRACTICE_FACE_CENTRE, CropPlan, plan_crop
from kiosk.core.geometry import Range
from kiosk.core.measurement import Measurement, Observation
from kiosk.core.rules import Document
from kiosk.core.view import Word

Verdict = Literal["pass", "fail", "refer", "unmeasurable"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One requirement: what was measured, what is asked, and the word."""

    measurement: Measurement
    limit: Range
    word: Word
    source: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict on one picture, with all it rests on."""

    document_id: str
    observation: Observation
    plan: CropPlan | None
    findings: tuple[Finding, ...]

    @property
    def verdict(self) -> Verdict:
        """Return pass, fail, refer, or unmeasurable where no single face was found."""
        if self.plan is None:
            return "unmeasurable"
        words = {finding.word for finding in self.findings}
        if "fail" in words:
            return "fail"
        return "refer" if words & {"refer", "unmeasured"} else "pass"

    @property
    def reasons(self) -> tuple[str, ...]:
        """Names of what did not pass, failures first."""
        order: tuple[Word, ...] = ("fail", "refer", "unmeasured")
        return tuple(f.measurement.name for word in order for f in self.findings if f.word == word)


def word_for(measurement: Measurement, limit: Range) -> Word:
    """Return the word for one number against its limits."""
    if measurement.value is None:
        return "unmeasured"
    margins = []
    if limit.low is not None:
        margins.append(measurement.value - limit.low)
    if limit.high is not None:
        margins.append(limit.high - measurement.value)
    margin = min(margins)
    if margin >= measurement.uncertainty:
        return "pass"
    return "fail" if margin < -measurement.uncertainty else "refer"


def judge(observation: Observation, document: Document) -> Judgement:
    """Return the verdict of `document`'s rules on what was seen in a still."""
    if observation.points is None:
        return Judgement(document.id, observation, None, ())
    plan = plan_crop(observation.points, document, observation.width_px, observation.height_px)
    findings = [*_geometry(plan.measurements, document), *_capture(observation.measurements, document)]
    colour = background_colour(observation.measurements, document.background.colours)
    findings.append(_finding(colour, Range(None, 0.0), document.background.source))
    return Judgement(document.id, observation, plan, tuple(findings))


def background_colour(measurements: Mapping[str, Measurement], regions: tuple[ColourRegion, ...]) -> Measurement:
    """Return how far the background lies outside the nearest colour region, in CIELAB units; negative inside."""
    lab = [measurements.get(f"background_{axis}") for axis in ("lightness", "a", "b")]
    values = [axis.value for axis in lab if axis is not None and axis.value is not None]
    if len(values) != len(lab):
        return Measurement("background_colour", None, "dE")
    uncertainty = max(axis.uncertainty for axis in lab if axis is not None)
    outside = min(
        max(
            max(low - value, value - high)
            for value, (low, high) in zip(values, (region.lightness, region.a, region.b), strict=True)
        )
        for region in regions
    )
    return Measurement("background_colour", outside, "dE", uncertainty)


def _finding(measurement: Measurement, limit: Range, source: tuple[str, ...]) -> Finding:
    return Finding(measurement, limit, word_for(measurement, limit), "; ".join(source))


def _geometry(measured: Mapping[str, Measurement], document: Document) -> list[Finding]:
    """Judge the frame: sizes on the print, its place in the picture, and its pixels."""
    findings = [_finding(measured["head_size"], document.head_height_mm, document.head_height.source)]
    for name in ("eye_line", "margin_above", "margin_below"):
        rule, limit_mm = getattr(document, name), getattr(document, f"{name}_mm")
        if rule is not None:
            findings.append(_finding(measured[name], limit_mm, rule.source))
    centre_source = ("ISO/IEC 19794-5:2011 full frontal, Mh (from memory)",)
    findings.append(_finding(measured["face_centre"], PRACTICE_FACE_CENTRE, centre_source))
    findings.append(
        _finding(measured["frame_room"], Range(0.0, None), ("practice: no pixel is invented beyond the picture",))
    )
    findings.append(_finding(measured["resolution"], document.resolution.range, document.resolution.source))
    return findings


def _capture(measured: Mapping[str, Measurement], document: Document) -> list[Finding]:
    """Judge pose, eyes, mouth, light and the rest against the limits of capture."""
    findings = []
    for name, limit in document.capture.items():
        measurement = measured.get(name, Measurement(name, None, limit.unit))
        if measurement.unit != limit.unit:
            raise ValueError(f"{name} is measured in {measurement.unit} but limited in {limit.unit}")
        if limit.if_known and measurement.value is None:
            continue
        finding = _finding(measurement, limit.range, limit.source)
        findings.append(replace(finding, word="refer") if limit.by_eye and finding.word == "fail" else finding)
    return findings
