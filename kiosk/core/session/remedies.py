"""What the sitter can do about each reason for which a photo failed, said before the next shot.

The live view measures place, pose, eyes, mouth, light and backdrop, and coaches to them. The rest is known from the
still alone: without a remedy, one whose glasses shine would hear "hold still" until the shots are used up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from kiosk.core.judging.conformance import Judgement
from kiosk.core.session.instructions import Instruction

STUCK_AFTER = 2
"""After how many shots that failed for one reason no more are taken, and help is offered (practice)."""

_I = Instruction
REMEDIES: Mapping[str, Instruction] = {
    "single_face_present": _I.ONE_PERSON,
    "yaw": _I.LOOK_AT_LENS,
    "pitch": _I.LOOK_AT_LENS,
    "roll": _I.LOOK_AT_LENS,
    "gaze": _I.LOOK_AT_LENS,
    "eyes_open": _I.OPEN_EYES,
    "eyes_visible": _I.CLEAR_EYES,
    "face_occlusion_prevention": _I.CLEAR_EYES,
    "red_eye": _I.LOOK_AT_LIGHT,
    "mouth_closed": _I.CLOSE_MOUTH,
    "expression_neutrality": _I.RELAX_FACE,
    "no_head_coverings": _I.HEAD_FREE,
    "spectacles": _I.GLASSES_OFF,
    "lens_tint": _I.GLASSES_OFF,
    "frame_width": _I.GLASSES_OFF,
    "lens_glare": _I.TIP_GLASSES,
    "head_size": _I.CENTRE_HEAD,
    "eye_line": _I.CENTRE_HEAD,
    "margin_above": _I.CENTRE_HEAD,
    "margin_below": _I.CENTRE_HEAD,
    "face_centre": _I.CENTRE_HEAD,
    "frame_room": _I.CENTRE_HEAD,
    "head_share": _I.MOVE_CLOSER,
    "inter_eye_distance": _I.MOVE_CLOSER,
    "resolution": _I.MOVE_CLOSER,
    "camera_distance": _I.MOVE_BACK,
    "sharpness": _I.KEEP_STILL,
    "motion_blur": _I.KEEP_STILL,
    "background_uniformity": _I.CLEAR_BACKGROUND,
    "background_colour": _I.CLEAR_BACKGROUND,
    "illumination_uniformity": _I.EVEN_LIGHT,
    "under_exposure_prevention": _I.EVEN_LIGHT,
    "over_exposure_prevention": _I.EVEN_LIGHT,
    "luminance_mean": _I.EVEN_LIGHT,
    "luminance_variance": _I.EVEN_LIGHT,
    "dynamic_range": _I.EVEN_LIGHT,
    "noise": _I.EVEN_LIGHT,
    "natural_colour": _I.PLAIN_LIGHT,
    "in_colour": _I.PLAIN_LIGHT,
    "no_compression_artifacts": _I.ONCE_MORE,
}
"""By the name of the requirement. None of them names a side: the still may be judged otherwise than the live view."""


def failing(judgement: Judgement) -> tuple[str, ...]:
    """Return the names of the requirements that surely failed."""
    return tuple(finding.measurement.name for finding in judgement.findings if finding.word == "fail")


def is_stuck(judgement: Judgement, failed: Sequence[str]) -> bool:
    """Return whether a shot failed for a reason for which enough shots have failed.

    Parameters
    ----------
    judgement
        On the last shot.
    failed
        What failed in each shot so far, the last among them; a name stands there once a shot.
    """
    return any(failed.count(name) >= STUCK_AFTER for name in failing(judgement))


def reasons(judgement: Judgement, failed: Sequence[str]) -> tuple[str, ...]:
    """Return why a photo did not pass, what it is stuck on first."""
    return tuple(sorted(judgement.reasons, key=lambda name: failed.count(name) < STUCK_AFTER))


def remedy(judgement: Judgement | None, failed: Sequence[str]) -> Instruction | None:
    """Return what the sitter can do about a photo that did not pass; None where it passed or there is none."""
    if judgement is None or judgement.verdict == "pass":
        return None
    if judgement.verdict == "unmeasurable":
        return Instruction.LOOK_AT_LENS
    return next((REMEDIES[name] for name in reasons(judgement, failed) if name in REMEDIES), None)
