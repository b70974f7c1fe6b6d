"""Read a printer's colour page from a picture of it beside a grey card.

A camera or a flatbed is no colorimeter, but three things in the picture are known: the paper, against which every patch
is read, is all around the patches, so that uneven light is divided out; the card is neutral and of a known reflectance,
so that the picture's own tone curve can be undone; and each grey lies on the page twice.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
import numpy.typing as npt

from kiosk.core.base.colour import LinearRgb, luminance
from kiosk.core.base.geometry import Rect
from kiosk.core.camera_setup.grey_card import GREY
from kiosk.core.print_colour.chart import ColourChart
from kiosk.core.print_colour.colours import chroma
from kiosk.core.print_colour.reading import Reading, reading_of_light
from kiosk.errors import UnreadableColours, UnreadableRuler
from kiosk.vision.pictures.arrays import Rgb, linear_light, luma
from kiosk.vision.targets.ruler_page import find_marks

PICTURE_UNCERTAINTY = 1.5
"""Standard uncertainty of a grey's a*b* and L* in a picture, for the colours of the print's dyes are others to a camera
than to an eye: cameras with a profile of their own are 2 to 3 off over a whole chart and half as much on its greys
(practice)."""
PAPER_Y = 0.87
"""Luminance of photo paper: L* 94.7, and papers differ by 2 (ISO 12647-2:2013, from memory)."""
GREY_DOUBT = 0.06
"""Standard uncertainty of how much darker the card is than the paper, as a fraction: 5 % of the card's reflectance and
3 % of the paper's (practice)."""
CARD_MM = (3.0, 10.0)
"""Between these distances from the page's right edge the card is looked at."""

_CARD_SHARE = 0.3
"""Over so much of the page's height, in the middle."""
_CARD_AB = 12.0
"""A card that is further off neutral against the paper is none, or the light is mixed: the brightest papers have a b*
of -6 (practice)."""
_CARD_SPREAD = 0.15
"""The card's standard deviation as a share of its light; an edge across it exceeds this (practice)."""
_CARD_RANGE = (0.08, 0.45)
"""What cameras make of 0.18 / 0.87 against the paper's light (practice); a table or another card is outside."""
_BURNT_OUT, _TOO_DARK = 252.0, 90.0
"""Codes of the paper between which a picture keeps the differences of light greys and of dark ones."""
_MOST_UNEVEN = 0.1
"""A place of paper that is further off the light around it is no clean paper; lamps and lenses fall off smoothly
(practice)."""
_INNER_SHARE = 0.6
"""How much of each side of a patch is read: clear of its blurred edges."""
_FEWEST_PX = 12.0
"""The smallest place that is read, in pixels."""

Floats = npt.NDArray[np.float64]


def read_colour_page(rgb: Rgb, chart: ColourChart) -> dict[str, Reading]:
    """Return the readings of all patches, by their names.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB of the page, turned by any amount or at a slant, and of the card beyond its right edge.

    Raises
    ------
    UnreadableColours
        The marks or the card are not to be seen, or the picture is too bright, too dark or too small.
    """
    try:
        marks = find_marks(luma(rgb), chart.ruler)
    except UnreadableRuler as error:
        raise UnreadableColours(detail=str(error.params["detail"])) from error
    nominal = np.array([(mark.x, mark.y) for mark in chart.ruler.marks])
    to_picture, _ = cv2.findHomography(nominal, marks, 0)
    seen = _Seen(rgb, np.asarray(to_picture, np.float64))
    surface = _paper_surface(seen, chart)
    exponent = _exponent(seen, chart, surface)
    readings = {}
    for patch in chart.patches:
        place = _shrunk(patch.place_mm, _INNER_SHARE)
        light = seen.light(place).mean(axis=0) / surface.at(place)
        readings[patch.name] = _reading(light, exponent)
    return readings


class _Seen:
    """The picture, looked at by places on the page."""

    def __init__(self, rgb: Rgb, to_picture: Floats) -> None:
        self._rgb = rgb
        self._to_picture = to_picture

    def holds(self, place_mm: Rect) -> bool:
        """Return whether a place lies in the picture."""
        corners, (height, width) = self._corners(place_mm), self._rgb.shape[:2]
        return bool(corners.min() >= 0 and corners[:, 0].max() < width and corners[:, 1].max() < height)

    def light(self, place_mm: Rect) -> Floats:
        """Return the linear light of a place's pixels, of shape (pixels, 3)."""
        return np.asarray(linear_light(self.codes(place_mm)), np.float64)

    def codes(self, place_mm: Rect) -> Rgb:
        """Return the codes of a place's pixels, of shape (pixels, 3); errors as `read_colour_page`."""
        corners = self._corners(place_mm)
        left, top = np.floor(corners.min(axis=0)).astype(int)
        right, bottom = np.ceil(corners.max(axis=0)).astype(int) + 1
        mask = np.zeros((bottom - top, right - left), np.uint8)
        cv2.fillConvexPoly(mask, np.round(corners - (left, top)).astype(np.int32), (1,))
        inside = self._rgb[max(top, 0) : bottom, max(left, 0) : right]
        chosen = inside[mask[max(-top, 0) :, max(-left, 0) :][: inside.shape[0], : inside.shape[1]] > 0]
        if len(chosen) < _FEWEST_PX:
            raise UnreadableColours(detail="its patches are too small in the picture; go nearer, or scan at 300 dpi")
        return np.asarray(chosen, np.uint8)

    def _corners(self, place: Rect) -> Floats:
        corners = [(place.x, place.y), (place.right, place.y), (place.right, place.bottom), (place.x, place.bottom)]
        return np.asarray(cv2.perspectiveTransform(np.array([corners], np.float64), self._to_picture)[0], np.float64)


