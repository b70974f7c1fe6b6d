"""A booth planned for a room: the lens that comes nearest to the usual distance, and lamps that the room has width for.

What the room lacks is a value too, with the lens that needs the least of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from kiosk.core.base.geometry import Range, Size
from kiosk.core.camera_setup.exposure import APERTURE_RANGE
from kiosk.core.camera_setup.optics import (
    EARS_MM,
    NOSE_MM,
    Camera,
    Lens,
    distance_mm,
    field_mm,
    focal_length_mm,
    largest_blur_mm,
    sharp_mm,
)
from kiosk.core.camera_setup.optics_plan import (
    ASIDE_DEG,
    HEAD_MM,
    HEAD_WIDTH_MM,
    SOFT_BOX,
    BoothPlan,
    Portrait,
    TooSmall,
)
from kiosk.core.document.document import Document
from kiosk.core.judging.framing import framing

DISTANCES = Range(1200.0, 2500.0)
"""From the lens to the eyes: 1.2 m as the US State Department's guide for photographers says, up to the 2.5 m of ICAO's
Portrait Quality report (from memory, as are its 1.0 m at the least, and 0.7 m in a kiosk)."""
USUAL_MM = 1500.0
"""The distance aimed at: the nose is drawn 3.4 % larger than the eyes (computed), and the body is out of reach."""
BEHIND_LENS_MM = 300.0
"""Room for the body behind the lens, its cable and a hand (practice)."""
BACKDROP_MM = 800.0
"""From the eyes to the backdrop: blurs its folds, and keeps the front lamps' light on it even (practice)."""
FOCAL_LENGTHS = (16.0, 20.0, 24.0, 28.0, 35.0, 40.0, 50.0, 60.0, 70.0, 85.0, 100.0, 135.0)
"""Of fixed lenses that are sold for most bodies, in mm (from memory)."""
F_NUMBERS = (5.6, 6.3, 7.1, 8.0, 9.0, 10.0, 11.0)
"""Thirds of a stop within `APERTURE_RANGE`."""
LAMP_MM, LEAST_LAMP_MM = 1300.0, 700.0
"""From the face to each lamp along the floor (practice), and the least: a sitter who leans 100 mm forward then changes
its light by less than a third of a stop (computed, inverse square law)."""
SIZE_WEIGHT = 3.0
"""How much more a head of the wrong size counts than an unusual distance (this project's own choice)."""


def portrait_of(document: Document, still_px: Size) -> Portrait:
    """Return what a document asks of a picture with so many pixels."""
    where = framing(document, round(still_px.width), round(still_px.height))
    return Portrait(document.id, where.head, where.crop.height, document.frame_mm.height, document.needed_dpi)


def least_backdrop_mm(at_eyes_mm: float, to_eyes_mm: float) -> float:
    """Return the least distance from eyes to backdrop at which both shadows of the head fall beside the picture.

    A front lamp throws the shadow aside by the tangent of its angle; it has to clear half of what the lens sees of the
    backdrop, which grows with the distance, and half a head.
    """
    aside = math.tan(math.radians(ASIDE_DEG))
    return (at_eyes_mm / 2 + HEAD_WIDTH_MM / 2) / (aside - at_eyes_mm / (2 * to_eyes_mm))


def plan_booth(
    room: Size, camera: Camera, portrait: Portrait, focal_lengths: Sequence[float] = FOCAL_LENGTHS
) -> BoothPlan | TooSmall:
    """Return a booth's geometry with the lens that comes nearest to the usual distance, or what the room lacks.

    Parameters
    ----------
    room
        Depth along the axis of the lens, and width.
    camera
        The body as it is mounted.
    portrait
        What the document asks of the picture.
    focal_lengths
        Of the lenses that may be used, in mm.
    """
    lamp_mm = min(LAMP_MM, _widest_lamp_mm(room.height))
    fits = list(_fits(room.width, camera, portrait, focal_lengths)) if lamp_mm >= LEAST_LAMP_MM else []
    if not fits:
        return _lacking(room, camera, portrait)
    _, focal, to_eyes = min(fits)
    at_eyes = _field(camera, focal, to_eyes)
    to_backdrop = min(BACKDROP_MM, room.width - to_eyes - BEHIND_LENS_MM)
    lens = Lens(focal, _f_number(camera, portrait, focal, to_eyes))
    return BoothPlan(
        room=room,
        camera=camera,
        portrait=portrait,
        lens=lens,
        to_eyes_mm=to_eyes,
        to_backdrop_mm=to_backdrop,
        at_eyes=at_eyes,
        at_backdrop=_field(camera, focal, to_eyes + to_backdrop),
        sharp=sharp_mm(lens, to_eyes, _blur_mm(camera, portrait)),
        lamp_mm=lamp_mm,
    )


