"""Judge a picture by a document's rules: pass, fail, or refer where a value is too near its limit to call.

Each limit's decision rule says how near is too near (`kiosk.core.base.decision`). Rules that no measurement covers are
always listed as advice, which does not affect the verdict.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from kiosk.core.base.decision import DEFAULT, Decision, Tolerance, Word, after_consequence
from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.document.background import ColourRegion
from kiosk.core.document.document import Document
from kiosk.core.document.limits import CaptureLimit
from kiosk.core.judging.crop import PRACTICE_FACE_CENTRE, CropPlan, plan_crop

Verdict = Literal["pass", "fail", "refer", "unmeasurable"]

FRAME: Decision = "guarded_rejection"
"""The decision rule for the frame and for the backdrop's colour. The crop already aims at the middle of the authority's
limits, and the authority's own template sees no more of a crown under hair; a guard band inside the limits would refer
photos that no retake improves."""

SPECTACLES = Tolerance(Range(None, 0.5), "guarded")
"""The limit on the probability that spectacles are worn, where a document bans them. It is guarded on both sides,
because a wrong pass costs the sitter the whole application."""


@dataclass(frozen=True, slots=True)
class Assessment:
    """The outcome of one requirement: the measurement, its limit and decision rule, and the resulting word.

    `asked` quotes the rule where it has no limit in numbers.
    """

    measurement: Measurement
    limit: Range
    word: Word
    source: str
    decision: Decision = DEFAULT
    asked: str = ""


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict on one picture, with everything it rests on."""

    document_id: str
    observation: Observation
    plan: CropPlan | None
    findings: tuple[Assessment, ...]

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
        """The names of the measurements that did not pass, failures first."""
        order: tuple[Word, ...] = ("fail", "refer", "unmeasured")
        return tuple(f.measurement.name for word in order for f in self.findings if f.word == word)


def word_for(measurement: Measurement, limit: Range, decision: Decision = DEFAULT) -> Word:
    """Return the outcome of one measurement before its requirement's consequence is applied."""
    return Tolerance(limit, decision).word(measurement)


def word_of(measurement: Measurement, limit: CaptureLimit) -> Word:
    """Return the outcome of one measurement against a capture limit, as the verdict counts it."""
    return after_consequence(limit.tolerance.word(measurement), limit.consequence)


def judge(observation: Observation, document: Document) -> Judgement:
    """Judge a still's observation by the rules of `document`."""
    if observation.points is None:
        return Judgement(document.id, observation, None, ())
    plan = plan_crop(observation.points, document, observation.width_px, observation.height_px)
    findings = [*_geometry(plan.measurements, document), *_capture(observation.measurements, document)]
    colour = background_colour(observation.measurements, document.background.colours)
    findings.append(_finding(colour, Range(None, 0.0), document.background.source))
    findings += [*_spectacles(observation.measurements, document), *_advice(document)]
    return Judgement(document.id, observation, plan, tuple(findings))


def background_colour(measurements: Mapping[str, Measurement], regions: tuple[ColourRegion, ...]) -> Measurement:
    """Return the background's distance outside the nearest colour region, in CIELAB units; negative inside."""
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


def _finding(measurement: Measurement, limit: Range, source: tuple[str, ...]) -> Assessment:
    return Assessment(measurement, limit, word_for(measurement, limit, FRAME), "; ".join(source), FRAME)


def _geometry(measured: Mapping[str, Measurement], document: Document) -> list[Assessment]:
    """Judge the frame: the head's size and position on the print, the room around the frame, and its resolution."""
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


def _capture(measured: Mapping[str, Measurement], document: Document) -> list[Assessment]:
    """Judge pose, eyes, mouth, lighting and the rest against the capture limits.

    Raises
    ------
    ValueError
        A limit is given in another unit than its measurement.
    """
    findings = []
    for name, limit in document.capture.items():
        measurement = measured.get(name, Measurement(name, None, limit.unit))
        if measurement.unit != limit.unit:
            raise ValueError(f"{name} is measured in {measurement.unit} but limited in {limit.unit}")
        if limit.if_known and measurement.value is None:
            continue
        word, source = word_of(measurement, limit), "; ".join(limit.source)
        findings.append(Assessment(measurement, limit.range, word, source, limit.decision))
    return findings


def _spectacles(measured: Mapping[str, Measurement], document: Document) -> Iterator[Assessment]:
    """Judge whether spectacles are worn, where they are banned."""
    rule = document.spectacles
    if rule is not None and not rule.allowed:
        worn = measured.get("spectacles", Measurement("spectacles", None, "ratio"))
        word, source = SPECTACLES.word(worn), "; ".join(rule.source)
        yield Assessment(worn, SPECTACLES.range, word, source, SPECTACLES.decision)


def _advice(document: Document) -> Iterator[Assessment]:
    """Yield the rules about the picture that no measurement covers."""
    if document.head_width is not None:
        width_mm = document.head_width.range_mm(document.frame_mm)
        source = "; ".join(document.head_width.source)
        yield Assessment(Measurement("head_width", None, "mm"), width_mm, "advise", source)
    for name, rule in document.statements.items():
        if rule.by_eye:
            unknown = Measurement(name, None, "")
            yield Assessment(unknown, Range(None, None), "advise", "; ".join(rule.source), asked=rule.text)
