"""A tethered camera on a responder of either maker."""

from __future__ import annotations

import pytest

from kiosk.devices.gphoto2.camera import TetheredDriver
from tests.ptpip.rig import ResponderProcess, sitter_pictures


@pytest.fixture(scope="module")
def pictures(tmp_path_factory):
    return sitter_pictures(tmp_path_factory.mktemp("pictures"))


@pytest.fixture(params=["nikon", "canon"])
def maker(request):
    return request.param


@pytest.fixture
def responder(pictures, maker):
    with ResponderProcess(*pictures, "--maker", maker) as made:
        yield made


@pytest.fixture
def driver(responder):
    made = TetheredDriver(responder.address)
    yield made
    made.close()