def _field(camera: Camera, focal: float, distance: float) -> Size:
    sensor = camera.sensor_mm
    return Size(field_mm(sensor.width, focal, distance), field_mm(sensor.height, focal, distance))


def _best_mm(camera: Camera, portrait: Portrait, focal: float) -> float:
    """Return the distance at which the head has its middle size."""
    return distance_mm(camera.sensor_mm.height, focal, HEAD_MM / portrait.heads.middle)


def _distances(camera: Camera, portrait: Portrait, focal: float) -> Range:
    """Return the distances at which the head has a size that the document takes, without distortion; may be empty."""
    near, far = (
        distance_mm(camera.sensor_mm.height, focal, HEAD_MM / share)
        for share in (portrait.heads.high or 1.0, portrait.heads.low or 1.0)
    )
    return Range(near, far).intersection(DISTANCES)


def _depth_mm(camera: Camera, focal: float, to_eyes: float) -> float:
    """Return the least depth of a room for a lens at a distance."""
    return to_eyes + least_backdrop_mm(_field(camera, focal, to_eyes).width, to_eyes) + BEHIND_LENS_MM


def _fits(
    depth_mm: float, camera: Camera, portrait: Portrait, focal_lengths: Sequence[float]
) -> Iterator[tuple[float, float, float]]:
    """Yield the lenses that do in a room: how far each is from the ideal, its focal length and its distance."""
    for focal in focal_lengths:
        distances = _distances(camera, portrait, focal)
        if distances.is_empty:
            continue
        low, high = distances.low or 0.0, distances.high or 0.0
        best = _best_mm(camera, portrait, focal)
        roomy = depth_mm - BACKDROP_MM - BEHIND_LENS_MM
        to_eyes = max(low, min(best, high, roomy))
        if _depth_mm(camera, focal, to_eyes) <= depth_mm:
            cost = abs(math.log(to_eyes / USUAL_MM)) + SIZE_WEIGHT * abs(math.log(to_eyes / best))
            yield cost, focal, to_eyes


def _lacking(room: Size, camera: Camera, portrait: Portrait) -> TooSmall:
    """Return what a room lacks, with the lens that needs the least depth, and others that would do in it."""
    width = 2 * _half_width_mm(LEAST_LAMP_MM)
    lenses = _lenses(camera, portrait)
    nearest = {lens: _distances(camera, portrait, lens).low or 0.0 for lens in lenses}
    depth, focal = min((_depth_mm(camera, lens, to_eyes), lens) for lens, to_eyes in nearest.items())
    others = tuple(fit[1] for fit in sorted(_fits(room.width, camera, portrait, lenses)))
    return TooSmall(depth, width, focal, others if room.height >= width else ())


def _lenses(camera: Camera, portrait: Portrait) -> tuple[float, ...]:
    """Return the usual lenses that show the head in its size; if there are none, the one for the usual distance."""
    usual = tuple(focal for focal in FOCAL_LENGTHS if not _distances(camera, portrait, focal).is_empty)
    exact = focal_length_mm(camera.sensor_mm.height, HEAD_MM / portrait.heads.middle, USUAL_MM)
    return usual or (round(exact, 1),)


def _half_width_mm(lamp_mm: float) -> float:
    """Return from the axis to the outer corner of a front lamp, which is turned towards the face."""
    aside = math.radians(ASIDE_DEG)
    return lamp_mm * math.sin(aside) + SOFT_BOX.width / 2 * math.cos(aside) + SOFT_BOX.height * math.sin(aside)


def _widest_lamp_mm(width_mm: float) -> float:
    """Return the largest distance of a front lamp in a room."""
    return (width_mm / 2 - _half_width_mm(0.0)) / math.sin(math.radians(ASIDE_DEG))


def _blur_mm(camera: Camera, portrait: Portrait) -> float:
    return largest_blur_mm(portrait.frame * camera.sensor_mm.height, portrait.frame_mm)


def _f_number(camera: Camera, portrait: Portrait, focal: float, to_eyes: float) -> float:
    """Return the widest aperture at which a face is sharp from the nose to the ears, or the narrowest there is."""
    blur = _blur_mm(camera, portrait)
    for number in F_NUMBERS:
        sharp = sharp_mm(Lens(focal, number), to_eyes, blur)
        if (sharp.low or 0.0) <= to_eyes - NOSE_MM and (sharp.high is None or sharp.high >= to_eyes + EARS_MM):
            return number
    return APERTURE_RANGE[1]
