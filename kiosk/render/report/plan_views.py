"""The two views of a booth's plan: from above and from the side, with what is built where."""

from __future__ import annotations

import math

from kiosk.core.camera_setup.optics import NOSE_MM
from kiosk.core.camera_setup.optics_plan import (
    ABOVE_DEG,
    ASIDE_DEG,
    EYES_ABOVE_SEAT,
    HEAD_LENGTH_MM,
    HEAD_MM,
    HEAD_WIDTH_MM,
    LENS_HIGH_MM,
    SOFT_BOX,
    BoothPlan,
)
from kiosk.render.drawing.canvas import Colour
from kiosk.render.drawing.chart import GREY
from kiosk.render.report.plan_shapes import LIGHT, SIGHT, THICK, THIN, USUAL, VIEW, ScaledView, turned_box

LAMP: Colour = (1.0, 0.93, 0.75)
CLOTH: Colour = (0.75, 0.75, 0.75)
ROOM_HIGH_MM = 2300.0
"""How much of the room's height is drawn; front lamps stay below it."""
_EYES_TO_MIDDLE = 70.0
"""From the eyes to the middle of the head, of the shoulders and of the seat, backwards (from memory)."""
_SHOULDERS = (110.0, 225.0)
"""Half the depth and half the breadth of shoulders (from memory)."""
_SEAT_RADIUS = 175.0
_THIGH, _SHIN = 430.0, 450.0
"""From the middle of the seat to the front of the knee, and from there to the sole (from memory)."""
_ROW = 170.0
"""Between two rows of dimensions, at 1:20."""


def from_above(view: ScaledView, plan: BoothPlan) -> None:
    """Draw the plan; y runs across the room from its axis."""
    depth, half = plan.room.width, plan.room.height / 2
    eyes, lens = plan.to_backdrop_mm, plan.to_backdrop_mm + plan.to_eyes_mm
    seen, behind, cloth = plan.at_eyes.width / 2, plan.at_backdrop.width / 2, plan.backdrop_mm.width / 2
    view.page.fill_polygon([view.at(*point) for point in ((lens, 0.0), (0.0, behind), (0.0, -behind))], VIEW)
    view.line([(0.0, -half), (depth, -half), (depth, half), (0.0, half), (0.0, -half), (1.0, -half)], THICK)
    view.shape([(0.0, -cloth), (50.0, -cloth), (50.0, cloth), (0.0, cloth)], CLOTH)
    view.dashed((-100.0, 0.0), (depth + 100.0, 0.0), THIN, GREY)
    for side in (-1, 1):
        view.line([(lens, 0.0), (0.0, side * behind)], THIN, SIGHT)
        _front_lamp(view, plan, side)
        if plan.has_backdrop_lamps:
            place = plan.backdrop_lamp_mm
            view.dashed((place, side * place), (0.0, 0.0), THIN, LIGHT)
            view.shape(turned_box((place, side * place), 200.0, 120.0, 180 + side * ASIDE_DEG), LAMP)
    middle = (eyes - _EYES_TO_MIDDLE, 0.0)
    view.ellipse(middle, *_SHOULDERS)
    view.shape([(eyes + 10.0, -18.0), (eyes + NOSE_MM, 0.0), (eyes + 10.0, 18.0)])
    view.ellipse(middle, HEAD_LENGTH_MM / 2, HEAD_WIDTH_MM / 2)
    view.line([(eyes, -seen), (eyes, seen)], 0.4, SIGHT)
    view.shape(_camera(lens, 0.0, 65.0))
    _written_above(view, plan)


def _front_lamp(view: ScaledView, plan: BoothPlan, side: int) -> None:
    """Draw one front lamp from above, with its light on the face and the head's shadow on the backdrop behind."""
    eyes = plan.to_backdrop_mm
    lamp = (eyes + plan.lamp_before_mm, side * plan.lamp_aside_mm)
    falls = min(1.0, plan.room.height / 2 / plan.shadow_aside_mm)
    view.dashed(lamp, (eyes, 0.0), THIN, LIGHT)
    view.dashed((eyes, 0.0), (eyes * (1 - falls), -side * falls * plan.shadow_aside_mm), THIN, LIGHT)
    view.shape(turned_box(lamp, SOFT_BOX.width, SOFT_BOX.height, 180 + side * ASIDE_DEG), LAMP)


