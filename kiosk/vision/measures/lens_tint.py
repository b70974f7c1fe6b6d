"""Measure the tint of spectacle lenses."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kiosk.core.base.measurement import Measurement
from kiosk.vision.face.lens import LensView, bare_eyes, beside_the_eye
from kiosk.vision.measures.spectacles import Spectacles

TINT_SD, NO_TINT_SD = 0.08, 0.02
"""Standard deviations: how much the ratio of clear lenses varies with the light on the face, and the uncertainty
without spectacles."""


def measure_lens_tint(worn: Spectacles, lenses: Sequence[LensView]) -> Measurement:
    """Return the transmission of the lighter lens, 1 for all light to 0 for none, or 1 without spectacles.

    "Dark tinted lenses" of the published benchmark tests, for component EyesVisible of ISO/IEC 29794-5. The luminance
    (CIE Y) about the eye over that of the cheeks, against the same ratio on bare faces: the median over the places of a
    lens. The lighter lens counts, since a tint darkens both and light from one side only one.
    """
    if not worn.possible:
        return Measurement("lens_tint", 1.0, "ratio", NO_TINT_SD)
    return Measurement("lens_tint", min(1.0, max(_let_through(lens) for lens in lenses)), "ratio", TINT_SD)


def _let_through(lens: LensView) -> float:
    places = lens.glass & beside_the_eye()
    if not places.any():
        return 0.0
    return float(np.median((lens.luminance / bare_eyes().luminance)[places]))
