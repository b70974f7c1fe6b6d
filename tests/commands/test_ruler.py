"""The ruler's command on a real print server: from a queue never measured to one that prints documents."""

import json
import re
import subprocess

import cv2
import numpy as np
import pytest
from PIL import Image

from kiosk.cli import main
from kiosk.core.base.geometry import Size
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.sheet.imposition import Margins
from kiosk.devices.base import PrintJob
from kiosk.devices.print_backends import make_printer, printers_standing, queues_of
from kiosk.devices.printer.fallback import FallbackPrinter
from kiosk.errors import ScaleUnproven
from kiosk.settings import read_settings
from kiosk.system.clock import SystemClock
from tests.faults.printing.conftest import RED, sheet
from tests.support.cups_booth import cups_booth
from tests.support.printed import read_pwg
from tests.support.printer_lab import EVEN, INDEX, printer_lab
from tests.support.virtual_printer import Model, paper

TRUE = (1.012, 0.993)
"""What the engine of the made-up printer does across and down."""

SPARE = 'second = { queue = "spare" }'


@pytest.fixture(scope="module")
def lab():
    with printer_lab() as running:
        margins = tuple(min(side, 300) for side in EVEN)
        for name in ("photo", "spare"):
            running.queue(name, Model((paper(INDEX, margins),)))
        yield running


@pytest.fixture
def settings(lab, tmp_path):
    return cups_booth(tmp_path / "booth.toml", lab.port, "photo", SPARE)


def last_page(lab, name="photo"):
    device = next(printer for printer in lab.printers if printer.name == name)
    return read_pwg(device.received()[-1])


def scanned(page, path, dpi=300):
    """Write what a flatbed sees of a page that an engine of another scale has put on paper."""
    grey = cv2.cvtColor(page.pixels, cv2.COLOR_RGB2GRAY)
    factor = [scale * dpi / page.dpi for scale in TRUE]
    small = cv2.resize(grey, None, fx=factor[0], fy=factor[1], interpolation=cv2.INTER_AREA)
    Image.fromarray(np.pad(small, 60, constant_values=200)).save(path, dpi=(dpi, dpi))


def ruler(settings, capsys, *arguments):
    of_a_booth = () if "--paper" in arguments else ("--settings", str(settings))
    code = main(["ruler", *of_a_booth, *map(str, arguments)])
    told = capsys.readouterr()
    return code, told.out + told.err


def test_a_queue_is_proven_in_two_pages_and_then_prints_true_to_size(lab, settings, tmp_path, capsys):
    code, told = ruler(settings, capsys, "--read", "90,140")
    assert code == 24
    assert "no ruler page was printed on it" in told
    printer = make_printer(read_settings(settings), SystemClock())
    assert isinstance(printer, FallbackPrinter)
    with pytest.raises(ScaleUnproven, match="photo must not print documents: its scale was never measured"):
        printer.check()
    code, told = ruler(settings, capsys)
    assert code == 0
    assert "Page 1 went to photo" in told
    assert "--read ACROSS,DOWN" in told
    assert not re.search(r"\d\d\.\d", told.replace("85.60 x 53.98 mm", ""))
    scanned(last_page(lab), tmp_path / "scan.png")
    code, told = ruler(settings, capsys, "--scan", tmp_path / "scan.png")
    assert code == 1
    assert "across +1.2" in told
    assert "Print another page" in told
    assert ruler(settings, capsys)[0] == 0
    scanned(last_page(lab), tmp_path / "scan.png")
    code, told = ruler(settings, capsys, "--scan", tmp_path / "scan.png", "--json")
    assert code == 0
    found = json.loads(told)
    assert found["may_print"]
    assert found["across"]["scale"] == pytest.approx(1, abs=1e-3)
    assert found["down"]["scale"] == pytest.approx(1, abs=1e-3)
    printer.check()
    printer.print_sheet(sheet("true"))
    _, _, width_mm, height_mm = last_page(lab).box_mm(RED)
    assert width_mm * TRUE[0] == pytest.approx(35.0, abs=0.05)
    assert height_mm * TRUE[1] == pytest.approx(45.0, abs=0.05)
    first, second = printers_standing(read_settings(settings), SystemClock())
    assert (first.printer, first.obstacle, first.refusal, first.due) == ("photo", "", "", False)
    assert first.error < 0.005
    assert "never measured" in second.refusal
    code, told = ruler(settings, capsys, "--list")
    assert code == 0
    assert "It may print documents." in told
    assert "spare must not print documents" in told


