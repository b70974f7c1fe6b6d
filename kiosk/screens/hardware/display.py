"""The window that presents a picture, fullscreen on the booth's screen or headless."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import cv2
import pygame

from kiosk.errors import CannotWrite, NoDisplay
from kiosk.screens.toolkit.scene import ScenePicture
from kiosk.system.atomic_files import write_whole

WHOLE_EVERY = 30
"""The number of frames between two complete updates of the window: about a second."""


class Display:
    """A window of a fixed size; with `SDL_VIDEODRIVER=dummy` it is headless.

    Parameters
    ----------
    size
        Width and height in pixels; None takes the whole screen and hides the pointer.

    Raises
    ------
    NoDisplay
        No window could be opened.
    """

    def __init__(self, size: tuple[int, int] | None = None) -> None:
        try:
            pygame.display.init()
            flags = pygame.FULLSCREEN if size is None else 0
            self._window = pygame.display.set_mode(size or (0, 0), flags, depth=32)
        except pygame.error as error:
            pygame.display.quit()
            raise NoDisplay(detail=str(error)) from error
        pygame.display.set_caption("Holdstill")
        pygame.mouse.set_visible(size is not None)
        self._until_whole = 0

    @property
    def size(self) -> tuple[int, int]:
        """Width and height in pixels."""
        return self._window.get_size()

    @property
    def driver(self) -> str:
        """The name of the SDL video driver in use."""
        return pygame.display.get_driver()

    def present(self, picture: ScenePicture, changed: Sequence[tuple[slice, slice]] | None = None) -> None:
        """Show a BGRA picture of the window's size.

        Parameters
        ----------
        changed
            The regions (rows, columns) that differ from the previous picture, or None if unknown. The whole picture is
            shown now and then regardless, because switching consoles leaves parts of the window damaged.
        """
        height_px, width_px = picture.shape[:2]
        surface = pygame.image.frombuffer(picture.data, (width_px, height_px), "BGRA")
        surface.set_alpha(None)
        self._until_whole -= 1
        if changed is None or self._until_whole < 0:
            self._until_whole = WHOLE_EVERY
            self._window.blit(surface, (0, 0))
            pygame.display.flip()
            return
        places = [
            pygame.Rect(columns.start, rows.start, columns.stop - columns.start, rows.stop - rows.start)
            for rows, columns in changed
        ]
        for place in places:
            self._window.blit(surface, place, place)
        pygame.display.update(places)

    def events(self) -> list[pygame.Event]:
        """Return the window's events since the last call; for the main thread only."""
        return pygame.event.get()

    def close(self) -> None:
        """Close the window; a second call does nothing."""
        pygame.display.quit()


def save_png(picture: ScenePicture, path: Path) -> None:
    """Write a BGRA picture as a PNG file without transparency.

    Raises
    ------
    CannotWrite
        The file could not be written; nothing was left behind.
    """
    encoded = cv2.imencode(".png", picture[..., :3])[1]
    try:
        write_whole(path, encoded.tobytes())
    except OSError as error:
        raise CannotWrite(path=path, detail=error.strerror) from error
