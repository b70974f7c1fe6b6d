"""The quick look at each live frame."""

from __future__ import annotations

from kiosk.core.measurement import Observation
from kiosk.vision.background import background_of, measure_background_uniformity
from kiosk.vision.eyes import measure_inter_eye_distance
from kiosk.vision.face_model import shape_of
from kiosk.vision.hair import hair_of
from kiosk.vision.head import head_points
from kiosk.vision.pictures import Rgb
from kiosk.vision.pose import measure_yaw
from kiosk.vision.readers import Readers
from kiosk.vision.still import by_name, face_measurements, nobody_measured, single_face_present


class LiveVision(Readers):
    """Observes the frames of one live view in their order; keep one for the life of the program.

    The mesh tracks the face from frame to frame, so the frames of two cameras must not be mixed.
    """

    def observe(self, rgb: Rgb) -> Observation:
        """Return what one frame shows.

        Parameters
        ----------
        rgb
            HxWx3 uint8 sRGB, upright, not mirrored, about 640 x 800; points are in its px.

        Returns
        -------
        Observation
            Without points where there is no face, or more than one.
        """
        height, width = rgb.shape[:2]
        faces = self._faces.faces(rgb)
        landmarks = self._faces.track(rgb, faces[0]) if len(faces) == 1 else None
        if landmarks is None:
            return nobody_measured(width, height, len(faces))
        shape = shape_of(landmarks)
        mask = self._person.mask(rgb)
        points = head_points(rgb, shape, hair_of(rgb, shape, mask))
        measurements = [
            single_face_present(1),
            *face_measurements(rgb, shape, points),
            measure_inter_eye_distance(points, measure_yaw(shape).value or 0.0),
            measure_background_uniformity(background_of(rgb, points, mask)),
        ]
        return Observation(width, height, 1, points, by_name(measurements))
