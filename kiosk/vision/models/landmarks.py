"""Faces and their landmarks, by mediapipe's face detector and attention mesh.

A full-range detector finds the faces; the mesh then reads 478 landmarks from a square crop around one of them, because
the mesh's own detector misses heads under about 100 px in a 640 x 480 picture and the full-range one does not.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from kiosk.core.base.geometry import Rect
from kiosk.vision.models.graphs import Graph
from kiosk.vision.pictures.arrays import Rgb, cut, resized

Points = NDArray[np.float64]

DETECTION_CONFIDENCE = 0.5
SMALLEST_PART_PX = 30

AROUND = 0.1
"""By how much of its width and height a picture is continued on each side, its outermost pixels repeated, before faces
are looked for: the detector wants some room around a head, and passes over one whose hair touches the edge."""

LEAST_OF_LARGEST = 0.25
"""Width of a face that counts, as a part of the largest: a small child's is half as wide, and a person as large as the
sitter, four times as far from the camera, sits in no booth."""

CROP_PER_FACE = 2.0
"""Side of the crop in widths of the detector's face box: the mesh's detector wants the whole head with some room."""

CROP_PX = 512
"""Side of the crop as the mesh gets it: the mesh looks at the face in 256 px, so more pixels show it nothing new."""

JITTER = (
    (0.00, 0.00, 1.00),
    (0.03, 0.02, 1.04),
    (-0.03, 0.02, 0.96),
    (0.02, -0.03, 0.94),
    (-0.02, -0.03, 1.06),
    (0.04, 0.00, 1.08),
    (-0.04, 0.00, 0.92),
    (0.00, 0.04, 1.02),
)
"""Shifts (widths of the crop) and scales of the crops that a still is read from; their mean cuts the mesh's own noise
from 0.25 % to 0.07 % of head height at the chin."""


def _mesh(video: bool) -> Graph:
    return Graph(
        "face_mesh",
        "FaceMesh",
        static_image_mode=not video,
        max_num_faces=1,
        refine_landmarks=True,
        min_detection_confidence=DETECTION_CONFIDENCE,
    )


@dataclass(frozen=True, slots=True)
class _Crop:
    """A square part of the picture at the mesh's size: picture = corner + scale * crop."""

    rgb: Rgb
    corner: Points
    scale: float


class FaceReader:
    """Finds faces and reads their landmarks; keep one for the life of the program. Graphs are made when needed."""

    def __init__(self) -> None:
        self._video = _mesh(video=True)
        self._still = _mesh(video=False)
        self._detector = Graph(
            "face_detection", "FaceDetection", model_selection=1, min_detection_confidence=DETECTION_CONFIDENCE
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def warm_up(self) -> None:
        """Make the graphs before there is a picture of anybody."""
        for graph in (self._video, self._still, self._detector):
            graph.warm_up()

    def close(self) -> None:
        """Release the graphs."""
        for graph in (self._video, self._still, self._detector):
            graph.close()

    def faces(self, rgb: Rgb) -> tuple[Rect, ...]:
        """Return the boxes of the faces in px, the largest first.

        Room around the picture costs a far face some of its pixels: where none is found, the picture alone is searched.
        """
        height, width = rgb.shape[:2]
        x, y = round(AROUND * width), round(AROUND * height)
        found = self._detected(cut(rgb, Rect(-x, -y, width + 2 * x, height + 2 * y)))
        moved = (Rect(box.x - x, box.y - y, box.width, box.height) for box in found)
        return heads(moved) if found else heads(self._detected(rgb))

    def faces_beside(self, rgb: Rgb, face: Rect) -> int:
        """Return how many more faces appear left and right of `face` once it is cut away.

        The detector passes over a second person who is half hidden by the first; alone, that person is found. It also
        takes an ear in big hair for a face, in which the mesh then sees none; with room around it, more often.
        """
        height, width = rgb.shape[:2]
        found = []
        for start, end in ((0, round(face.x)), (round(face.right), width)):
            if end - start >= SMALLEST_PART_PX:
                part = np.ascontiguousarray(cut(rgb, Rect(start, 0, end - start, height)))
                found += [Rect(start + box.x, box.y, box.width, box.height) for box in self._detected(part)]
        return sum(is_near(box, face) and self.read(rgb, box) is not None for box in found)

    def _detected(self, rgb: Rgb) -> list[Rect]:
        height, width = rgb.shape[:2]
        boxes = [d.location_data.relative_bounding_box for d in self._detector.process(rgb).detections or []]
        return [Rect(b.xmin * width, b.ymin * height, b.width * width, b.height * height) for b in boxes]

    def follow(self, rgb: Rgb) -> Points | None:
        """Return landmarks of a live frame, shape (478, 3) in px, or None where the mesh has lost the face.

        The mesh follows one face from frame to frame; z grows away from the camera, from the head's centre.
        """
        return _points(self._video.process(rgb), rgb.shape[1], rgb.shape[0])

    def read(self, rgb: Rgb, face: Rect) -> Points | None:
        """Return landmarks from one crop around `face`, shape (478, 3) in px, or None where the mesh sees no face."""
        return self._read_crop(_crop(rgb, face, (0.0, 0.0, 1.0)))

    def read_averaged(self, rgb: Rgb, face: Rect) -> Points | None:
        """Return the mean of the landmarks from several jittered crops, shape (478, 3) in px."""
        readings = [self._read_crop(_crop(rgb, face, jitter)) for jitter in JITTER]
        found = [points for points in readings if points is not None]
        return np.asarray(np.mean(found, axis=0)) if found else None

    def _read_crop(self, crop: _Crop) -> Points | None:
        points = _points(self._still.process(crop.rgb), CROP_PX, CROP_PX)
        if points is None:
            return None
        points *= crop.scale
        points[:, :2] += crop.corner
        return points


def _points(answer: Any, width: int, height: int) -> Points | None:
    faces = answer.multi_face_landmarks
    if not faces:
        return None
    points = np.array([(p.x, p.y, p.z) for p in faces[0].landmark])
    return np.asarray(points * (width, height, width), float)


def heads(boxes: Iterable[Rect]) -> tuple[Rect, ...]:
    """Return the boxes that show a head each, the largest first.

    One whose middle lies in a larger one shows the same head, and one below `LEAST_OF_LARGEST` of the largest a poster,
    a pattern or a passer-by.
    """
    kept: list[Rect] = []
    for box in sorted(boxes, key=lambda r: -r.width * r.height):
        middle = Rect(box.centre.x, box.centre.y, 0, 0)
        if not kept or (is_near(box, kept[0]) and not any(other.contains(middle) for other in kept)):
            kept.append(box)
    return tuple(kept)


def is_near(box: Rect, face: Rect) -> bool:
    """Return whether a face is large enough to be with the sitter, whose face is the other."""
    return box.width >= LEAST_OF_LARGEST * face.width


def lies_in(points: Points, face: Rect) -> bool:
    """Return whether landmarks belong to a face's box."""
    x, y = points[:, :2].mean(axis=0)
    return bool(face.x <= x <= face.right and face.y <= y <= face.bottom)


def _crop(rgb: Rgb, face: Rect, jitter: tuple[float, float, float]) -> _Crop:
    shift_x, shift_y, scale = jitter
    side = max(2, round(CROP_PER_FACE * max(face.width, face.height) * scale))
    x = round(face.centre.x + (shift_x - 0.5) * side)
    y = round(face.centre.y + (shift_y - 0.5) * side)
    part = resized(cut(rgb, Rect(x, y, side, side)), CROP_PX, CROP_PX)
    return _Crop(part, np.array((x, y), float), side / CROP_PX)