def _written_above(view: ScaledView, plan: BoothPlan) -> None:
    depth, half, seen = plan.room.width, plan.room.height / 2, plan.at_eyes.width / 2
    eyes, lens = plan.to_backdrop_mm, plan.to_backdrop_mm + plan.to_eyes_mm
    lamp_x, lamp_y = eyes + plan.lamp_before_mm, plan.lamp_aside_mm
    for begin, end in ((0.0, eyes), (eyes, lens), (lens, depth)):
        view.across(begin, end, half + _ROW, half)
    view.across(0.0, depth, half + 2 * _ROW, half + _ROW)
    view.upright(-half, half, depth + _ROW, depth)
    view.upright(-plan.at_backdrop.width / 2, plan.at_backdrop.width / 2, -_ROW, 0.0)
    view.upright(-plan.backdrop_mm.width / 2, plan.backdrop_mm.width / 2, -2.4 * _ROW, 0.0)
    view.upright(0.0, lamp_y, lamp_x + 2.4 * _ROW)
    view.line([(lamp_x, lamp_y), (lamp_x + 2.4 * _ROW, lamp_y)], THIN, GREY)
    level = -(seen + lamp_y) / 2
    view.line([(lamp_x, -lamp_y), (lamp_x, level)], THIN, GREY)
    view.line([(eyes, -seen), (eyes, level)], THIN, GREY)
    view.across(eyes, lamp_x, level)
    view.words(f"picture {plan.at_eyes.width:.0f} wide", eyes + 60.0, seen + 90.0, "start", SIGHT)
    view.words("backdrop", 70.0, -plan.backdrop_mm.width / 2 - 70.0, "start")
    view.words("front lamp", lamp_x - 250.0, -lamp_y - 230.0, "end")
    view.words(f"{plan.lens.focal_mm:g} mm lens", lens, -150.0)
    if plan.has_backdrop_lamps:
        place = plan.backdrop_lamp_mm
        view.words(f"{place:.0f} from backdrop and axis", 70.0, place + 230.0, "start")


def from_the_side(view: ScaledView, plan: BoothPlan) -> None:
    """Draw the elevation; y is the height above the floor, negative because the page's y runs down."""
    depth, high = plan.room.width, -LENS_HIGH_MM
    eyes, lens = plan.to_backdrop_mm, plan.to_backdrop_mm + plan.to_eyes_mm
    seen, behind, cloth = plan.at_eyes.height / 2, plan.at_backdrop.height / 2, plan.backdrop_mm.height / 2
    beam = ((lens, high), (0.0, high + behind), (0.0, high - behind))
    view.page.fill_polygon([view.at(*point) for point in beam], VIEW)
    view.line([(0.0, -ROOM_HIGH_MM), (0.0, 0.0), (depth, 0.0), (depth, -ROOM_HIGH_MM)], THICK)
    view.shape([(0.0, high - cloth), (50.0, high - cloth), (50.0, high + cloth), (0.0, high + cloth)], CLOTH)
    for side in (-1, 1):
        view.line([(lens, high), (0.0, high + side * behind)], THIN, SIGHT)
    lamp = (eyes + plan.lamp_before_mm, -plan.lamp_high_mm)
    stand = lamp[0] + SOFT_BOX.height / 2
    view.line([(stand, lamp[1] - SOFT_BOX.height / 2), (stand, 0.0)], USUAL, GREY)
    view.line([(stand - 250.0, 0.0), (stand, -200.0), (stand + 250.0, 0.0)], USUAL, GREY)
    view.dashed((-100.0, high), (depth + 100.0, high), THIN, GREY)
    _sitter(view, plan)
    view.line([(eyes, high - seen), (eyes, high + seen)], 0.4, SIGHT)
    view.dashed(lamp, (eyes, high), THIN, LIGHT)
    slope = math.degrees(math.atan2(high - lamp[1], -plan.lamp_before_mm))
    view.shape(turned_box(lamp, SOFT_BOX.width, SOFT_BOX.height, slope), LAMP)
    for foot in (-250.0, 0.0, 250.0):
        view.line([(lens + 60.0, high + 65.0), (lens + 60.0 + foot, 0.0)], USUAL, GREY)
    view.shape(_camera(lens, high, 65.0))
    _written_beside(view, plan)


