"""Measure a grey card in the middle of a picture, in linear light."""

from __future__ import annotations

import numpy as np

from kiosk.core.camera_setup.grey_card import Card
from kiosk.vision.pictures.arrays import Rgb, lab, linear_light, resized

MIDDLE_SHARE = 0.3
"""The fraction of each side of the picture that is evaluated; a card of 18 x 24 cm at the face covers more of a
portrait."""

_PLACES = 16


def measure_card(rgb: Rgb) -> Card:
    """Measure the card in the middle of a picture.

    Parameters
    ----------
    rgb
        HxWx3 uint8 sRGB, at least 90 px each way.
    """
    height, width = rgb.shape[:2]
    half_height, half_width = round(height * MIDDLE_SHARE / 2), round(width * MIDDLE_SHARE / 2)
    middle = rgb[
        height // 2 - half_height : height // 2 + half_height, width // 2 - half_width : width // 2 + half_width
    ]
    light = linear_light(middle).mean(axis=(0, 1), dtype=float)
    places = lab(resized(middle, _PLACES, _PLACES))
    red, green, blue = map(float, light)
    return Card((red, green, blue), float(np.std(places[..., 0])))
