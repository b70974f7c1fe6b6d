"""The fast measurement of live frames.

Landmarks are detected in every frame. More expensive measurements that change less are taken in turn, one every few
frames, and cached in the meantime: the number of faces, the head's points, the background, the light. All of them are
refreshed in the same frame when a face appears, or has moved too far from where they were taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import HeadPoints, Measurement, Observation
from kiosk.core.camera_setup.backdrop import Backdrop
from kiosk.vision.background.region import background_of
from kiosk.vision.background.uniformity import measure_background_uniformity
from kiosk.vision.face.face_model import FaceShape, shape_of
from kiosk.vision.face.face_patch import face_patch
from kiosk.vision.head.hair import hair_of
from kiosk.vision.head.head_points import head_points
from kiosk.vision.head.keying import in_this_light
from kiosk.vision.measures.eyes_open import measure_eyes_open
from kiosk.vision.measures.inter_eye_distance import measure_inter_eye_distance
from kiosk.vision.measures.single_face import measure_single_face_present
from kiosk.vision.measures.yaw import measure_yaw
from kiosk.vision.models.landmarks import Points, lies_in
from kiosk.vision.models.person import PersonMask
from kiosk.vision.models.readers import Readers
from kiosk.vision.pictures.arrays import Rgb
from kiosk.vision.still import by_name, face_measurements, light_measurements, nobody_measured

ROUND = 20
"""Frames between two refreshes of one measurement: 0.7 s at 30 frames per second; an instruction stays for 1 s."""
PERSON_TURN, LIGHT_TURN, FACES_TURN = 0, 7, 14

BACKDROP_HEAD_PX = 100
"""The head height in px to which frames are reduced for the background: folds and shadows remain, in a third of the
pixels."""

MOVED_UNITS, MOVED_SCALE, MOVED_DEG = 0.25, 0.05, 5.0
"""How far a face may move, in outer-eye-corner distances, grow, and turn before its head is measured again: cached
points then lie within 1 % of the head height of newly measured ones."""


@dataclass(frozen=True, slots=True, eq=False)
class _Cached:
    """The cached results: the face with which they were taken, the head's points, and measurements."""

    shape: FaceShape
    points: HeadPoints
    background: Measurement
    light: Sequence[Measurement]

    def has_moved(self, shape: FaceShape) -> bool:
        """Return whether the face has moved too far from where the head's points were measured."""
        path = float(np.linalg.norm(shape.origin_px - self.shape.origin_px)) / self.shape.unit_px
        growth = abs(shape.unit_px / self.shape.unit_px - 1)
        turn_deg = float(np.abs(np.subtract(shape.raw_deg, self.shape.raw_deg)).max())
        return path > MOVED_UNITS or growth > MOVED_SCALE or turn_deg > MOVED_DEG

    def points_with(self, shape: FaceShape) -> HeadPoints:
        """Return the head's points moved along with the face."""

        def taken(point: Point) -> Point:
            upright = self.shape.to_upright(np.array((point.x, point.y)))
            return Point(*shape.to_picture(upright).tolist())

        return self.points.moved(taken, shape.unit_px / self.shape.unit_px)


class LiveVision(Readers):
    """Observes the frames of one live view in order; create one per program.

    The mesh tracks the face from frame to frame, so the frames of two cameras must not be mixed.

    Attributes
    ----------
    backdrop
        The reference of the empty backdrop, if the same camera took it with the same framing.
    """

    def __init__(self, backdrop: Backdrop | None = None) -> None:
        super().__init__()
        self.backdrop = backdrop
        self._carried: _Cached | None = None
        self._turn = 0

    def observe(self, rgb: Rgb) -> Observation:
        """Observe one frame.

        Parameters
        ----------
        rgb
            HxWx3 uint8 sRGB, upright, not mirrored, about 640 x 800; points are in its px.

        Returns
        -------
        Observation
            It has no points unless there is exactly one face.
        """
        height, width = rgb.shape[:2]
        self._turn = (self._turn + 1) % ROUND
        faces, landmarks = self._face(rgb)
        if landmarks is None:
            self._carried = None
            return nobody_measured(width, height, faces)
        shape = shape_of(landmarks)
        self._carried = carried = self._refreshed(rgb, shape)
        points = carried.points_with(shape)
        measurements = [
            measure_single_face_present(1),
            *face_measurements(shape, points),
            measure_eyes_open(rgb, shape),
            *carried.light,
            measure_inter_eye_distance(points, measure_yaw(shape).value or 0.0),
            carried.background,
        ]
        return Observation(width, height, 1, points, by_name(measurements))

    def _face(self, rgb: Rgb) -> tuple[int, Points | None]:
        """Return the number of faces, and the landmarks if there is exactly one.

        If the mesh tracks no face, or another one, the landmarks are detected in a crop around the face instead.
        """
        followed = self._faces.follow(rgb)
        if followed is not None and self._carried is not None and self._turn != FACES_TURN:
            return 1, followed
        faces = self._faces.faces(rgb)
        if len(faces) != 1:
            return len(faces), None
        if followed is None or not lies_in(followed, faces[0]):
            followed = self._faces.read(rgb, faces[0])
        return 1, followed

    def _refreshed(self, rgb: Rgb, shape: FaceShape) -> _Cached:
        """Return the cached results, refreshing the one scheduled for this frame."""
        last = self._carried
        if last is None or self._turn == PERSON_TURN or last.has_moved(shape):
            mask = self._person.mask(rgb)
            hair = hair_of(rgb, shape, mask)
            points = head_points(rgb, shape, hair)
            background = self._background(rgb, points, mask, hair.wisps * shape.unit_px if hair else 0.0)
            light = last.light if last is not None else light_measurements(face_patch(rgb, shape))
            return _Cached(shape, points, background, light)
        if self._turn == LIGHT_TURN:
            light = light_measurements(face_patch(rgb, shape))
            return _Cached(last.shape, last.points, last.background, light)
        return last

    def _background(self, rgb: Rgb, points: HeadPoints, mask: PersonMask, frizz_px: float) -> Measurement:
        """Measure the uniformity of the background."""
        empty = None if self.backdrop is None else in_this_light(self.backdrop, rgb, mask)
        return measure_background_uniformity(background_of(rgb, points, mask, BACKDROP_HEAD_PX, frizz_px, empty))
