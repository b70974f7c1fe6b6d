"""A page on loopback, with a sheet that waits for its release, and a visitor."""

import pytest

from tests.support.page_lab import WAITING, Visitor, counter


@pytest.fixture
def desk(tmp_path):
    with counter(tmp_path) as of:
        of.session = WAITING
        yield of


@pytest.fixture
def visitor(desk):
    return Visitor(desk.port)
