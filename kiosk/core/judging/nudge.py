"""A nudge by hand: the planned frame, moved or resized by whoever lays a template on the photo."""

from __future__ import annotations

from dataclasses import dataclass, replace

from kiosk.core.base.geometry import Rect
from kiosk.core.base.measurement import Observation
from kiosk.core.document.document import Document
from kiosk.core.judging.crop import CropPlan, plan_in_frame

SIDES = ("on the left", "at the top", "on the right", "at the bottom")
"""The sides of a picture, in the order of `lacking_mm`."""


@dataclass(frozen=True, slots=True)
class FrameShift:
    """What to change about a planned frame, in millimetres of the print.

    Attributes
    ----------
    up_mm, left_mm
        How far the head moves up and to the left on the print; negative values move it down and to the right.
    head_mm
        The height of the head on the print, or None for the planned one; the eyes then stay where they are.
    """

    up_mm: float = 0.0
    left_mm: float = 0.0
    head_mm: float | None = None


def nudged(plan: CropPlan, observation: Observation, document: Document, nudge: FrameShift) -> CropPlan:
    """Return a plan whose frame is resized about the eyes first, and then moved.

    Parameters
    ----------
    plan
        The frame as planned for the observation.
    observation
        What was seen, with its points.
    document
        The rules of the plan.
    nudge
        What to change; a `head_mm` must be above zero.
    """
    points = observation.points
    if points is None or nudge == FrameShift():
        return plan
    rect, scale = plan.rect_px, plan.mm_per_px
    if nudge.head_mm is not None:
        shrink = nudge.head_mm / (plan.measurements["head_size"].value or nudge.head_mm)
        eyes, scale = points.eye_centre, scale * shrink
        left, top = eyes.x - (eyes.x - rect.x) / shrink, eyes.y - (eyes.y - rect.y) / shrink
        rect = Rect(left, top, rect.width / shrink, rect.height / shrink)
    rect = replace(rect, x=rect.x + nudge.left_mm / scale, y=rect.y + nudge.up_mm / scale)
    return plan_in_frame(points, document, rect, scale, observation.width_px, observation.height_px)


def lacking_mm(plan: CropPlan, width_px: int, height_px: int) -> tuple[float, ...]:
    """Return by how many mm of the print the frame reaches outside a picture: left, top, right, bottom; 0 inside."""
    rect = plan.rect_px
    beyond_px = (-rect.x, -rect.y, rect.right - width_px, rect.bottom - height_px)
    return tuple(max(0.0, round(px * plan.mm_per_px, 6)) for px in beyond_px)


def lacking_words(plan: CropPlan, document: Document, width_px: int, height_px: int) -> str:
    """Return which sides of a picture lack how much, or an empty string where the frame lies inside it.

    The lengths are millimetres of the print or, for a file to upload, pixels of the picture.
    """
    lacking = zip(lacking_mm(plan, width_px, height_px), SIDES, strict=True)
    parts = [f"{_length(mm, plan, document)} {side}" for mm, side in lacking if mm > 0]
    if not parts:
        return ""
    *before, last = parts
    return f"the picture lacks {' and '.join(filter(None, (', '.join(before), last)))}"


def _length(length_mm: float, plan: CropPlan, document: Document) -> str:
    if document.size is None:
        return f"{max(length_mm / plan.mm_per_px, 1.0):.0f} px"
    return f"{max(length_mm, 0.1):.1f} mm"