def _sitter(view: ScaledView, plan: BoothPlan) -> None:
    """Draw an adult of middle size on a seat, and the seat's highest and lowest place."""
    eyes, high = plan.to_backdrop_mm, -LENS_HIGH_MM
    middle, seat = eyes - _EYES_TO_MIDDLE, high + EYES_ABOVE_SEAT.middle
    back, front = middle - _SHOULDERS[0], middle + _SHOULDERS[0]
    knee, sole = middle + _THIGH, min(0.0, seat + _SHIN)
    neck = high + 0.4 * HEAD_MM
    shoulder = neck + 140.0
    legs = [(back, seat), (back, seat - 140.0), (knee, seat - 140.0), (knee, sole), (knee - 100.0, sole)]
    view.shape([*legs, (knee - 100.0, seat)])
    trunk = [(back, seat), (back, shoulder), (middle - 60.0, shoulder - 60.0), (middle - 60.0, neck)]
    view.shape([*trunk, (middle + 50.0, neck), (middle + 50.0, shoulder - 50.0), (front, shoulder), (front, seat)])
    view.shape([(eyes + 12.0, high + 5.0), (eyes + NOSE_MM, high + 48.0), (eyes + 12.0, high + 55.0)])
    view.ellipse((middle, high + 0.015 * HEAD_MM), HEAD_LENGTH_MM / 2, HEAD_MM / 2)
    left, right = middle - _SEAT_RADIUS, middle + _SEAT_RADIUS
    view.shape([(left, seat), (right, seat), (right, seat + 50.0), (left, seat + 50.0)], CLOTH)
    view.line([(middle, seat + 50.0), (middle, 0.0)], THICK)
    view.line([(left, 0.0), (right, 0.0)], 2 * THICK)
    for height in (plan.seats_mm.low or 0.0, plan.seats_mm.high or 0.0):
        view.dashed((left - 200.0, -height), (left, -height), THIN, GREY)


def _written_beside(view: ScaledView, plan: BoothPlan) -> None:
    depth, high = plan.room.width, -LENS_HIGH_MM
    eyes, lens = plan.to_backdrop_mm, plan.to_backdrop_mm + plan.to_eyes_mm
    for begin, end in ((0.0, eyes), (eyes, lens), (lens, depth)):
        view.across(begin, end, _ROW, 0.0)
    view.across(0.0, depth, 2 * _ROW, _ROW)
    seen, behind, cloth = plan.at_eyes.height / 2, plan.at_backdrop.height / 2, plan.backdrop_mm.height / 2
    view.upright(high - cloth, high + cloth, -2.4 * _ROW, 0.0)
    view.upright(high - behind, high + behind, -_ROW, 0.0)
    view.upright(0.0, high, depth + _ROW, depth)
    view.upright(0.0, -plan.lamp_high_mm, depth + 2.4 * _ROW, depth)
    seats, seat_left = plan.seats_mm, eyes - _EYES_TO_MIDDLE - _SEAT_RADIUS
    view.words(f"seat {seats.low:.0f}", seat_left - 220.0, -(seats.low or 0.0), "end", GREY)
    view.words(f"to {seats.high:.0f}", seat_left - 220.0, -(seats.high or 0.0), "end", GREY)
    place = (eyes + plan.lamp_before_mm, -plan.lamp_high_mm - 340.0)
    view.words(f"front lamp, {ABOVE_DEG:g}° above the eyes", *place)
    view.words(f"picture {plan.at_eyes.height:.0f} high", eyes + 60.0, high - seen - 60.0, "start", SIGHT)


def _camera(lens: float, y: float, half: float) -> list[tuple[float, float]]:
    """Return the outline of a body with its lens, whose front principal plane is at `lens`."""
    front, seam, rear, barrel = lens - 60.0, lens + 60.0, lens + 130.0, 0.6 * half
    upper = [(front, -barrel), (seam, -barrel), (seam, -half), (rear, -half)]
    return [(x, y + by) for x, by in (*upper, *((x, -by) for x, by in reversed(upper)))]
