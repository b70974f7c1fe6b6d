"""A whole booth with a tethered camera, which can be made to fail."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from kiosk.devices.camera.timeouts import Timeouts
from kiosk.vision.live import LiveVision
from kiosk.vision.still import StillVision
from tests.ptpip.rig import sitter_pictures
from tests.support.tethered_booth import TetheredBooth, tethered_booth

GENEROUS = Timeouts(start_s=120.0, frame_age_s=30.0, resume_s=60.0, shot_s=120.0)
"""What is tried here is what happens, not how soon: a slow machine must not look like a broken camera. The tests of the
watchdog and of a long break set limits of their own; tests/bench/speed measures how long a recovery takes."""
PATIENT_S = 120.0


@pytest.fixture(scope="session")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Return a live frame and a still of a sitter who sits well."""
    return sitter_pictures(tmp_path_factory.mktemp("pictures"))


@pytest.fixture(scope="session")
def vision() -> Iterator[tuple[LiveVision, StillVision]]:
    """Load what looks at pictures, once."""
    with LiveVision() as live, StillVision() as stills:
        yield live, stills


@pytest.fixture
def open_booth(
    tmp_path: Path, pictures: tuple[Path, Path], vision: tuple[LiveVision, StillVision]
) -> Iterator[Callable[..., TetheredBooth]]:
    """Return a function that opens a booth; its arguments are those of `tethered_booth` from `options` on.

    At the end, whatever was told of the camera must have stood on the attendant's desk and page.
    """
    with contextlib.ExitStack() as closing:
        usual = {"limits": GENEROUS, "grace_s": PATIENT_S}
        booths = []

        def opened(*options: str, **more: object) -> TetheredBooth:
            way = tethered_booth(tmp_path, pictures, vision, *options, **(usual | more))
            booths.append(closing.enter_context(way))
            return booths[-1]

        yield opened
        assert [booth.untold for booth in booths] == [[] for _ in booths]


@pytest.fixture
def booth(open_booth: Callable[..., TetheredBooth]) -> TetheredBooth:
    """Return an open booth."""
    return open_booth()
