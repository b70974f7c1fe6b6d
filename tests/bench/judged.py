"""What the limits of specs/capture.toml say of measured pictures, by class of defect and by group of sitters."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

from kiosk.catalogue.documents import Catalogue
from kiosk.core.base.measurement import Observation
from kiosk.core.document.limits import CaptureLimit
from kiosk.core.judging.conformance import judge, word_of

CAPTURE = Path(__file__).parents[2] / "specs" / "capture.toml"
DOCUMENT = Catalogue.load().get("gb-passport-print")
FLAT_HAIR = {"bald", "buzz", "short_crop", "short_side", "short_back", "tied_back"}

SHOWN_BY = {
    "yaw": ("yaw",),
    "pitch_up": ("pitch",),
    "pitch_down": ("pitch",),
    "roll": ("roll",),
    "eyes_closed": ("eyes_open",),
    "eyes_half": ("eyes_open",),
    "squint": ("eyes_open",),
    "gaze": ("gaze",),
    "mouth_open": ("mouth_closed",),
    "expr_smile_teeth": ("mouth_closed", "expression_neutrality"),
    "expr_smile_closed": ("expression_neutrality",),
    "brows_raised": ("expression_neutrality",),
    "fringe_over_eyes": ("eyes_visible",),
    "glasses_glare": ("lens_glare",),
    "glasses_tinted": ("lens_tint",),
    "glasses_thick": ("frame_width",),
    "hat": ("no_head_coverings",),
    "light_one_sided": ("illumination_uniformity",),
    "underexposed": ("under_exposure_prevention",),
    "overexposed": ("over_exposure_prevention", "background_uniformity"),
    "colour_cast": ("natural_colour",),
    "bg_shadow": ("background_uniformity",),
    "bg_gradient": ("background_uniformity",),
    "bg_pattern": ("background_uniformity",),
    "second_person": ("single_face_present",),
    "motion_blur": ("sharpness", "motion_blur"),
    "defocus": ("sharpness",),
    "low_resolution": ("sharpness",),
    "noise": ("noise",),
    "red_eye": ("red_eye",),
    "washed_out": ("dynamic_range",),
    "jpeg": ("no_compression_artifacts",),
    "head_too_small": ("inter_eye_distance", "resolution", "head_share"),
    "head_too_large": ("frame_room",),
    "off_centre": ("frame_room",),
    "close_camera": ("camera_distance",),
}
"""Which requirements are meant to show a defect. An off-centre head is cropped to the middle and fails only where the
frame reaches outside the picture."""

LEAST_GROUP = 5
"""Sitters from which on a group's share is compared with others'."""

SIZE = {"inter_eye_distance"}
"""Follows from the pixels of the rendered set, not from the sitter; left out where compliant sitters are judged."""


def limits() -> dict[str, CaptureLimit]:
    """Return the limits that hold for every document."""
    return {name: CaptureLimit(**table) for name, table in tomllib.loads(CAPTURE.read_text()).items()}


def words_of(seen: Observation) -> dict[str, str]:
    """Return the word for each requirement: those of capture, and of the frame for a photo of 35 x 45 mm."""
    words = {}
    for name, limit in limits().items():
        measured = seen.measurements.get(name)
        if measured is None or (measured.value is None and limit.if_known):
            continue
        words[name] = word_of(measured, limit)
    for finding in judge(seen, DOCUMENT).findings:
        if finding.measurement.name in {"frame_room", "resolution"}:
            words[finding.measurement.name] = finding.word
    return words


def outcome(words: dict[str, str], names: Sequence[str]) -> str:
    """Return the gravest word of some requirements: fail, refer or pass; not measured is refer."""
    found = {words[name] for name in names if name in words}
    return "fail" if "fail" in found else "refer" if found & {"refer", "unmeasured"} else "pass"


def defect_lines(rows: list) -> tuple[list[str], dict[str, float]]:
    """Return one line a class of defect: how many were refused, referred or passed by what is meant to show it."""
    lines = [f"{'class':20}{'n':>4}{'refused':>9}{'referred':>10}{'passed':>8}{'caught':>9}  shown by"]
    numbers: dict[str, float] = {}
    for name in sorted({row.truth["defect"] for row in rows}):
        members = [row for row in rows if row.truth["defect"] == name]
        found = [outcome(words_of(row.seen), SHOWN_BY[name]) for row in members]
        refused, referred = found.count("fail"), found.count("refer")
        caught = (refused + referred) / len(found)
        shown = ", ".join(SHOWN_BY[name])
        passed = len(found) - refused - referred
        lines.append(f"{name:20}{len(found):4}{refused:9}{referred:10}{passed:8}{100 * caught:7.0f} %  {shown}")
        numbers |= {f"defect.{name}.pictures": len(found), f"defect.{name}.caught": round(caught, 3)}
    return lines, numbers


GROUPS: dict[str, Callable[[dict], str]] = {
    "tone": lambda t: ("light", "middle", "dark")[min(2, int(3 * t["identity"]["tone"]))],
    "sex": lambda t: "male" if t["identity"]["male"] else "female",
    "age": lambda t: ("18 to 37", "38 to 57", "58 and older")[
        int(np.digitize(t["identity"]["macro"]["age"], (38, 58)))
    ],
    "hair style": lambda t: t["hair_style"],
    "hair": lambda t: "flat" if t["hair_style"] in FLAT_HAIR else "big or long",
    "covering": lambda t: t["head_cover"] or "none",
    "spectacles": lambda t: "worn" if t["spectacles"] else "none",
}


def group_lines(rows: list) -> tuple[list[str], dict[str, float]]:
    """Return one line a group of compliant sitters: refused, referred, and the median errors of the points."""
    head = f"{'compliant sitters':30}{'n':>4}{'refused':>9}{'referred':>10}"
    head += f"{'eye %':>8}{'chin %':>8}{'crown %':>9}{'pitch deg':>11}"
    lines, numbers = [head], {}
    known = [row for row in rows if "tone" in row.truth["identity"]]
    groups = [("all", "", rows)]
    for key, group in GROUPS.items():
        names = sorted({group(row.truth) for row in known})
        groups += [(key, name, [row for row in known if group(row.truth) == name]) for name in names]
    for key, name, members in groups:
        found = [outcome(words_of(row.seen), sorted(set(limits()) - SIZE)) for row in members]
        refused, referred = found.count("fail"), found.count("refer")
        medians = [
            float(np.median([abs(row.errors[e]) for row in members if e in row.errors] or [np.nan]))
            for e in ("right eye", "chin", "crown", "pitch")
        ]
        lines.append(
            f"{f'{key} {name}'.strip():30}{len(members):4}{refused:9}{referred:10}"
            + "".join(f"{m:{w}.2f}" for m, w in zip(medians, (8, 8, 9, 11), strict=True))
        )
        numbers |= {
            f"compliant.{f'{key}.{name}'.strip('.')}.refused": refused / max(len(members), 1),
            f"compliant.{f'{key}.{name}'.strip('.')}.referred": referred / max(len(members), 1),
        }
    lines.append(_ratio_line(groups, numbers))
    for row in rows:
        words = words_of(row.seen)
        told = [
            f"{name} {word} ({row.seen.measurements[name].value or 0:.3g})"
            for name, word in words.items()
            if word != "pass" and name in row.seen.measurements and name not in SIZE
        ]
        if told:
            lines.append(f"  {row.name}: {', '.join(told)}")
    return lines, {name: round(value, 3) for name, value in numbers.items()}


def _ratio_line(groups: list[tuple[str, str, list]], numbers: dict[str, float]) -> str:
    """Return how much more often the most refused group is refused than the least refused of the same kind."""
    worst, where = 1.0, "no group is refused more often than another"
    for key in GROUPS:
        shares = {
            name: numbers[f"compliant.{key}.{name}.refused"]
            for kind, name, members in groups
            if kind == key and len(members) >= LEAST_GROUP
        }
        if shares and max(shares.values()) > min(shares.values()):
            low, high = min(shares, key=shares.__getitem__), max(shares, key=shares.__getitem__)
            ratio = shares[high] / shares[low] if shares[low] else float("inf")
            if ratio > worst:
                worst, where = ratio, f"{key} {high} {100 * shares[high]:.0f} %, {low} {100 * shares[low]:.0f} %"
    numbers["compliant.refused_group_ratio"] = worst
    return f"refused in groups of {LEAST_GROUP} or more: {where}"
