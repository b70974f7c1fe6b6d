"""The models that both looks share: the face's and the person's."""

from __future__ import annotations

from typing import Self

from kiosk.vision.models.landmarks import FaceReader
from kiosk.vision.models.person import PersonReader


class Readers:
    """A face reader and a person reader, released together; keep one for the life of the program."""

    def __init__(self) -> None:
        self._faces = FaceReader()
        self._person = PersonReader()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def warm_up(self) -> None:
        """Load the models before there is a picture of anybody; takes seconds."""
        self._faces.warm_up()
        self._person.warm_up()

    def close(self) -> None:
        """Release the models."""
        self._faces.close()
        self._person.close()
