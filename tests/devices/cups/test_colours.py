"""Sheets in a printer's own colours: against littleCMS's own transicc, and through a real print server.

The printer is made up (`tests.support.printer_profile`), so that what its dyes make of what it received is known.
Needs the Debian package liblcms2-utils.
"""

import io
import subprocess
from datetime import date
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image, ImageCms

from kiosk.catalogue.badge_designs import read_design
from kiosk.core.base.geometry import Rect, Size
from kiosk.core.print_colour.colours import difference
from kiosk.core.print_colour.judging import judged
from kiosk.core.print_colour.reading import Reading
from kiosk.core.sheet.imposition import Margins, impose
from kiosk.core.sheet.media import medium
from kiosk.devices.base import PrintJob
from kiosk.devices.cups.colours import INTENTS, QueueColours, fault_of, in_colours
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.job import Patience
from kiosk.devices.cups.printer import CupsPrinter
from kiosk.devices.cups.set_up import Printing
from kiosk.errors import PrinterFault
from kiosk.render.badge.badge_sheet import BadgeOrder, badge_sheets
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.sheet.colour_page import colour_pdf
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.photo import Photo
from kiosk.render.sheet.strip import SheetStrip
from kiosk.store.printing.job_journal import JobJournal
from kiosk.store.printing.scales import Scales
from kiosk.system.clock import SystemClock
from tests.support.cases import slow_but
from tests.support.printed import read_page
from tests.support.printer_lab import INDEX, printer_lab
from tests.support.printer_profile import lab_of, printer_profile
from tests.support.virtual_printer import Model, paper

DESIGNS = Path(__file__).parents[3] / "specs" / "badges"
CASES = [("relative", True), ("relative", False), ("perceptual", True), ("saturation", False), ("absolute", False)]
CODES = [(r, g, b) for r in range(0, 256, 51) for g in range(0, 256, 51) for b in range(0, 256, 51)]
CODES += [(code, code, code) for code in range(0, 256, 15)]


@pytest.fixture(scope="session")
def icc(tmp_path_factory):
    path = tmp_path_factory.mktemp("icc") / "printer.icc"
    path.write_bytes(printer_profile())
    return path


def transicc(icc, codes, intent, black_point):
    """Return what littleCMS's own program makes of sRGB codes."""
    number = list(INTENTS).index(intent)
    command = ["transicc", "-v0", "-n", f"-t{number}", *(["-b"] if black_point else []), "-i*sRGB", f"-o{icc}"]
    text = "\n".join(" ".join(map(str, code)) for code in codes) + "\n"
    done = subprocess.run(command, input=text, capture_output=True, text=True, check=True)
    return np.array([[float(number) for number in line.split()] for line in done.stdout.splitlines() if line.strip()])


def apart(device, other):
    """Return the colour differences of what the printer makes of device codes."""
    pairs = zip(lab_of(np.asarray(device) / 255), lab_of(np.asarray(other) / 255), strict=True)
    return [difference(tuple(one), tuple(two)) for one, two in pairs]


def sheet_with(pixels):
    page = PdfPage(Size(101.6, 152.4))
    page.draw_picture(page.add_picture(pixels), Rect(20, 20, 40, 40))
    return page


def picture_in(pdf):
    with pikepdf.open(io.BytesIO(pdf)) as file:
        (image,) = file.pages[0].get_images().values()
        assert image.ColorSpace == "/DeviceRGB"
        data = np.frombuffer(image.read_bytes(), np.uint8)
        return data.reshape(int(image.Height), int(image.Width), 3)


@pytest.mark.parametrize(("intent", "black_point"), CASES)
def test_a_picture_is_turned_as_by_the_reference_within_one_unit(icc, intent, black_point):
    colours = QueueColours(icc.read_bytes(), intent, black_point)
    pixels = np.array(CODES, np.uint8).reshape(1, -1, 3)
    device = picture_in(in_colours(sheet_with(pixels).finish(), colours))[0]
    reference = transicc(icc, CODES, intent, black_point)
    assert max(apart(device, reference)) < 1.0


def test_every_choice_changes_something(icc):
    pixels = np.array(CODES, np.uint8).reshape(1, -1, 3)
    pdf = sheet_with(pixels).finish()
    made = [in_colours(pdf, QueueColours(icc.read_bytes(), *case)) for case in [*CASES[:3], CASES[4]]]
    assert len({picture_in(each).tobytes() for each in made}) == len(made)
    digests = {QueueColours(profile, *case).digest for case in CASES for profile in (b"one", b"two")}
    assert len(digests) == 2 * len(CASES)


