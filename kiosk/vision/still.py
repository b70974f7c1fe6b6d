"""The precise look at a still, once per shot."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor

from kiosk.core.base.measurement import HeadPoints, Measurement, Observation
from kiosk.core.camera_setup.backdrop import Backdrop
from kiosk.vision.background.colour import measure_background_a, measure_background_b, measure_background_lightness
from kiosk.vision.background.region import background_of
from kiosk.vision.background.shadow import measure_background_shadow
from kiosk.vision.background.uniformity import measure_background_uniformity
from kiosk.vision.face.face_model import FaceShape, shape_of
from kiosk.vision.face.face_patch import FacePatch, face_patch
from kiosk.vision.face.lens import lens_views
from kiosk.vision.head.hair import hair_of
from kiosk.vision.head.head_points import head_box, head_points
from kiosk.vision.head.head_share import measure_head_share
from kiosk.vision.head.keying import in_this_light, keyed
from kiosk.vision.measures.camera_distance import measure_camera_distance
from kiosk.vision.measures.compression import measure_no_compression_artifacts
from kiosk.vision.measures.covering import measure_no_head_coverings
from kiosk.vision.measures.dynamic_range import measure_dynamic_range
from kiosk.vision.measures.expression import brows_raised, measure_expression_neutrality
from kiosk.vision.measures.eye_cover import hidden_share, measure_eyes_visible
from kiosk.vision.measures.eyes_open import measure_eyes_open
from kiosk.vision.measures.frame_width import measure_frame_width
from kiosk.vision.measures.gaze import measure_gaze
from kiosk.vision.measures.head_width import measure_head_width
from kiosk.vision.measures.illumination import measure_illumination_uniformity
from kiosk.vision.measures.in_colour import measure_in_colour
from kiosk.vision.measures.inter_eye_distance import measure_inter_eye_distance
from kiosk.vision.measures.lens_glare import measure_lens_glare
from kiosk.vision.measures.lens_tint import measure_lens_tint
from kiosk.vision.measures.luminance import measure_luminance_mean
from kiosk.vision.measures.motion_blur import measure_motion_blur
from kiosk.vision.measures.mouth import measure_mouth_closed
from kiosk.vision.measures.natural_colour import measure_natural_colour
from kiosk.vision.measures.noise import measure_noise
from kiosk.vision.measures.over_exposure import measure_over_exposure_prevention
from kiosk.vision.measures.pitch import measure_pitch
from kiosk.vision.measures.red_eye import measure_red_eye
from kiosk.vision.measures.roll import measure_roll
from kiosk.vision.measures.sharpness import measure_sharpness
from kiosk.vision.measures.single_face import is_somebody_beside, measure_single_face_present
from kiosk.vision.measures.spectacles import measure_spectacles, spectacles_on
from kiosk.vision.measures.under_exposure import measure_under_exposure_prevention
from kiosk.vision.measures.yaw import measure_yaw
from kiosk.vision.models.readers import Readers
from kiosk.vision.pictures.arrays import Rgb, shrunk

WORKING_SIDE_PX = 1400
"""Longer side, at least, of the picture that landmarks and masks are read from: more pixels do not make them better."""

FRONTAL_DEG = 15.0
"""Beyond this yaw the detector's box leaves half of the head outside, which would pass for a second face."""


