"""A driver takes back what it reported during the last sheet only when the next has come out of the printer."""

import pytest

from kiosk.errors import SheetUnknown
from tests.faults.printing.conftest import PATIENCE_S, driven_printer, sheet

DRIVER = f"""#!/bin/sh
here="$(dirname "$0")"
if [ -e "$here/empty" ]; then
    echo "STATE: +media-empty-error" >&2
    while [ -e "$here/empty" ]; do sleep 0.05; done
else
    sleep {4 * PATIENCE_S}
fi
echo "STATE: -media-empty-error" >&2
if [ -e "$here/again" ]; then
    sleep 3
    echo "STATE: +media-empty-error" >&2
    sleep 60
fi
echo "PAGE: 1 1" >&2
cat "${{6:--}}"
"""


def empty(printer, folder):
    """Let a sheet find no paper, and load some after it was called back."""
    (folder / "empty").touch()
    with pytest.raises(SheetUnknown, match="the paper is used up"):
        printer.print_sheet(sheet("a1"))
    (folder / "empty").unlink()
    assert "media-empty-error" in printer._queue.state().reasons


def test_what_was_reported_before_a_sheet_does_not_call_it_back(tmp_path):
    with driven_printer(tmp_path, DRIVER) as (printer, folder):
        empty(printer, folder)
        assert printer.print_sheet(sheet("a2")).startswith("dye, job")
        assert printer._queue.state().reasons == ()


def test_what_was_taken_back_and_is_reported_anew_does(tmp_path):
    with driven_printer(tmp_path, DRIVER) as (printer, folder):
        empty(printer, folder)
        (folder / "again").touch()
        with pytest.raises(SheetUnknown, match="the paper is used up"):
            printer.print_sheet(sheet("a2"))
