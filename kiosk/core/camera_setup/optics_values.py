"""The values of a booth's plan in words, each with the source of its number or of its formula."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kiosk.core.base.geometry import Range, Size
from kiosk.core.camera_setup.optics import EARS_MM, NOSE_MM, PRINT_DPI, nose_growth
from kiosk.core.camera_setup.optics_plan import (
    ABOVE_DEG,
    ASIDE_DEG,
    EYES_ABOVE_SEAT,
    FIXED_SEAT_MM,
    HEAD_MM,
    LEAN_MM,
    LENS_HIGH_MM,
    SOFT_BOX,
    BoothPlan,
)

CAUTIONS = (
    "Everything on the mains, and every fixing overhead, is done by a licensed electrician or fitter under the local "
    "authority's codes. Fire safety, escape routes and access are the local authority's to approve.",
    "Weight or bolt each stand, lay cables where nobody walks, keep lamps away from cloth, paper and children's hands.",
    "Flashing light can trigger seizures in people with photosensitive epilepsy; prefer continuous light.",
    "Measured from the lens's front principal plane: set the camera by the head's size on the screen, not by the tape.",
    "The issuing authority decides whether a photo is accepted.",
)


@dataclass(frozen=True, slots=True)
class PlanValue:
    """One value of the plan: what it is, how much, and from where it is known."""

    name: str
    value: str
    source: str


def values_of(plan: BoothPlan) -> Iterator[PlanValue]:
    """Yield the values of a plan in the order in which a booth is built."""
    yield from _lens(plan)
    yield from _light(plan)
    yield from _places(plan)


def _lens(plan: BoothPlan) -> Iterator[PlanValue]:
    camera, portrait, lens = plan.camera, plan.portrait, plan.lens
    yield PlanValue("sensor, as mounted", _area(camera.sensor_mm, 1), "the maker's data, as given on the command line")
    yield PlanValue("room, depth x width", _area(plan.room), "as given on the command line")
    yield PlanValue("focal length", f"{lens.focal_mm:g} mm", "thin lens, f = s d / (F + s)")
    yield PlanValue(
        "lens to eyes",
        _mm(plan.to_eyes_mm),
        "US State Department: from 1.2 m; ICAO Portrait Quality: to 2.5 m *",
    )
    yield PlanValue(
        "nose larger than the eyes by",
        f"{100 * nose_growth(plan.to_eyes_mm):.1f} %",
        f"d / (d - n) - 1, nose n = {NOSE_MM:g} mm before the eyes *",
    )
    yield PlanValue("picture at the eyes", _area(plan.at_eyes), "thin lens, F = s (d - f) / f")
    heads = portrait.heads.scaled(100)
    yield PlanValue(
        "head in the picture's height",
        f"{100 * plan.head_share:.0f} % ({heads.low:.0f} to {heads.high:.0f} %)",
        f"{portrait.name}; head of {HEAD_MM:g} mm, ANSUR 1988 *",
    )
    yield PlanValue(
        "pixels on the head",
        f"{plan.head_share * camera.still_px.height:.0f} px",
        f"still of {camera.still_px.width:.0f} x {camera.still_px.height:.0f} px",
    )
    yield PlanValue(
        "print",
        f"{plan.print_dpi:.0f} px per inch ({portrait.needed_dpi:.0f} needed)",
        f"{portrait.name}, frame of {portrait.frame_mm:g} mm",
    )
    yield PlanValue("aperture", f"f/{lens.f_number:g}", "the widest of f/5.6 to f/11 that is sharp from nose to ears")
    sharp = plan.sharp
    behind = "no end" if sharp.high is None else f"{sharp.high - plan.to_eyes_mm:.0f} mm behind"
    yield PlanValue(
        "sharp around the eyes",
        f"{plan.to_eyes_mm - (sharp.low or 0.0):.0f} mm before, {behind}",
        f"H = f²/(N c) + f; c is a dot at {PRINT_DPI:g} px per inch; nose {NOSE_MM:g}, ears {EARS_MM:g} mm *",
    )


def _light(plan: BoothPlan) -> Iterator[PlanValue]:
    yield PlanValue("front lamps", f"two, {ASIDE_DEG:g}° aside, {ABOVE_DEG:g}° above the eyes", "practice")
    yield PlanValue("their soft boxes", f"{SOFT_BOX.width:g} mm wide or more", "practice")
    yield PlanValue("face to front lamp, on the floor", _mm(plan.lamp_mm), "1300 mm or what the width allows; practice")
    yield PlanValue("front lamp above the floor", _mm(plan.lamp_high_mm), "eyes + distance x tan 35°")
    yield PlanValue(
        f"light when leaning {LEAN_MM:g} mm forward",
        f"+{plan.lean_stops:.2f} stops",
        "inverse square law; 1/3 is let pass",
    )
    yield PlanValue("eyes to backdrop", _mm(plan.to_backdrop_mm), "800 mm, or what the depth allows; practice")
    yield PlanValue(
        "head's shadow beside the axis",
        f"{plan.shadow_aside_mm:.0f} mm (picture ends at {plan.at_backdrop.width / 2:.0f} mm)",
        "distance x tan 45°",
    )
    yield PlanValue("picture at the backdrop", _area(plan.at_backdrop), "thin lens, F = s (d - f) / f")
    yield PlanValue("backdrop, width x height at least", _area(plan.backdrop_mm), "and 250 mm on each side; practice")
    if plan.has_backdrop_lamps:
        place = f"{plan.backdrop_lamp_mm:.0f} mm before it and aside, at 45°"
        yield PlanValue("lamps of the backdrop", f"two, {place}", "outside the picture, aimed at its middle; practice")
    else:
        yield PlanValue("lamps of the backdrop", "none: no room; the front lamps light it", "practice")


def _places(plan: BoothPlan) -> Iterator[PlanValue]:
    yield PlanValue("lens above the floor", _mm(LENS_HIGH_MM), "at the sitter's eyes")
    yield PlanValue(
        "seat that is set to the sitter",
        _span(plan.seats_mm),
        "eyes above the seat 698 to 860 mm: women's 5th to men's 95th percentile, ANSUR II",
    )
    lens = Range(FIXED_SEAT_MM + (EYES_ABOVE_SEAT.low or 0.0), FIXED_SEAT_MM + (EYES_ABOVE_SEAT.high or 0.0))
    yield PlanValue(
        f"or lens above a seat of {FIXED_SEAT_MM:g} mm",
        _span(lens),
        "the same; children and wheelchairs differ",
    )


def _mm(length_mm: float) -> str:
    return f"{length_mm:.0f} mm"


def _area(size: Size, digits: int = 0) -> str:
    return f"{size.width:.{digits}f} x {size.height:.{digits}f} mm"


def _span(lengths: Range) -> str:
    return f"{lengths.low:.0f} to {lengths.high:.0f} mm"
