"""Does the picture meet the document's rules? Pass, fail, or refer where the number is too near its limit to say.

How near is too near is each limit's own rule of decision (`kiosk.core.base.decision`). What a document asks of the
picture and no measurement looks at is told as advice, which counts for nothing but is never kept silent.
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
"""Of the frame and of the backdrop's colour: the crop is planned towards the middle of the authority's millimetres, and
its own template knows no more of a crown under hair; a guard band inside would refer what no retake makes better."""

SPECTACLES = Tolerance(Range(None, 0.5), "guarded")
"""The chance that spectacles are worn, where a document bans them: more likely than not is too much. A wrong pass costs
the sitter the whole application, so that both sides are guarded."""


@dataclass(frozen=True, slots=True)
class Assessment:
    """One requirement: what was measured, what is asked and by which rule of decision, and the word.

    `asked` is the rule in words, where there is no limit in numbers.
    """

    measurement: Measurement
    limit: Range
    word: Word
    source: str
    decision: Decision = DEFAULT
    asked: str = ""


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict on one picture, with all it rests on."""

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
        """Names of what did not pass, failures first."""
        order: tuple[Word, ...] = ("fail", "refer", "unmeasured")
        return tuple(f.measurement.name for word in order for f in self.findings if f.word == word)


def word_for(measurement: Measurement, limit: Range, decision: Decision = DEFAULT) -> Word:
    """Return the word for one number against its limits, before what its requirement can lead to."""
    return Tolerance(limit, decision).word(measurement)


def word_of(measurement: Measurement, limit: CaptureLimit) -> Word:
    """Return the word for one number against a limit of capture, as the verdict counts it."""
    return after_consequence(limit.tolerance.word(measurement), limit.consequence)


def judge(observation: Observation, document: Document) -> Judgement:
    """Return the verdict of `document`'s rules on what was seen in a still."""
    if observation.points is None:
        return Judgement(document.id, observation, None, ())
    plan = plan_crop(observation.points, document, observation.width_px, observation.height_px)
    findings = [*_geometry(plan.measurements, document), *_capture(observation.measurements, document)]
    colour = background_colour(observation.measurements, document.background.colours)
    findings.append(_finding(colour, Range(None, 0.0), document.background.source))
    findings += [*_spectacles(observation.measurements, document), *_not_looked_at(document)]
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


def _finding(measurement: Measurement, limit: Range, source: tuple[str, ...]) -> Assessment:
    return Assessment(measurement, limit, word_for(measurement, limit, FRAME), "; ".join(source), FRAME)


def _geometry(measured: Mapping[str, Measurement], document: Document) -> list[Assessment]:
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


def _capture(measured: Mapping[str, Measurement], document: Document) -> list[Assessment]:
    """Judge pose, eyes, mouth, light and the rest against the limits of capture."""
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


def _not_looked_at(document: Document) -> Iterator[Assessment]:
    """Tell what the document asks of the picture and no measurement looks at."""
    if document.head_width is not None:
        width_mm = document.head_width.range_mm(document.frame_mm)
        source = "; ".join(document.head_width.source)
        yield Assessment(Measurement("head_width", None, "mm"), width_mm, "advise", source)
    for name, rule in document.statements.items():
        if rule.by_eye:
            unknown = Measurement(name, None, "")
            yield Assessment(unknown, Range(None, None), "advise", "; ".join(rule.source), asked=rule.text)
