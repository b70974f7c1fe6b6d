"""Judge a picture by a document's rules: pass, fail, or refer where a value is too near its limit to call.

Each limit's decision rule says how near is too near (`kiosk.core.base.decision`). Rules that no measurement covers are
always listed as advice, which does not affect the verdict. What a document does not state is not judged: silence is
neither a permission nor a ban.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from kiosk.core.base.decision import DEFAULT, Decision, Tolerance, Word, after_consequence
from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.document.background import ColourRegion
from kiosk.core.document.document import Document
from kiosk.core.document.limits import CaptureLimit, Length
from kiosk.core.judging.crop import PRACTICE_FACE_CENTRE, CropPlan, plan_crop
from kiosk.core.judging.nudge import FrameShift, nudged

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


def judge(observation: Observation, document: Document, nudge: FrameShift | None = None) -> Judgement:
    """Judge a still's observation by the rules of `document`, in the planned frame or in a nudged one."""
    if observation.points is None:
        return Judgement(document.id, observation, None, ())
    width = observation.measurements.get("head_width")
    plan = plan_crop(
        observation.points,
        document,
        observation.width_px,
        observation.height_px,
        None if width is None else width.value,
    )
    if nudge is not None:
        plan = nudged(plan, observation, document, nudge)
    findings = [*_geometry(plan.measurements, document), *_head_width(observation.measurements, plan, document)]
    if nudge not in (None, FrameShift()):
        findings += _whole_head(plan, document)
    findings += _capture(observation.measurements, document)
    colour = background_colour(observation.measurements, document.backdrop_colours)
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
    """Judge the frame: sizes on the print, its place in the picture, and its pixels."""
    findings = [_length(measured["head_size"], document.head_height, document)]
    if document.eyes_from_top is not None and document.eye_line_mm is not None:
        findings.append(_finding(measured["eye_line"], document.eye_line_mm, document.eyes_from_top.source))
    elif document.eye_line is not None:
        findings.append(_length(measured["eye_line"], document.eye_line, document))
    for name in ("margin_above", "margin_below", "chin_to_eyes", "eye_distance"):
        rule: Length | None = getattr(document, name)
        if rule is not None:
            findings.append(_length(measured[name], rule, document))
    centre = document.face_centre
    centre_source = ("ISO/IEC 19794-5:2011 full frontal, Mh (from memory)",) if centre is None else centre.source
    place = document.face_centre_share or PRACTICE_FACE_CENTRE
    findings.append(_finding(measured["face_centre"], place, centre_source))
    findings.append(
        _finding(measured["frame_room"], Range(0.0, None), ("practice: no pixel is invented beyond the picture",))
    )
    findings.append(_finding(measured["resolution"], document.resolution.range, document.resolution.source))
    return findings


def _whole_head(plan: CropPlan, document: Document) -> Iterator[Assessment]:
    """Judge whether a frame that was moved by hand still holds the head, where the document sets no limit itself."""
    for name in ("margin_above", "margin_below"):
        if getattr(document, name) is None:
            yield _finding(plan.measurements[name], Range(0.0, None), ("practice: the whole head is shown",))


def _length(measurement: Measurement, rule: Length, document: Document) -> Assessment:
    """Judge a length; what lies outside but is not yet refused goes to a person."""
    found = _finding(measurement, rule.range_mm(document.frame_mm), rule.source)
    spared = found.word == "fail" and word_for(measurement, rule.kept_mm(document.frame_mm), FRAME) != "fail"
    return replace(found, word="refer") if spared else found


def _head_width(measured: Mapping[str, Measurement], plan: CropPlan, document: Document) -> Iterator[Assessment]:
    """Judge the head's width on the photo; no photo is refused for it, and none where nothing was measured."""
    if document.head_width is None:
        return
    seen = measured.get("head_width", Measurement("head_width", None, "px"))
    width_mm = None if seen.value is None else seen.value * plan.mm_per_px
    found = Measurement("head_width", width_mm, "mm", seen.uncertainty * plan.mm_per_px)
    judged = _length(found, document.head_width, document)
    yield replace(judged, word="advise" if width_mm is None else after_consequence(judged.word, "refer"))


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
        of_document = document.covering if name == "no_head_coverings" else None
        word, source = word_of(measurement, limit), "; ".join((of_document or limit).source)
        findings.append(Assessment(measurement, limit.range, word, source, limit.decision))
    return findings


def _spectacles(measured: Mapping[str, Measurement], document: Document) -> Iterator[Assessment]:
    """Judge whether spectacles are worn, where they are banned; advise where they are better taken off."""
    rule = document.spectacles
    if rule is not None and (rule.better_off or not rule.allowed):
        worn = measured.get("spectacles", Measurement("spectacles", None, "ratio"))
        word = after_consequence(SPECTACLES.word(worn), "advise" if rule.allowed else "refuse")
        yield Assessment(worn, SPECTACLES.range, word, "; ".join(rule.source), SPECTACLES.decision)


def _advice(document: Document) -> Iterator[Assessment]:
    """Yield the rules about the picture that no measurement covers."""
    if document.visible is not None:
        unseen, rule_seen = Measurement("visibility", None, ""), document.visible
        yield Assessment(unseen, Range(None, None), "advise", "; ".join(rule_seen.source), asked=rule_seen.text)
    for name, rule in document.statements.items():
        if rule.by_eye:
            unknown = Measurement(name, None, "")
            yield Assessment(unknown, Range(None, None), "advise", "; ".join(rule.source), asked=rule.text)