class StillVision(Readers):
    """Measures one still at a time; keep one for the life of the program.

    The person masks are made in a thread of their own while the landmarks are read.

    Attributes
    ----------
    backdrop
        The reference of the empty backdrop, where the stills are taken before it by the same camera in the same frame.
    """

    def __init__(self, backdrop: Backdrop | None = None) -> None:
        super().__init__()
        self.backdrop = backdrop
        self._masks = ThreadPoolExecutor(1, "person masks")

    def close(self) -> None:
        """Release the models, once the last mask is made."""
        self._masks.shutdown()
        super().close()

    def measure(self, rgb: Rgb, focal_length_px: float | None = None) -> Observation:
        """Return all that can be measured in a still.

        Parameters
        ----------
        rgb
            HxWx3 uint8 sRGB, upright, not mirrored; points are in its px.
        focal_length_px
            Of the lens, in px of the picture, where it is known.

        Returns
        -------
        Observation
            Without points where there is no face, or more than one. A face whose landmarks cannot be read (turned far
            away, cut by the edge) counts as none.
        """
        try:
            return self._measured(rgb, focal_length_px)
        finally:
            self._await_masks()

    def _await_masks(self) -> None:
        """Wait until no mask is being made: making the first one holds standard error back (`models/graphs.py`).

        What is then said of a still without a face would go to the void.
        """
        self._masks.submit(int).result()

    def _measured(self, rgb: Rgb, focal_length_px: float | None) -> Observation:
        height, width = rgb.shape[:2]
        times = reduction(width, height)
        working = shrunk(rgb, times)
        whole_mask = self._masks.submit(self._person.mask, working)
        faces = self._faces.faces(working)
        landmarks = self._faces.read_averaged(working, faces[0]) if len(faces) == 1 else None
        if landmarks is None:
            return nobody_measured(width, height, len(faces))
        shape = shape_of(landmarks)
        head_mask = self._masks.submit(self._person.mask, working, head_box(shape))
        frontal = abs(shape.raw_deg[0]) < FRONTAL_DEG
        if frontal:
            beside = self._faces.faces_beside(working, faces[0])
            if beside:
                return nobody_measured(width, height, 1 + beside)
        worn, lenses = spectacles_on(working, shape), lens_views(working, shape)
        visible = measure_eyes_visible(working, shape, worn.probability)
        glare = measure_lens_glare(worn, lenses)
        hidden = hidden_share(visible, glare)
        whole, head = whole_mask.result(), head_mask.result()
        empty = None if self.backdrop is None else in_this_light(self.backdrop, working, whole)
        if empty is not None:
            whole, head = keyed(whole, working, empty), keyed(head, working, empty)
        hair = hair_of(working, shape, head, empty)
        points = head_points(working, shape, hair, hidden)
        size = working.shape[1], working.shape[0]
        frizz_px = hair.wisps * shape.unit_px if hair else 0.0
        seen = background_of(working, points, whole, frizz_px=frizz_px, backdrop=empty)
        full = points.scaled(times)
        yaw, patch = measure_yaw(shape), face_patch(working, shape)
        apart = measure_inter_eye_distance(full, yaw.value or 0.0, hidden)
        measurements = [
            measure_single_face_present(1, somebody_beside=frontal and is_somebody_beside(shape, whole, *size)),
            *face_measurements(shape, points, hidden, brows_raised(shape)),
            measure_eyes_open(working, shape),
            *light_measurements(patch),
            apart,
            measure_head_share(full, height),
            measure_head_width(shape.scaled(times), yaw.value or 0.0),
            measure_camera_distance(apart.value or 0.0, focal_length_px),
            measure_sharpness(working, shape),
            measure_motion_blur(working, shape),
            measure_noise(working, shape),
            measure_no_compression_artifacts(rgb, shape.scaled(times)),
            measure_luminance_mean(patch),
            measure_dynamic_range(patch),
            measure_in_colour(working, shape),
            measure_natural_colour(working, shape, patch, seen, None if empty is None else empty.shift_ab),
            measure_red_eye(working, shape),
            measure_gaze(shape, yaw.value or 0.0, measure_pitch(shape).value or 0.0, hidden),
            visible,
            measure_spectacles(worn),
            measure_lens_tint(worn, lenses),
            glare,
            measure_frame_width(worn, working, shape),
            measure_no_head_coverings(working, shape, head),
            measure_background_uniformity(seen),
            measure_background_lightness(seen),
            measure_background_a(seen),
            measure_background_b(seen),
            measure_background_shadow(seen),
        ]
        return Observation(width, height, 1, full, by_name(measurements))


def reduction(width_px: int, height_px: int) -> int:
    """Return how many times smaller the working picture is: the most that leaves `WORKING_SIDE_PX`."""
    return max(1, max(width_px, height_px) // WORKING_SIDE_PX)


def nobody_measured(width_px: int, height_px: int, faces: int) -> Observation:
    """Return an observation without points: no face, several, or one whose landmarks cannot be read (as none)."""
    count = faces if faces > 1 else 0
    return Observation(width_px, height_px, count, None, by_name([measure_single_face_present(count)]))


def face_measurements(
    shape: FaceShape, points: HeadPoints, hidden: float = 0.0, brows: float = 0.0
) -> list[Measurement]:
    """Return what live frames and stills have in common and the landmarks tell: pose, mouth and expression."""
    return [
        measure_yaw(shape),
        measure_pitch(shape),
        measure_roll(shape, hidden),
        measure_mouth_closed(shape, points),
        measure_expression_neutrality(shape, brows),
    ]


def light_measurements(patch: FacePatch | None) -> list[Measurement]:
    """Return what live frames and stills have in common of the light on the face."""
    return [
        measure_illumination_uniformity(patch),
        measure_under_exposure_prevention(patch),
        measure_over_exposure_prevention(patch),
    ]


def by_name(measurements: Iterable[Measurement]) -> Mapping[str, Measurement]:
    """Return measurements by their names."""
    return {measurement.name: measurement for measurement in measurements}
