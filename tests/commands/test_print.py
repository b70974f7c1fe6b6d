"""A sheet from a file on a real print server: only on its paper, only at a proven scale, and true to size."""

import json
import os
import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from kiosk.cli import main
from kiosk.core.base.geometry import Rect, Size
from kiosk.core.print_scale.proof import RulerPage, prove
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.print_scale.scale import Axis, Scale
from kiosk.core.sheet.imposition import Margins
from kiosk.devices.cups.options import QUALITY
from kiosk.devices.print_backends import queues_of
from kiosk.render.drawing.outline import outline, words_width_mm
from kiosk.render.drawing.pdf import PdfPage, pdf_file
from kiosk.settings import read_settings
from kiosk.store.printing.counter_sheets import CounterSheets
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import SystemClock
from tests.faults.printing.conftest import RED
from tests.support.cups_booth import cups_booth
from tests.support.pin import CHEAP_HASH
from tests.support.printed import read_pwg
from tests.support.printer_lab import EVEN, FIVE_SEVEN, INDEX, printer_lab
from tests.support.virtual_printer import Model, paper, wait_for

ENGINE = Scale(Axis(1.004, 0.0005), Axis(0.997, 0.0005))
"""What the ruler page has shown of the printer: within what is allowed, and moved against all the same."""
SMALL, WIDE = Size(101.6, 152.4), Size(127.0, 177.8)


@pytest.fixture(scope="module")
def lab():
    with printer_lab() as running:
        margins = tuple(min(side, 300) for side in EVEN)
        running.queue("small", Model((paper(INDEX, margins),)))
        running.queue("wide", Model((paper(FIVE_SEVEN, margins),)))
        yield running


@pytest.fixture
def settings(lab, tmp_path):
    more = ("[paper]", 'medium = "4x6in"', "[[paper.more]]", 'medium = "5x7in"', 'queue = "wide"')
    return cups_booth(tmp_path / "booth.toml", lab.port, "small", *more)


def prove_all(settings):
    """Record a measured ruler page for every queue of the settings, made today."""
    read = read_settings(settings)
    for queue in queues_of(read, SystemClock()):
        ruler, today = ruler_for(queue.medium.size_mm, Margins()), SystemClock().today()
        page = RulerPage(1, ruler, Scale(), queue.scale.set_up().digest, today)
        Scales(read.printing / "scales").put(queue.name, queue.medium.name, QUALITY, prove(page, ENGINE))


def page_of(size_mm):
    page = PdfPage(size_mm)
    page.draw_picture(page.add_picture(np.full((1063, 827, 3), RED, np.uint8)), Rect(25.4, 25.4, 35.0, 45.0))
    return page


@pytest.fixture
def sheet(tmp_path):
    def written(size_mm, pages=1):
        path = tmp_path / "sheet.pdf"
        path.write_bytes(pdf_file([page_of(size_mm)] * pages))
        return path

    return written


def received(lab, name):
    return next(printer for printer in lab.printers if printer.name == name).received()


def printed(settings, capsys, *arguments):
    code = main(["print", *map(str, arguments), "--settings", str(settings)])
    return code, "".join(capsys.readouterr())


def test_nothing_is_printed_on_a_queue_whose_scale_is_not_proven(lab, settings, sheet, capsys):
    before = len(received(lab, "small"))
    code, told = printed(settings, capsys, sheet(SMALL), "--queue", "small")
    assert code == 24
    assert "its scale was never measured" in told
    assert "holdstill ruler" in told
    assert len(received(lab, "small")) == before


def test_a_sheet_of_the_command_comes_out_at_true_size(lab, settings, sheet, capsys):
    """What the engine makes of what it was sent: 35 x 45 mm, to the pixel of 300 dpi."""
    prove_all(settings)
    code, told = printed(settings, capsys, sheet(SMALL))
    assert code == 0
    assert "1 sheet of" in told
    assert "printed on 4x6in at small, job" in told
    _, _, width_mm, height_mm = read_pwg(received(lab, "small")[-1]).box_mm(RED)
    assert width_mm * ENGINE.x.scale == pytest.approx(35.0, abs=0.05)
    assert height_mm * ENGINE.y.scale == pytest.approx(45.0, abs=0.05)


def test_the_queue_is_the_one_that_holds_the_paper(lab, settings, sheet, capsys):
    prove_all(settings)
    before = len(received(lab, "wide"))
    code, told = printed(settings, capsys, sheet(WIDE))
    assert (code, "at wide, job" in told) == (0, True)
    assert len(received(lab, "wide")) == before + 1


