"""Compare the backdrop and light of a shot with the reference taken when the booth was set up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from kiosk.core.camera_setup.backdrop import Backdrop, compare, suitable
from kiosk.core.view.finding import Finding
from kiosk.ready.picture import seated_findings
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.targets.backdrop import measure_backdrop


def light_findings(rgb: Rgb, reference: Backdrop | None, today: date) -> list[Finding]:
    """Compare a picture of the empty backdrop with the reference; without one, ask for it to be taken."""
    if reference is None:
        advice = "Empty the seat, then run `holdstill ready reference`."
        sentence = "No reference of the empty backdrop has been taken, so that a change of light goes unnoticed."
        return [Finding("backdrop_reference", "none", "", False, sentence, advice, "light")]
    return [replace(finding, subject="light") for finding in compare(reference, measure_backdrop(rgb, today))]


def opening_findings(rgb: Rgb, reference: Backdrop | None, today: date) -> list[Finding]:
    """Check the shot before opening: backdrop and light if the seat is empty, or else exposure and sharpness."""
    if measure_backdrop(rgb, today).is_smooth():
        return light_findings(rgb, reference, today)
    sentence = "Backdrop and light were not compared with the reference: something is in front of the backdrop."
    covered = Finding("backdrop", "covered", "", False, sentence, "Empty the seat and try again.", "light")
    return [*seated_findings(rgb), covered]


def reference_of(rgb: Rgb, today: date) -> tuple[Backdrop, list[Finding]]:
    """Return a shot as a reference, with the findings on whether it can serve as one."""
    backdrop = measure_backdrop(rgb, today)
    return backdrop, [replace(finding, subject="light") for finding in suitable(backdrop)]
