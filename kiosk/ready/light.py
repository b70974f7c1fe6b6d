"""Backdrop and light of a shot, held against the reference that was taken when the booth was set up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from kiosk.core.camera_setup.backdrop import Backdrop, compare, suitable
from kiosk.core.view.finding import Finding
from kiosk.ready.camera import seated_findings
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.targets.backdrop import measure_backdrop


def light_findings(rgb: Rgb, reference: Backdrop | None, today: date) -> list[Finding]:
    """Return what has changed since the reference; where there is none, that one is to be taken."""
    if reference is None:
        advice = "Empty the seat, then run `holdstill ready reference`."
        sentence = "No reference of the empty backdrop was ever taken, so that a change of light is not seen."
        return [Finding("backdrop_reference", "none", "", False, sentence, advice, "light")]
    return [replace(finding, subject="light") for finding in compare(reference, measure_backdrop(rgb, today))]


def opening_findings(rgb: Rgb, reference: Backdrop | None, today: date) -> list[Finding]:
    """Return what the shot before opening tells: of backdrop and light with an empty seat, else of what is there."""
    if measure_backdrop(rgb, today).is_smooth():
        return light_findings(rgb, reference, today)
    sentence = "Backdrop and light were not compared with the reference: something is before the backdrop."
    covered = Finding("backdrop", "covered", "", False, sentence, "Empty the seat and look again.", "light")
    return [*seated_findings(rgb), covered]


def reference_of(rgb: Rgb, today: date) -> tuple[Backdrop, list[Finding]]:
    """Return what a shot would be as the reference, and whether it can serve as one."""
    backdrop = measure_backdrop(rgb, today)
    return backdrop, [replace(finding, subject="light") for finding in suitable(backdrop)]