def test_the_words_beside_the_photos_come_out_as_wide_as_they_are(lab, settings, tmp_path, capsys):
    """Letters of an embedded font go through the server's filters to the printer's raster."""
    prove_all(settings)
    page, words = page_of(SMALL), outline("cut at the marks · Ärger 50 mm", 3.0)
    page.draw_words(words, 20.0, 100.0)
    path = tmp_path / "sheet.pdf"
    path.write_bytes(page.finish())
    assert printed(settings, capsys, path)[0] == 0
    out = read_pwg(received(lab, "small")[-1])
    px_mm = out.dpi / 25.4
    ink = out.pixels[round(98 * px_mm) : round(106 * px_mm)].min(axis=2) < 128
    across = np.flatnonzero(ink.any(axis=0)) / px_mm
    width_mm = words_width_mm(words.text, 3.0)
    assert (across[-1] - across[0]) * ENGINE.x.scale == pytest.approx(width_mm, abs=0.5)
    assert 0.05 < ink.sum() / px_mm**2 / (width_mm * 3.0) < 0.4


@pytest.mark.parametrize(("size_mm", "queue"), [(WIDE, ["--queue", "small"]), (Size(210.0, 297.0), [])])
def test_nothing_is_scaled_to_another_paper(lab, settings, sheet, capsys, size_mm, queue):
    prove_all(settings)
    before = len(received(lab, "small"))
    code, told = printed(settings, capsys, sheet(size_mm), *queue)
    assert code == 11
    assert f"is for a paper of {size_mm.width:.1f} x {size_mm.height:.1f} mm; there is 4x6in in small" in told
    assert len(received(lab, "small")) == before


def cropped(path):
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.pages[0].CropBox = pikepdf.Array([10, 10, 200, 300])
        pdf.save(path)


def turned(path):
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.pages[0].Rotate = 90
        pdf.save(path)


def locked(path):
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.save(path, encryption=pikepdf.Encryption(owner="a", user="b"))


SPOILT = {
    "cropped": cropped,
    "turned": turned,
    "damaged or locked": locked,
    "no PDF": lambda path: Image.new("RGB", (9, 9)).save(path, format="PNG"),
    "damaged": lambda path: path.write_bytes(path.read_bytes()[:200]),
    "no such file": lambda path: path.unlink(),
    "not a file": lambda path: (path.unlink(), path.mkdir()),
    "is not a file": lambda path: (path.unlink(), os.mkfifo(path)),
    "larger than 256 MiB": lambda path: os.truncate(path, 2**40),
}


@pytest.mark.parametrize("why", SPOILT)
def test_what_is_no_sheet_is_refused(settings, sheet, capsys, why):
    path = sheet(SMALL)
    SPOILT[why](path)
    code, told = printed(settings, capsys, path)
    assert code == 3
    assert "sheet.pdf cannot be printed as a sheet" in told
    assert why in told


def test_more_than_a_front_and_a_back_is_refused(settings, sheet, capsys):
    code, told = printed(settings, capsys, sheet(SMALL, pages=3))
    assert (code, "it has 3 pages" in told) == (3, True)


def test_an_unknown_queue_comes_with_the_known_ones(settings, sheet, capsys):
    code, told = printed(settings, capsys, sheet(SMALL), "--queue", "none")
    assert (code, "no queue 'none', but small, wide" in told) == (2, True)


@pytest.mark.parametrize("copies", ["0", "-1", "101", "2.5", "x"])
def test_a_number_of_copies_that_makes_no_sense_is_refused(settings, sheet, capsys, copies):
    with pytest.raises(SystemExit) as ended:
        printed(settings, capsys, sheet(SMALL), "--copies", copies)
    assert ended.value.code == 2


def test_an_interrupt_while_the_sheet_is_with_the_printer_says_that_it_may_come_out(lab, settings, sheet):
    prove_all(settings)
    device = next(printer for printer in lab.printers if printer.name == "small")
    begun = device.folder / "begun"
    begun.unlink(missing_ok=True)
    (device.folder / "pace").write_text("10")
    try:
        command = [sys.executable, "-m", "kiosk.cli", "print", str(sheet(SMALL)), "--settings", str(settings)]
        root = Path(__file__).parents[2]
        surroundings = os.environ | {"PYTHONPATH": str(root)}
        running = subprocess.Popen(command, env=surroundings, stderr=subprocess.PIPE, text=True)
        wait_for(begun.exists, "the sheet was never begun")
        running.send_signal(signal.SIGINT)
        told = running.communicate()[1]
    finally:
        (device.folder / "pace").unlink()
    assert running.returncode == 21
    assert "It is not known whether small has printed the sheet" in told


MINUTES = 15


@pytest.fixture
def remembering(lab, tmp_path):
    more = ("[paper]", 'medium = "4x6in"', "[[paper.more]]", 'medium = "5x7in"', 'queue = "wide"')
    kept = ("[attendant]", f"pin_hash = '{CHEAP_HASH}'", f"reprint_minutes = {MINUTES}")
    settings = cups_booth(tmp_path / "counter.toml", lab.port, "small", *more, *kept)
    prove_all(settings)
    return settings


def made_earlier(settings, minutes):
    """Move all that the counter has noted into the past; negative minutes are a clock that was set back."""
    file = read_settings(settings).printing / "counter.json"
    notes = json.loads(file.read_text())
    for sheet in notes["sheets"]:
        sheet["at"] = (datetime.fromisoformat(sheet["at"]) - timedelta(minutes=minutes)).isoformat()
    file.write_text(json.dumps(notes))


