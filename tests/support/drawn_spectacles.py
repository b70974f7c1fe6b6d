"""Spectacles drawn on bare faces: rims, tints and glare of known size, laid on at the mesh's eyes in linear light."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kiosk.vision.face.face_model import FaceShape
from kiosk.vision.face.upright_crop import eye_centres
from kiosk.vision.pictures.arrays import Rgb, linear_light

EYES_MM = 63.0
"""Mean distance between adult eyes (Dodgson 2004, from memory): lengths in mm are parts of it."""

DROP_MM, OUT_MM = 3.0, 1.0
"""How far the middle of a lens lies below and outwards of the eye's."""

HINGE_MM, BRIDGE_MM = 5.0, 3.0
"""Height of hinges and bridge above the middle of the lens."""

TEMPLES = (127, 356)
"""Where the mesh ends towards the ears, right and left: a temple is seen as far as there."""

REACH = (1.6, 0.9)
"""How far spectacles reach from the middle of the eyes across and up and down, in distances between the eyes."""

Plane = NDArray[np.float64]


@dataclass(frozen=True)
class Glare:
    """A patch of reflected light: an ellipse about a place seen from the middle of the lens, outwards and upwards."""

    out_mm: float = 0.0
    up_mm: float = 4.0
    width_mm: float = 18.0
    height_mm: float = 10.0
    opacity: float = 0.9
    colour: tuple[float, float, float] = (1.0, 1.0, 1.0)


@dataclass(frozen=True)
class Spectacles:
    """What to draw.

    Attributes
    ----------
    rim_mm
        Breadth of the rim, of the bridge and of the temples.
    colour
        Of the rim, linear light.
    width_mm, height_mm, squareness
        Of a lens: a superellipse with this exponent.
    half
        Leave the lower half of the rim away.
    rimless
        Draw bridge and temples only, and the edge of the lens as a faint line.
    light
        Share of the light, by channel, that the lens lets through.
    glares
        Patches on the lens of the right and of the left eye.
    soft_px
        Over which distance an edge runs out.
    """

    rim_mm: float = 1.0
    colour: tuple[float, float, float] = (0.02, 0.02, 0.02)
    width_mm: float = 50.0
    height_mm: float = 34.0
    squareness: float = 2.6
    half: bool = False
    rimless: bool = False
    light: tuple[float, float, float] = (1.0, 1.0, 1.0)
    glares: tuple[tuple[Glare, ...], tuple[Glare, ...]] = ((), ())
    soft_px: float = 1.0


EDGE_MM, EDGE_SHADE = 0.5, 0.25
"""Breadth of the bare edge of a rimless lens, and how much of it is seen."""


def worn(rgb: Rgb, shape: FaceShape, spectacles: Spectacles) -> Rgb:
    """Return the picture with the face wearing spectacles."""
    right, left = eye_centres(shape)
    across = float(np.linalg.norm(left - right))
    height, width = rgb.shape[:2]
    reach = np.multiply(REACH, across * shape.unit_px)
    x0, y0 = np.maximum(0, shape.origin_px - reach).astype(int)
    x1, y1 = np.minimum((width, height), shape.origin_px + reach).astype(int)
    places = np.stack(np.meshgrid(np.arange(x0, x1) + 0.5, np.arange(y0, y1) + 0.5), axis=-1)
    upright = shape.to_upright(places.reshape(-1, 2)).reshape(places.shape)
    turn = float(np.cos(np.radians(shape.raw_deg[0])))
    mm = across / EYES_MM * np.array((1.0, 1.0 / turn))
    px_mm = 1 / (across / EYES_MM * shape.unit_px)
    light = linear_light(rgb[y0:y1, x0:x1]).astype(float)
    for eye, centre in enumerate((right, left)):
        outwards = (-1.0, 1.0)[eye]
        x = outwards * (upright[..., 0] - centre[0]) / mm[0] - OUT_MM
        y = (upright[..., 1] - centre[1]) / mm[1] + DROP_MM
        ear = shape.to_upright(shape.landmarks_px[TEMPLES[eye], :2])
        end_mm = outwards * float(ear[0] - centre[0]) / mm[0] - OUT_MM
        _draw_side(light, x, y, spectacles, spectacles.glares[eye], px_mm, end_mm)
    done = rgb.copy()
    done[y0:y1, x0:x1] = _coded(light)
    return done


def _draw_side(
    light: Plane, x: Plane, y: Plane, what: Spectacles, glares: tuple[Glare, ...], px_mm: float, end_mm: float
) -> None:
    """Draw one lens with its rim, half of the bridge and its temple, in mm from the middle of the lens."""
    soft_mm = what.soft_px * px_mm
    edge = _beyond(x, y, what.width_mm / 2, what.height_mm / 2, what.squareness)
    lens = _share(-edge, soft_mm)
    light *= 1 - lens[..., None] * (1 - np.array(what.light))
    for glare in glares:
        inside = _beyond(x - glare.out_mm, y - glare.up_mm, glare.width_mm / 2, glare.height_mm / 2, 2.0)
        _lay(light, glare.opacity * lens * _share(-inside, soft_mm + 0.1 * glare.height_mm), glare.colour)
    if what.rimless:
        _lay(light, EDGE_SHADE * _share(EDGE_MM / 2 - np.abs(edge), soft_mm), what.colour)
    else:
        rim = _share(what.rim_mm / 2 - np.abs(edge - what.rim_mm / 2), soft_mm)
        _lay(light, rim * _share(y, 4.0) if what.half else rim, what.colour)
    middle = -(EYES_MM / 2 + OUT_MM)
    bridge = np.abs(y - BRIDGE_MM - 1.5 * (1 - ((x - middle) / 8) ** 2)) - what.rim_mm / 2
    _lay(light, _share(-bridge, soft_mm) * (edge > 0) * (y > 0) * (x < 0) * (x >= middle), what.colour)
    temple = np.abs(y - HINGE_MM) - max(what.rim_mm, 1.2) * 0.7
    _lay(light, _share(-temple, soft_mm) * (edge > 0) * (x > 0) * (x < end_mm), what.colour)


def _beyond(x: Plane, y: Plane, half_width: float, half_height: float, squareness: float) -> Plane:
    """Return about how far places lie outside a superellipse, below 0 inside."""
    u, v = np.abs(x) / half_width, np.abs(y) / half_height
    size = np.maximum((u**squareness + v**squareness) ** (1 / squareness), 1e-6)
    slope_x = (u / size) ** (squareness - 1) / half_width
    slope_y = (v / size) ** (squareness - 1) / half_height
    return np.asarray((size - 1) / np.maximum(np.hypot(slope_x, slope_y), 1e-6))


def _share(inwards_mm: Plane, soft_mm: float) -> Plane:
    """Return how much of a place is covered that lies so far inside an edge."""
    return np.asarray(np.clip(0.5 + inwards_mm / soft_mm, 0.0, 1.0))


def _lay(light: Plane, share: Plane, colour: tuple[float, float, float]) -> None:
    light += share[..., None] * (np.array(colour) - light)


def _coded(light: Plane) -> Rgb:
    """Return sRGB codes of linear light (IEC 61966-2-1)."""
    light = np.clip(light, 0, 1)
    share = np.where(light <= 0.0031308, light * 12.92, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(share * 255), np.uint8)