def test_drawings_are_turned_as_pictures_are_and_nothing_says_srgb_any_more(icc):
    colours = QueueColours(icc.read_bytes(), "relative", black_point=True)
    page = sheet_with(np.full((4, 4, 3), (188, 137, 128), np.uint8))
    page.fill_rect(Rect(70, 20, 10, 10), (188 / 255, 137 / 255, 128 / 255))
    turned = in_colours(page.finish(), colours)
    with pikepdf.open(io.BytesIO(turned)) as file:
        (fill,) = [one for one in pikepdf.parse_content_stream(file.pages[0]) if str(one.operator) == "rg"]
        assert [round(255 * float(part)) for part in fill.operands] == picture_in(turned)[0, 0].tolist()
        assert "/ColorSpace" not in file.pages[0].Resources
        assert "/OutputIntents" not in file.Root
    assert turned == in_colours(page.finish(), colours)


def test_paper_stays_bare(icc):
    for intent, black_point in CASES[:4]:
        colours = QueueColours(icc.read_bytes(), intent, black_point)
        white = np.full((4, 4, 3), 255, np.uint8)
        assert picture_in(in_colours(sheet_with(white).finish(), colours)).min() == 255


def test_sheets_and_badges_set_colours_in_no_other_way_than_is_turned():
    """No operator of ISO 32000-1, table 74, but `rg` and `RG`, and no picture that is not of 8-bit RGB."""
    others = {"g", "G", "k", "K", "cs", "CS", "sc", "SC", "scn", "SCN", "sh", "BI"}
    size = Size(35.0, 45.0)
    sheet = impose(medium("4x6in"), size, Margins(), 2.0)
    photo = Photo(np.full((531, 413, 3), 90, np.uint8), size, border=True)
    strip = SheetStrip(("gb-passport-print",), date(2026, 11, 29), simulated=True, not_certain=("yaw",))
    order = BadgeOrder(
        {"id": "EV26-00001", "name": "Ada", "organisation": "Harbour Works", "role": "visitor"},
        np.full((600, 500, 3), 90, np.uint8),
    )
    card = read_design(DESIGNS / "card-photo-left.toml")
    for pdf in (sheet_pdf(sheet, [photo], strip), badge_sheets(card, [order], medium("a4"), Margins())):
        with pikepdf.open(io.BytesIO(pdf)) as file:
            for page in file.pages:
                assert not others & {str(one.operator) for one in pikepdf.parse_content_stream(page)}
                assert all(
                    (image.BitsPerComponent, image.ColorSpace[0]) == (8, "/ICCBased")
                    for image in page.get_images().values()
                )
                assert all("/SMask" not in image for image in page.get_images().values())


def foreign(change):
    """Return a sheet that another program might have written."""
    with pikepdf.open(io.BytesIO(sheet_with(np.full((8, 8, 3), 90, np.uint8)).finish())) as file:
        page = file.pages[0]
        (image,) = page.get_images().values()
        change(file, page, image)
        out = io.BytesIO()
        file.save(out)
    return out.getvalue()


def drawn_with(operators):
    def change(file, page, _):
        page.contents_add(file.make_stream(operators), prepend=False)

    return change


def as_jpeg(_file, _page, image):
    jpeg = io.BytesIO()
    Image.new("RGB", (8, 8), (90, 90, 90)).save(jpeg, "JPEG")
    image.write(jpeg.getvalue(), filter=pikepdf.Name.DCTDecode)


def as_grey(_file, _page, image):
    image.write(bytes(64))
    image.ColorSpace = pikepdf.Name.DeviceGray


def masked(file, _page, image):
    image.SMask = file.make_stream(bytes(64), Width=8, Height=8)


def as_form(file, page, _):
    page.Resources.XObject["/F0"] = pikepdf.Stream(file, b"0 g 0 0 9 9 re f", Subtype=pikepdf.Name.Form)


@pytest.mark.parametrize(
    "change",
    [
        drawn_with(b"0 0 0 1 k 0 0 9 9 re f"),
        drawn_with(b"0.5 g 0 0 9 9 re f"),
        drawn_with(b"q 9 0 0 9 0 0 cm BI /W 1 /H 1 /BPC 8 /CS /G ID \x00 EI Q"),
        as_jpeg,
        as_grey,
        masked,
        as_form,
    ],
)
def test_a_sheet_with_colours_of_another_kind_is_refused_rather_than_half_turned(icc, change):
    with pytest.raises(PrinterFault, match="holdstill sheet"):
        in_colours(foreign(change), QueueColours(icc.read_bytes(), "relative", black_point=True))