def test_a_sheet_is_printed_again_by_its_number_and_each_has_its_own(lab, remembering, sheet, capsys):
    before = {name: len(received(lab, name)) for name in ("small", "wide")}
    path = sheet(SMALL)
    code, told = printed(remembering, capsys, path)
    assert code == 0
    assert "goes to small as number 1." in told
    assert f"For {MINUTES} minutes from the first print, --again 1 prints it once more." in told
    other = path.rename(path.with_name("caf\udce9 first.pdf"))
    code, told = printed(remembering, capsys, sheet(WIDE), "--quiet")
    assert (code, told.rstrip().endswith(", as number 2")) == (0, True)
    path.unlink()
    assert printed(remembering, capsys, "--again", "1")[0] == 3
    other.rename(path)
    code, told = printed(remembering, capsys, "--again", "1", "--copies", "2")
    assert (code, "2 sheets of" in told, "printed on 4x6in at small" in told) == (0, True, True)
    assert len(received(lab, "small")) >= before["small"] + 2
    assert len(received(lab, "wide")) == before["wide"] + 1


def test_a_file_of_any_name_is_found_again(lab, remembering, sheet, capsys):
    path = sheet(SMALL)
    path = path.rename(path.with_name("a b?#%41 caf\udce9.pdf"))
    assert printed(remembering, capsys, path)[0] == 0
    assert printed(remembering, capsys, "--again", "1")[0] == 0


def test_another_picture_in_the_file_is_never_printed_under_the_old_number(lab, remembering, sheet, capsys):
    path = sheet(SMALL)
    assert printed(remembering, capsys, path)[0] == 0
    before = len(received(lab, "small"))
    path.write_bytes(pdf_file([page_of(SMALL), page_of(SMALL)]))
    code, told = printed(remembering, capsys, "--again", "1")
    assert code == 3
    assert "sheet.pdf has changed since" in told
    path.unlink()
    code, told = printed(remembering, capsys, "--again", "1")
    assert (code, "there is no such file" in told) == (3, True)
    assert len(received(lab, "small")) == before


@pytest.mark.parametrize("minutes", [MINUTES, -1])
def test_a_number_ends_with_its_time_and_is_never_given_again(lab, remembering, sheet, capsys, minutes):
    assert printed(remembering, capsys, sheet(SMALL))[0] == 0
    made_earlier(remembering, minutes)
    code, told = printed(remembering, capsys, "--again", "1")
    assert code == 3
    assert f"no such number was given in the last {MINUTES} minutes" in told
    assert "at the attendant's desk" in told
    assert "sheet.pdf" not in (read_settings(remembering).printing / "counter.json").read_text()
    assert "as number 2." in printed(remembering, capsys, sheet(SMALL))[1]


def test_without_a_time_to_keep_them_nothing_is_noted(lab, settings, sheet, capsys):
    prove_all(settings)
    code, told = printed(settings, capsys, sheet(SMALL))
    assert (code, "number" in told) == (0, False)
    assert not (read_settings(settings).printing / "counter.json").exists()
    code, told = printed(settings, capsys, "--again", "1")
    assert (code, "the settings have no attendant.reprint_minutes" in told) == (3, True)


def test_a_reprint_is_refused_where_the_scale_is_not_proven_any_more(lab, remembering, sheet, capsys):
    assert printed(remembering, capsys, sheet(SMALL))[0] == 0
    for proof in (read_settings(remembering).printing / "scales").iterdir():
        proof.unlink()
    assert printed(remembering, capsys, "--again", "1")[0] == 24


@pytest.mark.parametrize("given", [[], ["--again", "0"], ["--again", "x"], ["sheet.pdf", "--again", "1"]])
def test_one_sheet_is_named_one_way(settings, capsys, given):
    with pytest.raises(SystemExit) as ended:
        printed(settings, capsys, *given)
    assert ended.value.code == 2


def test_two_counters_at_once_never_get_the_same_number(tmp_path):
    sheets = CounterSheets(tmp_path / "counter.json", MINUTES, SystemClock())
    with ThreadPoolExecutor(8) as at_once:
        numbers = list(at_once.map(lambda name: sheets.note(tmp_path / f"{name}.pdf", b"", "small"), range(24)))
    assert sorted(numbers) == list(range(1, 25))


def test_damaged_notes_are_an_error_and_no_number_is_given_twice(lab, remembering, sheet, capsys):
    assert printed(remembering, capsys, sheet(SMALL))[0] == 0
    (read_settings(remembering).printing / "counter.json").write_bytes(b"{")
    before = len(received(lab, "small"))
    code, told = printed(remembering, capsys, sheet(SMALL))
    assert (code, "counter.json cannot be written: it is damaged" in told) == (9, True)
    assert len(received(lab, "small")) == before