class _Surface:
    """The paper's light over the page: a quadratic surface through the logarithms of its light at many places.

    Attributes
    ----------
    unevenness
        How far the light at one of them is off the surface, as a fraction.
    """

    def __init__(self, places: list[Rect], lights: Floats, reach_mm: float) -> None:
        self._reach_mm = reach_mm
        powers, logs = np.array([self._powers(place) for place in places]), np.log(lights)
        self._terms, *_ = np.linalg.lstsq(powers, logs, rcond=None)
        self.unevenness = float(np.abs(logs - powers @ self._terms).max())

    def at(self, place: Rect) -> Floats:
        """Return the paper's light in the middle of a place, three channels."""
        return np.asarray(np.exp(self._powers(place) @ self._terms))

    def _powers(self, place: Rect) -> Floats:
        x, y = place.centre.x / self._reach_mm, place.centre.y / self._reach_mm
        return np.array([1.0, x, y, x * x, x * y, y * y])


def _paper_surface(seen: _Seen, chart: ColourChart) -> _Surface:
    half = chart.paper_mm / 2
    places = [Rect(at.x - half, at.y - half, 2 * half, 2 * half) for at in chart.papers_mm]
    codes = np.array([seen.codes(place).mean(axis=0) for place in places])
    if codes.max() > _BURNT_OUT:
        raise UnreadableColours(detail="the paper is burnt out; expose less, so that it stays below white")
    if codes.min() < _TOO_DARK:
        raise UnreadableColours(detail="the paper is dark; expose more, or give it more light")
    lights = np.array([seen.light(place).mean(axis=0) for place in places])
    surface = _Surface(places, lights, max(chart.page_mm.width, chart.page_mm.height))
    if surface.unevenness > _MOST_UNEVEN:
        raise UnreadableColours(detail="a shadow, a glare or a thing lies across the page")
    return surface


def _exponent(seen: _Seen, chart: ColourChart, surface: _Surface) -> float:
    """Return the power that undoes the picture's tone curve, so that the card reads what it is."""
    page = chart.page_mm
    height_mm = _CARD_SHARE * page.height
    near, far = CARD_MM
    place = Rect(page.width + near, (page.height - height_mm) / 2, far - near, height_mm)
    if not seen.holds(place):
        raise UnreadableColours(detail="no grey card is to be seen along its right edge")
    light = seen.light(place)
    # The surface is not trusted beyond the page, but taken at its edge.
    red, green, blue = light.mean(axis=0) / surface.at(Rect(page.width, place.y, 0.0, height_mm))
    against_paper = luminance((red, green, blue))
    level = against_paper**-1
    card = reading_of_light((red * level, green * level, blue * level), 0.0, 0.0)
    spread = float((light.std(axis=0) / light.mean(axis=0)).max())
    low, high = _CARD_RANGE
    if not (low < against_paper < high and spread < _CARD_SPREAD and chroma(card.lab) < _CARD_AB):
        raise UnreadableColours(
            detail=f"what lies along its right edge is no grey card of {100 * GREY:g} %, or is not evenly lit"
        )
    return math.log(GREY / PAPER_Y) / math.log(against_paper)


def _reading(light: Floats, exponent: float) -> Reading:
    """Return a patch's reading, with what the card's own doubt does to its tone."""
    doubted = exponent * (1 + GREY_DOUBT / abs(math.log(GREY / PAPER_Y)))
    lightness = [reading_of_light(_raised(light, power), 0.0, 0.0).lab[0] for power in (exponent, doubted)]
    tone = math.hypot(PICTURE_UNCERTAINTY, lightness[1] - lightness[0])
    return reading_of_light(_raised(light, exponent), PICTURE_UNCERTAINTY, tone)


def _raised(light: Floats, power: float) -> LinearRgb:
    red, green, blue = (float(channel) ** power for channel in light)
    return red, green, blue


def _shrunk(place: Rect, share: float) -> Rect:
    aside, above = place.width * (1 - share) / 2, place.height * (1 - share) / 2
    return place.inset(aside, above, aside, above)