@pytest.mark.parametrize(
    ("profile", "words"),
    [
        (b"", "it is no ICC profile"),
        (b"\x89PNG\r\n" + bytes(200), "it is no ICC profile"),
        (ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(), "profile of a monitor, not of a printer"),
        (ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes(), "not of a printer"),
    ],
)
def test_what_is_no_profile_of_a_printer_is_refused(profile, words):
    assert words in fault_of(profile, "relative")


def test_a_profile_of_a_press_a_damaged_one_and_one_without_tables_are_refused(icc):
    whole = icc.read_bytes()
    assert fault_of(whole, "relative") == ""
    assert "it is for CMYK" in fault_of(whole[:16] + b"CMYK" + whole[20:], "relative")
    assert fault_of(whole.replace(b"B2A", b"X2X"), "relative") == "it has no table for the intent relative"
    for end in (100, 2000, len(whole) // 2):
        assert fault_of(whole[:end], "relative")
    assert fault_of(whole.replace(b"mft2", b"mft9"), "perceptual")


@pytest.fixture(scope="module", params=["image/pwg-raster", "application/pdf"])
def device(request):
    with printer_lab() as running:
        made = running.queue("photo", Model((paper(INDEX, (300, 300, 300, 300)),), (request.param,)))
        made.lab = running
        yield made


def received_page(device, tmp_path, colours):
    """Print the colour page as the booth does, and return it with the codes that the printer got for each patch."""
    how = Printing(medium("4x6in"), Margins(), patience=Patience(120.0), colours=colours)
    queue = Queue("photo", port=device.lab.port)
    printer = CupsPrinter(queue, how, Scales(tmp_path / "s"), JobJournal(tmp_path / "j"), SystemClock())
    page = printer.colour.next_page()
    printer.print_colours(PrintJob("colour-1", colour_pdf(page.chart, ["photo"]), INDEX), page)
    assert printer.colour.page() == page
    path = device.received()[-1]
    seen = read_page(path)
    path.unlink()
    px_mm = seen.dpi / 25.4
    codes = {}
    for patch in page.chart.patches:
        inner = patch.place_mm.inset(0.3, 0.3, 0.3, 0.3)
        rows = slice(round(inner.y * px_mm), round(inner.bottom * px_mm))
        part = seen.pixels[rows, round(inner.x * px_mm) : round(inner.right * px_mm)].reshape(-1, 3)
        assert (part == part[0]).all()
        codes[patch.name] = part[0]
    assert (seen.pixels[: round(3 * px_mm)] == 255).all()
    return page.chart, codes


def found_on(chart, codes):
    readings = {name: Reading(tuple(lab_of(code / 255)), 0.0, 0.0) for name, code in codes.items()}
    return judged(chart, readings)


@pytest.mark.parametrize(("intent", "black_point"), slow_but(CASES[::3], CASES))
def test_wedge_and_patches_arrive_within_one_unit_of_the_reference(device, icc, tmp_path, intent, black_point):
    chart, codes = received_page(device, tmp_path, QueueColours(icc.read_bytes(), intent, black_point))
    reference = transicc(icc, [patch.code for patch in chart.patches], intent, black_point)
    assert max(apart([codes[patch.name] for patch in chart.patches], reference)) < 1.0


def test_with_the_profile_the_print_is_what_srgb_asks_for_and_without_it_has_the_printers_cast(device, icc, tmp_path):
    found = found_on(*received_page(device, tmp_path, QueueColours(icc.read_bytes(), "relative", black_point=True)))
    assert max(found.cast.value, found.tone.value, found.colours, found.skins) < 1.0
    chart, codes = received_page(device, tmp_path, None)
    assert all(codes[patch.name].tolist() == list(patch.code) for patch in chart.patches)
    assert found_on(chart, codes).cast.value > 5.0


def test_the_filters_are_asked_to_leave_turned_colours_alone_and_understand_it(device, icc, tmp_path):
    """A queue that the system's colour manager knows would otherwise have them converted twice."""
    log = device.lab.folder / "log/error"
    for colours in (None, QueueColours(icc.read_bytes(), "relative", black_point=True)):
        before = len(log.read_text(errors="replace"))
        received_page(device, tmp_path, colours)
        since = log.read_text(errors="replace")[before:]
        assert (" cm-calibration " in since) == (colours is not None)
        assert ("Calibration Mode/Off" in since) <= (colours is None)
