"""A PostgreSQL server for all tests of a process: each has a database of its own."""

import pytest

from tests.support.postgres_lab import postgres


@pytest.fixture(scope="session")
def server():
    with postgres() as running:
        yield running
