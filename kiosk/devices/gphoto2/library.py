"""libgphoto2 with its list of models, which is loaded once per process because that takes longest."""

from __future__ import annotations

import functools
import os
from dataclasses import dataclass
from typing import Any

_NO_SETTINGS_FILE = "/dev/null"
"""libgphoto2 keeps some settings in a file below XDG_CONFIG_HOME; below this path there can be none, so that every
session sets what matters and finds nothing left by the last."""


@dataclass(frozen=True, slots=True)
class Library:
    """The loaded library.

    Attributes
    ----------
    gphoto2
        The module, for its classes and constants.
    models
        Every model that it knows, with the driver for it.
    """

    gphoto2: Any
    models: Any

    @property
    def version(self) -> str:
        """The version of libgphoto2."""
        return str(self.gphoto2.gp_library_version(self.gphoto2.GP_VERSION_SHORT)[0])


@functools.cache
def library() -> Library:
    """Load the library at the first call; no camera is touched."""
    os.environ["XDG_CONFIG_HOME"] = _NO_SETTINGS_FILE
    import gphoto2

    models = gphoto2.CameraAbilitiesList()
    models.load()
    return Library(gphoto2, models)
