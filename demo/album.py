"""Pictures of the screens passed through."""

from __future__ import annotations

from pathlib import Path

from kiosk.core.view.sitter import SessionView
from kiosk.screens.hardware.display import save_png
from kiosk.screens.touch_screen import TouchScreen

SETTLED_S = 0.5


class Album:
    """Keeps one picture of each screen, and of each instruction."""

    def __init__(self, screen: TouchScreen, folder: Path) -> None:
        self.folder = folder
        self.paths: list[Path] = []
        self._screen = screen
        self._seen: set[str] = set()
        folder.mkdir()

    def has(self, name: str) -> bool:
        """Tell whether that screen was passed through."""
        return name in self._seen

    def keep(self, view: SessionView) -> None:
        """Keep the picture now on the screen, if it is a new one."""
        name = f"{view.state}_{view.align.instruction}" if view.align.instruction else view.state
        settled = view.now_s - view.since_s >= SETTLED_S or view.state in ("shooting", "measuring", "printing")
        if name in self._seen or not settled or self._screen.shown is None:
            return
        self._seen.add(name)
        path = self.folder / f"{len(self._seen):02d}_{name}.png"
        save_png(self._screen.shown, path)
        self.paths.append(path)
