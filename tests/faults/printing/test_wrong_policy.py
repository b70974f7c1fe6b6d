"""A queue that prints again by itself is refused before it can print a sheet twice."""

import pytest

from kiosk.errors import PrinterFault


@pytest.mark.parametrize("policy", ["retry-job", "retry-current-job", "abort-job"])
def test_an_error_policy_that_could_print_twice_is_refused(rig, policy):
    rig.lab.lpadmin("-p", "photo", "-o", f"printer-error-policy={policy}")
    with pytest.raises(PrinterFault, match=policy):
        rig.open().check()
