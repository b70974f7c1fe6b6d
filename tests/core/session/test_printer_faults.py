"""Every fault of a printer ends a sitter's wait for the sheet with what became of it, and names the printer."""

import pytest

from kiosk.core.session.events import Failed
from kiosk.core.session.presenter import TROUBLES
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.errors import PrinterFault, all_errors

FAULTS = [error for error in all_errors() if issubclass(error, PrinterFault)]


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_of_the_printer_says_what_became_of_the_sheet(fault):
    assert TROUBLES[fault.key] == "printer"
    waiting = Session(state="printing", since_s=0.0, active_s=0.0, language="en")
    down, _ = step(waiting, Failed("The printer stopped.", "Ask the attendant.", fault.key), 1.0, None)
    assert down.fate is not None
