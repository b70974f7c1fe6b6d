"""Whatever stands in a file, it is taken or refused by a named error with one sentence and a next step."""

import contextlib

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kiosk.errors import KioskError
from tests.support.parsers import TARGETS, attack

BORNE = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow]


@pytest.mark.parametrize("name", TARGETS)
@settings(max_examples=60, deadline=None, suppress_health_check=BORNE)
@given(st.integers(0, 2**32))
def test_only_named_errors_come_out_of_a_damaged_file(name, tmp_path, seed):
    attack(name, seed, tmp_path)


@pytest.mark.parametrize("name", TARGETS)
@settings(max_examples=40, deadline=None, suppress_health_check=BORNE)
@given(st.binary(max_size=400))
def test_only_named_errors_come_out_of_anything(name, tmp_path, data):
    with contextlib.suppress(KioskError):
        TARGETS[name][0](data, tmp_path)