def rules_on(lab, name):
    """Return the lengths of both rules as they lie on the paper, from middle to middle of their ends."""
    page = last_page(lab, name)
    ruled = ruler_for(Size(101.6, 152.4), Margins())
    dark, px_mm = page.pixels.min(axis=2) < 128, page.dpi / 25.4
    lengths = []
    for ink, beside_mm in ((dark, ruled.level_y_mm + 1.5), (dark.T, ruled.upright_x_mm + 1.5)):
        ends = np.flatnonzero(ink[round(beside_mm * px_mm)])
        lengths.append((ends[-1] - ends[0]) / px_mm)
    return lengths


def test_the_readings_of_one_page_are_no_proof_of_the_next(lab, settings, capsys):
    """What a true printer gave on one page, typed in for each of the next ones without measuring them."""
    queue = ("--printer", "spare")
    ruler(settings, capsys, *queue)
    copied = "{:.1f},{:.1f}".format(*rules_on(lab, "spare"))
    assert ruler(settings, capsys, *queue, "--read", copied)[0] == 0
    for _ in range(3):
        _, told = ruler(settings, capsys, *queue)
        assert "--read" in told
        assert ruler(settings, capsys, *queue, "--read", copied)[0] == 1


def test_the_error_of_a_reading_gives_no_second_reading_of_the_same_page(lab, settings, capsys):
    queue = ("--printer", "spare")
    ruler(settings, capsys, *queue)
    code, told = ruler(settings, capsys, *queue, "--read", "88.8,133.3", "--json")
    assert code == 1
    found = json.loads(told)
    worked_out = f"{88.8 / found['across']['scale']:.2f},{133.3 / found['down']['scale']:.2f}"
    code, told = ruler(settings, capsys, *queue, "--read", worked_out)
    assert code == 3
    assert "has been measured" in told


def test_the_second_printer_prints_what_the_first_may_not(lab, settings, capsys):
    assert ruler(settings, capsys, "--printer", "spare")[0] == 0
    assert (
        ruler(settings, capsys, "--printer", "spare", "--read", "{:.1f},{:.1f}".format(*rules_on(lab, "spare")))[0] == 0
    )
    printer = make_printer(read_settings(settings), SystemClock())
    printer.check()
    assert printer.print_sheet(PrintJob("b1", sheet().pdf, INDEX)).startswith("spare, job")


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["--printer", "none"], 2, "the settings name no queue 'none', but photo, spare"),
        (["--paper", "4x6in"], 2, "takes -o"),
        (["--paper", "4x6in", "--read", "90"], 3, "two readings are needed"),
        (["--paper", "4x6in", "--read", "x,y"], 3, "no numbers"),
        (["--paper", "4x6in", "--read", "3.5,5.5"], 3, "no printer makes the rule across 3.5 mm long"),
        (["--paper", "4x6in", "--scan", "demo/pictures/align.png", "--dpi", "300"], 3, "round marks"),
        (["--paper", "4x6in", "--scan", "README.md"], 3, "no picture"),
        (["--paper", "9x9", "-o", "x.pdf"], 6, "No paper is called"),
    ],
)
def test_what_cannot_be_done_or_measured_is_told(settings, capsys, arguments, code, words):
    found, told = ruler(settings, capsys, *arguments)
    assert found == code
    assert words in told


def test_a_page_without_a_printer_is_written_measured_and_not_kept(settings, tmp_path, capsys):
    assert ruler(settings, capsys, "--paper", "a4", "-o", tmp_path / "page.pdf")[0] == 0
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF")
    code, told = main(["ruler", "--paper", "a4", "--read", "190.2,280.2"]), "".join(capsys.readouterr())
    assert code == 0
    assert "Documents may be printed so" in told
    assert "Nothing is kept" in told
    assert not (tmp_path / "state").exists()


