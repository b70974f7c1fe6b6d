"""Questions by which a sitter or a clerk judges a photo by eye."""

from __future__ import annotations

from collections.abc import Mapping

LOOK_FOR: Mapping[str, str] = {
    "single_face_present": "alone",
    "yaw": "straight",
    "pitch": "straight",
    "roll": "straight",
    "eyes_open": "eyes_open",
    "eyes_visible": "eyes_visible",
    "gaze": "gaze",
    "red_eye": "red_eye",
    "mouth_closed": "mouth",
    "expression_neutrality": "expression",
    "face_occlusion_prevention": "face",
    "no_head_coverings": "head",
    "lens_tint": "lenses",
    "lens_glare": "glare",
    "frame_width": "frame",
    "background_uniformity": "background",
    "illumination_uniformity": "light",
    "luminance_mean": "light",
    "under_exposure_prevention": "light",
    "over_exposure_prevention": "light",
    "in_colour": "colour",
    "natural_colour": "colour",
    "sharpness": "sharp",
    "motion_blur": "sharp",
    "noise": "grain",
}
"""The key of the question for each doubtful requirement that can be judged by eye; the others need their number."""
