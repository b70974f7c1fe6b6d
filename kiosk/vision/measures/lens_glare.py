"""Measure glare on the lenses of spectacles."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.face_model import Array
from kiosk.vision.face.lens import BareEyes, LensView, bare_eyes
from kiosk.vision.measures.spectacles import Spectacles

GLARE_SD, NO_GLARE_SD = 0.005, 0.002
"""Standard deviations: how much the share varies between sizes of the same picture with spectacles, and the uncertainty
without them."""

SURE = 4.0
"""Spreads of bare eyes from which on white light counts as glare: about a fifth of the brightest."""


def measure_lens_glare(worn: Spectacles, lenses: Sequence[LensView]) -> Measurement:
    """Return the fraction of the worse lens that is covered by glare, 0 to 1, or 0 without spectacles.

    "Flash reflection on lenses" of the published benchmark tests, for component EyesVisible of ISO/IEC 29794-5. A place
    shines where white light must be added to what bare eyes show there to explain its colour.
    """
    if not worn.possible:
        return Measurement("lens_glare", 0.0, "fraction", NO_GLARE_SD)
    bare = bare_eyes()
    return Measurement("lens_glare", max(_shining(lens, bare) for lens in lenses), "fraction", GLARE_SD)


def _shining(lens: LensView, bare: BareEyes) -> float:
    if not lens.glass.any():
        return 0.0
    shines = veil(lens, bare) > SURE * bare.veil_sd
    return float(shines[lens.glass].mean())


def veil(lens: LensView, bare: BareEyes) -> Array:
    """Return the amount of white light that best explains each place, 0 to 1.

    The generalised least squares estimate (Aitken 1936, from memory) of how much of the direction white is in the
    difference from bare eyes, weighed by how these scatter.
    """
    colour, constant, skin = np.split(bare.veil, (3, 4), axis=-1)
    return np.asarray((lens.colours * colour).sum(axis=-1) + constant[..., 0] + skin @ lens.skin)