def test_a_page_from_a_file_has_the_rules_of_no_page_that_a_queue_prints(settings, tmp_path, capsys):
    before, after = tmp_path / "before.pdf", tmp_path / "after.pdf"
    code, told = ruler(settings, capsys, "-o", before)
    assert code == 0
    assert "not kept" in told
    assert ruler(settings, capsys)[0] == 0
    printer = queues_of(read_settings(settings), SystemClock())[0]
    number = printer.scale.page().number
    assert ruler(settings, capsys, "-o", after)[0] == 0
    assert printer.scale.page().number == number
    assert after.read_bytes() == before.read_bytes(), "its lengths do not go on with the queue's numbers"
    assert number > 0


def judged(capsys, *arguments):
    """Return what the command makes of a page of A4, whose frame is 190 x 280 mm, with its code."""
    return main(["ruler", "--paper", "a4", *map(str, arguments)]), capsys.readouterr().out


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ("191.36,282.0", ["35 mm across would print as 35.25 mm", "scaling is on"]),
        ("228,336", ["would print as 42.00 x 54.00 mm", "scaling is on"]),
        ("188.1,280", ["35 mm across would print as 34.65 mm", "two directions differ"]),
        ("190,276.4", ["45 mm down would print as 44.42 mm", "two directions differ"]),
    ],
)
def test_a_page_that_came_out_untrue_is_judged_with_what_it_means(capsys, readings, words):
    """35 mm times 191.36 over 190 is 35.25 mm (computed)."""
    code, told = judged(capsys, "--read", readings)
    assert code == 1
    assert [word for word in words if word not in told] == []
    assert "Documents must not be printed so" in told
    assert "at 100 %" in told
    code, told = judged(capsys, "--read", readings, "--json")
    found = json.loads(told)
    assert (code, found["may_print"], "would print as" in found["reason"]) == (1, False, True)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--paper", "a4", "--read", "190,280", "--printer", "photo"], "leave out --printer"),
        (["--paper", "a4", "--read", "190,280", "--settings", "x.toml"], "leave out --printer and --settings"),
        (["--read", "190,280", "--dpi", "300"], "--dpi is for a --scan"),
        (["--list", "--printer", "photo"], "leave out --printer"),
    ],
)
def test_an_option_that_would_not_be_heeded_is_refused(capsys, arguments, words):
    assert main(["ruler", *arguments]) == 2
    assert words in capsys.readouterr().err


@pytest.mark.parametrize("dpi", ["0", "-300", "nan", "inf", "x"])
def test_a_resolution_that_makes_no_sense_is_refused(capsys, dpi):
    with pytest.raises(SystemExit) as ended:
        main(["ruler", "--paper", "a4", "--scan", "x.png", "--dpi", dpi])
    assert ended.value.code == 2
    assert f"'{dpi}' is not a number" in capsys.readouterr().err


def test_a_scan_of_the_wrong_resolution_is_told(settings, tmp_path, capsys):
    ruler(settings, capsys, "--paper", "4x6in", "-o", tmp_path / "page.pdf")
    subprocess.run(
        ["pdftoppm", "-r", "300", "-png", "-singlefile", tmp_path / "page.pdf", tmp_path / "page"], check=True
    )
    code, told = ruler(settings, capsys, "--paper", "4x6in", "--scan", tmp_path / "page.png", "--dpi", "72")
    assert code == 3
    assert "4.17 times as wide" in told
    code, told = ruler(settings, capsys, "--paper", "4x6in", "--scan", tmp_path / "page.png")
    assert code == 0
    assert "across +0.0" in told or "across -0.0" in told


def test_a_folder_printer_has_no_ruler_and_says_so(settings, tmp_path, capsys):
    text = settings.read_text()
    settings.write_text(text[: text.index("[printer]")] + '[printer]\nbackend = "folder"\nfolder = "prints"\n')
    code, told = ruler(settings, capsys)
    assert code == 2
    assert "is a folder" in told
    (standing,) = printers_standing(read_settings(settings), SystemClock())
    assert (standing.obstacle, standing.refusal, standing.error) == ("", "", None)
    assert "name no queue" in ruler(settings, capsys, "--list")[1]
