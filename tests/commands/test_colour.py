"""The command of the colour page on a real print server: from a printer with a cast to one that prints documents.

The printer's dyes are made up (`tests.support.printer_profile`); they make of the received page what a camera sees.
"""

import json
import subprocess

import numpy as np
import pytest
from PIL import Image, ImageCms

from kiosk.cli import main
from kiosk.core.print_scale.proof import RulerPage, prove
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.print_scale.scale import Scale
from kiosk.devices.cups.options import QUALITY
from kiosk.devices.print_backends import make_printer, printers_standing, queues_of
from kiosk.errors import ColourUnproven, SettingsRefused
from kiosk.ready.printer import printer_findings
from kiosk.settings import read_settings
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import SystemClock
from kiosk.vision.pictures.arrays import linear_light
from tests.faults.printing.conftest import sheet
from tests.support.cups_booth import cups_booth
from tests.support.printed import read_pwg
from tests.support.printed_colours import pictured
from tests.support.printer_lab import INDEX, printer_lab
from tests.support.printer_profile import light_of, printer_profile
from tests.support.virtual_printer import Model, paper

PROFILE = 'profile = { file = "dyes.icc" }'

SPARE = 'second = { queue = "spare" }'


@pytest.fixture(scope="module")
def lab():
    with printer_lab() as running:
        for name in ("photo", "spare"):
            running.queue(name, Model((paper(INDEX, (300, 300, 300, 300)),)))
        yield running


@pytest.fixture
def settings(lab, tmp_path):
    (tmp_path / "dyes.icc").write_bytes(printer_profile())
    return cups_booth(tmp_path / "booth.toml", lab.port, "photo", SPARE, "needs_colour_proof = true")


def with_profile(settings, text=PROFILE):
    settings.write_text(settings.read_text().replace('queue = "photo"\n', f'queue = "photo"\n{text}\n'))


def true_to_size(settings):
    """Prove the scale of both queues."""
    read, today = read_settings(settings), SystemClock().today()
    for queue in queues_of(read, SystemClock()):
        set_up = queue.scale.set_up()
        page = RulerPage(1, ruler_for(set_up.medium.size_mm, set_up.medium.margins), Scale(), set_up.digest, today)
        Scales(read.printing / "scales").put(queue.name, INDEX, QUALITY, prove(page, Scale()))


def colour(settings, capsys, *arguments):
    code = main(["colour", "--settings", str(settings), *map(str, arguments)])
    told = capsys.readouterr()
    return code, told.out + told.err


def photographed(lab, path, name="photo", **how):
    """Write what a camera sees of the page that a printer received last."""
    device = next(printer for printer in lab.printers if printer.name == name)
    page = read_pwg(device.received()[-1])
    light = light_of(page.pixels[::2, ::2] / 255).astype(np.float32)
    Image.fromarray(pictured(light, page.size_mm, **how)).save(path, quality=95)
    return path


def test_a_printer_with_a_cast_is_refused_and_its_profile_makes_it_print_documents(lab, settings, tmp_path, capsys):
    true_to_size(settings)
    code, told = colour(settings, capsys, "--photo", tmp_path / "none.jpg")
    assert code == 24
    assert "no colour page was printed on it" in told
    printer = queues_of(read_settings(settings), SystemClock())[0]
    with pytest.raises(ColourUnproven, match="photo must not print documents: its colour was never measured"):
        printer.check()
    with pytest.raises(ColourUnproven):
        printer.print_sheet(sheet("early"))
    code, told = colour(settings, capsys)
    assert code == 0
    assert "Page 1 went to photo" in told
    seen = photographed(lab, tmp_path / "seen.jpg", power=1.1, tint=(1.05, 1.0, 0.85), slant=True)
    code, told = colour(settings, capsys, "--photo", seen)
    assert code == 1
    assert "off neutral" in told
    assert "Name the profile" in told

    with_profile(settings)
    printer = queues_of(read_settings(settings), SystemClock())[0]
    with pytest.raises(ColourUnproven, match="profile have changed since its colour page of"):
        printer.check()
    assert colour(settings, capsys)[0] == 0
    code, told = colour(settings, capsys, "--photo", seen)
    assert code == 3
    assert "not in the order of page 2" in told
    seen = photographed(lab, tmp_path / "seen.jpg", power=1.1, tint=(1.05, 1.0, 0.85), slant=True)
    code, told = colour(settings, capsys, "--photo", seen, "--json")
    assert code == 0, told
    found = json.loads(told)
    assert found["proven"]
    assert max(found["cast"], found["tone"], found["colours"], found["skins"]) < 2.0
    printer.check()
    assert printer.print_sheet(sheet("true")).startswith("photo, job")

    first, second = printers_standing(read_settings(settings), SystemClock())
    assert (first.refusal, first.colour.refusal, first.colour.drift) == ("", "", None)
    assert first.colour.cast == pytest.approx(found["cast"] + found["cast_uncertainty"], abs=0.01)
    assert "colour was never measured" in second.refusal
    assert "holdstill colour" in second.next_step
    names = [finding.name for finding in printer_findings([first, second], SystemClock().today())]
    assert names.count("colour_page") == 1
    code, told = colour(settings, capsys, "--list")
    assert code == 0
    assert "Its colour is proven." in told
    assert "It is not proven: its colour was never measured." in told

    with_profile(settings, "")
    settings.write_text(settings.read_text().replace('"dyes.icc"', '"dyes.icc", intent = "perceptual"'))
    with pytest.raises(ColourUnproven, match="profile have changed"):
        queues_of(read_settings(settings), SystemClock())[0].check()


