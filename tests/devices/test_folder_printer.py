"""A printer that is a folder: what holds sitters' faces is for the booth's own user alone."""

import os
import stat

from kiosk.devices.base import PrintJob
from kiosk.devices.folder.printer import FolderPrinter
from tests.support.printer_lab import INDEX


def test_nobody_else_reads_a_sheet_of_a_sitter_whatever_the_umask(tmp_path):
    before = os.umask(0)
    try:
        FolderPrinter(tmp_path).print_sheet(PrintJob("a1", b"%PDF-1.7\n", INDEX))
    finally:
        os.umask(before)
    files = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert files
    assert {stat.S_IMODE(path.stat().st_mode) for path in files} == {0o600}
