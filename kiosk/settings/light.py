"""The light that the program works: lamps on a relay, and a flash."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from kiosk.settings.section import Section


def _line(line: int | str) -> int | str:
    if line == "" or (isinstance(line, int) and line < 0):
        raise ValueError("give the line's name, or its offset from 0 on")
    return line


class LineSettings(Section):
    """A line of a GPIO chip, as `gpioinfo` lists it.

    Attributes
    ----------
    chip
        The chip's device file, or `simulated` to try a booth without one.
    line
        The line's offset on the chip, or its name.
    active_low
        Whether the relay draws when the line is low.
    """

    chip: str = Field(pattern=r"^(/dev/\S+|simulated)$")
    line: Annotated[int | str, AfterValidator(_line)]
    active_low: bool = False


class LampSettings(LineSettings):
    """Lamps that are on while somebody uses the booth.

    Attributes
    ----------
    warm_up_s
        After how many seconds their light is steady; no picture is taken sooner.
    off_after_s
        How many seconds they stay on for the next sitter; they cannot be made to flicker from the screen.
    """

    warm_up_s: float = Field(default=1.0, ge=0, le=30)
    off_after_s: float = Field(default=60.0, ge=10, le=3600)


SLOWEST_S = 10.0
"""The longest recycling that a booth waits for; a sitter does not hold still for longer."""
FASTEST_S = 1.0
"""The shortest time between two flashes: a third of the three a second that WCAG 2.2, 2.3.1 allows."""

Recycling = Annotated[float, Field(ge=FASTEST_S, le=SLOWEST_S)]


class CameraFlashSettings(Section):
    """A flash that the camera fires itself, in its hot shoe or by its sync socket.

    Attributes
    ----------
    recycle_s
        How many seconds the flash needs between two pictures.
    """

    by: Literal["camera"]
    recycle_s: Recycling = 2.0


class LineFlashSettings(LineSettings):
    """A flash that the program fires by a pulse, because the camera cannot.

    Attributes
    ----------
    recycle_s
        How many seconds the flash needs between two pictures.
    delay_s
        From the order of a picture to the pulse: the shutter must be open by then, and still be open.
    pulse_s
        How long the line is on.
    """

    by: Literal["line"]
    recycle_s: Recycling = 2.0
    delay_s: float = Field(default=0.5, ge=0, le=5)
    pulse_s: float = Field(default=0.05, ge=0.001, le=0.5)


AnyFlash = CameraFlashSettings | LineFlashSettings


class LightSettings(Section):
    """The lamps and the flash; without them the light is always on, or is somebody else's business."""

    lamps: LampSettings | None = None
    flash: AnyFlash | None = Field(default=None, discriminator="by")