def test_typed_readings_are_taken_once_for_a_page_and_drift_is_told_from_page_to_page(lab, settings, tmp_path, capsys):
    queue = ("--printer", "spare")
    drifts = []
    for cast in (0.0, 1.5):
        assert colour(settings, capsys, *queue)[0] == 0
        chart = queues_of(read_settings(settings), SystemClock())[1].colour.page().chart
        lines = ["patch,l,a,b", "paper,94,0,-3"]
        for patch in chart.patches:
            if patch.row == "D":
                lightness = (12.0, 22.0, 31.0, 40.0, 49.0, 57.5, 66.0, 74.5, 82.0, 89.0)[9 - chart.step_of(patch)]
                lines.append(f"{patch.name},{lightness},{cast},-1")
        (tmp_path / "typed.csv").write_text("\n".join(lines))
        code, told = colour(settings, capsys, *queue, "--readings", tmp_path / "typed.csv", "--json")
        drifts.append(json.loads(told)["drift"])
        code, told = colour(settings, capsys, *queue, "--readings", tmp_path / "typed.csv")
        assert code == 3
        assert "has been measured" in told
    assert drifts[0] is None
    assert drifts[1] == pytest.approx(1.6, abs=0.3)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('profile = { file = "none.icc" }', "printer.profile.file: .*none.icc: no such file"),
        ('profile = { file = "srgb.icc" }', "printer.profile.file: .*of a monitor, not of a printer"),
        ('profile = { file = "booth.toml" }', "printer.profile.file: .*it is no ICC profile"),
        ('profile = { file = "." }', "printer.profile.file: .*directory"),
        ('profile = { file = "dyes.icc", intent = "vivid" }', "printer.profile.intent"),
        ('profile = { file = "dyes.icc", intent = "absolute" }', "printer.profile: .*set black_point = false"),
        ('profile = { name = "dyes.icc" }', "printer.profile"),
    ],
)
def test_a_profile_that_is_none_of_a_printer_is_an_error_of_the_settings(settings, tmp_path, capsys, text, words):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    (tmp_path / "srgb.icc").write_bytes(profile)
    with_profile(settings, text)
    with pytest.raises(SettingsRefused, match=words):
        make_printer(read_settings(settings), SystemClock())
    assert colour(settings, capsys)[0] == 8


def test_the_second_queue_and_a_further_paper_have_profiles_of_their_own(settings):
    text = settings.read_text().replace(
        'second = { queue = "spare" }', 'second = { queue = "spare", profile = { file = "second.icc" } }'
    )
    settings.write_text(text)
    with pytest.raises(SettingsRefused, match=r"printer\.second\.profile\.file"):
        queues_of(read_settings(settings), SystemClock())
    text = text.replace("second.icc", "dyes.icc")
    settings.write_text(
        text + '[paper]\nmore = [{ medium = "5x7in", queue = "wide", profile = { file = "third.icc" } }]\n'
    )
    with pytest.raises(SettingsRefused, match=r"paper\.more\.0\.profile\.file"):
        queues_of(read_settings(settings), SystemClock())


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["--printer", "none"], 2, "the settings name no queue 'none', but photo, spare"),
        (["--photo", "README.md"], 3, "no picture"),
        (["--photo", "demo/pictures/align.png"], 3, "round marks"),
        (["--readings", "none.csv"], 3, "no such file"),
        (["--readings", "demo/pictures/align.png"], 3, "no text"),
        (["--readings", "README.md"], 3, "the first line"),
    ],
)
def test_what_cannot_be_done_or_read_is_told(settings, capsys, arguments, code, words):
    colour(settings, capsys)
    found, told = colour(settings, capsys, *arguments)
    assert found == code, told
    assert words in told


def test_a_page_is_written_to_a_file_and_not_kept(settings, tmp_path, capsys):
    before = queues_of(read_settings(settings), SystemClock())[0].colour.page()
    code, told = colour(settings, capsys, "-o", tmp_path / "page.pdf")
    assert code == 0
    assert "not kept" in told
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF")
    printer = queues_of(read_settings(settings), SystemClock())[0]
    assert printer.colour.page() == before
    subprocess.run(["pdftoppm", "-r", "200", "-singlefile", tmp_path / "page.pdf", tmp_path / "page"], check=True)
    pixels = np.asarray(Image.open(tmp_path / "page.ppm"))
    seen = pictured(linear_light(pixels), (101.6, 152.4))
    Image.fromarray(seen).save(tmp_path / "seen.jpg", quality=95)
    assert colour(settings, capsys)[0] == 0
    code, told = colour(settings, capsys, "--photo", tmp_path / "seen.jpg")
    assert code == 3
    assert "not in the order of page" in told


def test_a_folder_printer_has_no_colours_and_says_so(settings, capsys):
    text = settings.read_text()
    settings.write_text(text[: text.index("[printer]")] + '[printer]\nbackend = "folder"\nfolder = "prints"\n')
    code, told = colour(settings, capsys)
    assert code == 2
    assert "is a folder" in told
    assert "name no queue" in colour(settings, capsys, "--list")[1]
