"""Text in PDF files, read back by two independent readers, poppler and pypdf, and drawn where its outlines lie."""

import io
import subprocess
from datetime import UTC, date, datetime

import numpy as np
import pikepdf
import pytest
from PIL import Image
from pypdf import PdfReader

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.event.roster import Expected, Person
from kiosk.core.event.turnout import turnout
from kiosk.core.judging.conformance import judge
from kiosk.core.print_scale.ruler import ruler_for
from kiosk.core.sheet.imposition import Margins, impose
from kiosk.core.sheet.media import medium
from kiosk.render.drawing.outline import BASELINE_EM, outline, words_width_mm
from kiosk.render.drawing.pdf import PdfPage, pdf_file
from kiosk.render.drawing.text import set_words
from kiosk.render.report.measurement_pdf import report_page
from kiosk.render.report.rule_drawing import drawing_pdf
from kiosk.render.report.turnout_pdf import turnout_pdf
from kiosk.render.sheet.pdf import sheet_pdf
from kiosk.render.sheet.photo import Photo
from kiosk.render.sheet.ruler import ruler_pdf
from kiosk.render.sheet.strip import SheetStrip
from tests.support.shipped import CATALOGUE
from tests.support.sights import conforming

DOCUMENT = CATALOGUE.get("gb-passport-print")
PAGE = Size(100.0, 60.0)
DPI = 600


def asked(tool, pdf, tmp_path, *options, dashes=()):
    path = tmp_path / "page.pdf"
    path.write_bytes(pdf)
    return subprocess.run([tool, *options, path, *dashes], check=True, capture_output=True, text=True).stdout


def words_of(pdf, tmp_path):
    """Return the text of a file as poppler reads it and as pypdf does, on one line each, without marks of direction."""
    by_poppler = asked("pdftotext", pdf, tmp_path, dashes=["-"])
    by_pypdf = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    unmarked = str.maketrans("", "", "\u202a\u202b\u202c\u200e\u200f")
    return [" ".join(text.translate(unmarked).split()) for text in (by_poppler, by_pypdf)]


def report(**more):
    judgement = judge(conforming(DOCUMENT), DOCUMENT)
    photo = Photo(np.full((450, 350, 3), 170, np.uint8), DOCUMENT.size_mm)
    return pdf_file([report_page(photo, judgement, DOCUMENT, CATALOGUE.sources, photo_name="a.jpg", **more)])


def sheet():
    laid = impose(medium("4x6in"), DOCUMENT.size_mm, Margins(3.0, 3.0, 3.0, 3.0), 2.0)
    photo = Photo(np.full((450, 350, 3), 170, np.uint8), DOCUMENT.size_mm)
    return sheet_pdf(laid, [photo], SheetStrip((DOCUMENT.id,), date(2026, 11, 25)))


def event():
    guests = [Expected(Person("E1", {"id": "E1", "name": "ليلى العطار"}), False, ())]
    return turnout_pdf(turnout(guests), "A fair", datetime(2026, 11, 25, 12, tzinfo=UTC))


FILES = {
    "report": (report, "Measurement report: UK passport, printed photo", "The issuing authority decides."),
    "sheet": (sheet, "Identity photos: gb-passport-print", "2026-11-25 · print at 100 %"),
    "drawing": (lambda: drawing_pdf(DOCUMENT), "UK passport, printed photo, drawn from its rules", "35 mm"),
    "turnout": (event, "Turnout: A fair", "Not arrived: 1"),
    "ruler": (lambda: ruler_pdf(ruler_for(Size(210, 297), Margins()), ["a4"]), "Ruler page", "with a steel ruler"),
}


@pytest.mark.parametrize("name", FILES)
def test_a_file_has_a_title_its_words_and_their_fonts(tmp_path, name):
    make, title, words = FILES[name]
    pdf = make()
    assert make() == pdf
    assert all(words in text for text in words_of(pdf, tmp_path))
    said = asked("pdfinfo", pdf, tmp_path)
    assert f"Title:           {title}\n" in said
    assert "Tagged:          yes" in said
    _, _, *fonts = asked("pdffonts", pdf, tmp_path).splitlines()
    assert fonts
    for font in fonts:
        embedded, subset, to_unicode = font.split()[-5:-2]
        assert (embedded, subset, to_unicode) == ("yes", "yes", "yes"), font
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert (opened.Root.Lang, opened.Root.ViewerPreferences.DisplayDocTitle) == ("en", True)


def test_the_measurement_report_is_read_aloud_in_order(tmp_path):
    """Heading, verdict, photo, table and sources, as poppler reads the structure; a cell's lines belong together."""
    read = asked("pdfinfo", report(override="the light is even"), tmp_path, "-struct-text").splitlines()
    kinds = [line.strip().removesuffix(" (block)") for line in read if '"' not in line]
    assert kinds[:3] == ["Document", "H1", "P"]
    assert [kinds.index(kind) for kind in ("H1", "H2", "Figure", "Table")] == sorted(
        kinds.index(kind) for kind in ("H1", "H2", "Figure", "Table")
    )
    rows = kinds.count("TR") - 1
    assert rows == len(judge(conforming(DOCUMENT), DOCUMENT).findings)
    assert (kinds.count("TH"), kinds.count("TD")) == (5, 5 * rows)
    spoken = " ".join(line.strip().strip('"').strip() for line in read if '"' in line)
    order = ["UK passport, printed photo", "a.jpg", "Passed by attendant: the light is even", "Eye line", "Requirement",
             "Head height", "Rules as read on"]  # fmt: skip
    places = [spoken.index(words) for words in order]
    assert places == sorted(places)
    with pikepdf.open(io.BytesIO(report())) as pdf:
        figures = [part for part in pdf.Root.StructTreeRoot.K.K if part.S == "/Figure"]
        assert [str(part.Alt) for part in figures] == [
            "The photo, with lines at the top of the head, the eyes and the chin; head 31.5 mm."
        ]


def test_every_piece_of_text_belongs_to_the_structure(tmp_path):
    """The parent tree leads from each marked piece to its element (ISO 32000-1, 14.7.4.4)."""
    with pikepdf.open(io.BytesIO(report())) as pdf:
        (page,) = pdf.pages
        number, owners = pdf.Root.StructTreeRoot.ParentTree.Nums
        assert number == page.obj.StructParents == 0
        content = page.Contents.read_bytes()
        pieces = content.count(b"/MCID ")
        assert len(owners) == pieces > 100
        assert content.count(b"BDC") == content.count(b"EMC") == pieces
        for piece, owner in enumerate(owners):
            assert piece in [kid for kid in owner.K if isinstance(kid, int)]


def ink(page, tmp_path):
    (tmp_path / "page.pdf").write_bytes(page.finish())
    command = ["pdftoppm", "-r", str(DPI), "-gray", "-singlefile", "page.pdf", "page"]
    subprocess.run(command, cwd=tmp_path, check=True)
    with Image.open(tmp_path / "page.pgm") as picture:
        return 255.0 - np.asarray(picture, float)


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("font", ["NotoSans-Regular", "NotoSans-Bold"])
def test_letters_lie_where_their_outlines_lie(tmp_path, font, turned):
    """Poppler draws the letters of a font and the same ones as paths; the ink differs by edges of pixels."""
    text = "Ångström Ñandú ΒίκυΡ Жук 0123456789 · ± ≥ ½ @ fi"
    words = outline(text, 3.0, font)
    as_text, as_path = PdfPage(PAGE), PdfPage(PAGE)
    place = Rect(10.0, 2.0, 10.0, 56.0) if turned else Rect(5.0, 20.0, 90.0, 10.0)
    with as_text.at(place, turned), as_path.at(place, turned):
        as_text.draw_words(words, 1.0, 1.0)
        as_path.fill_path(words.path, 1.0, 1.0 + BASELINE_EM * 3.0, (0.0, 0.0, 0.0))
    drawn, expected = ink(as_text, tmp_path), ink(as_path, tmp_path)
    assert drawn.sum() == pytest.approx(expected.sum(), rel=0.03)
    for axis in (0, 1):
        ends = [np.flatnonzero(one.max(axis=axis) > 64)[[0, -1]] for one in (drawn, expected)]
        assert np.abs(ends[0] - ends[1]).max() <= 1
    assert np.abs(drawn - expected).mean() < 0.25 * expected.mean()


def test_the_width_of_a_line_is_that_of_its_letters(tmp_path):
    """As pdftotext measures the word, in points from the origin at the upper left."""
    page = PdfPage(PAGE)
    page.draw_words(outline("Holdstill", 4.0), 10.0, 10.0)
    box = asked("pdftotext", page.finish(), tmp_path, "-bbox", dashes=["-"])
    (word,) = (line for line in box.splitlines() if "<word" in line)
    left, right = (float(word.split(f'{key}="')[1].split('"')[0]) / 72 * 25.4 for key in ("xMin", "xMax"))
    assert left == pytest.approx(10.0, abs=0.01)
    assert right - left == pytest.approx(words_width_mm("Holdstill", 4.0), abs=0.01)


@pytest.mark.parametrize(
    "name",
    ["Ada Lovelace", "Βίκυ Ρήγα", "Жанна Ёлкина", "ليلى العطار", "רות כהן",
     "नीलिमा शर्मा", "ਹਰਪ੍ਰੀਤ ਸਿੰਘ", "কামাল হোসেন", "王小明",
     "Maria Magdalena von und zu Hohenstein-Sonderburg"],
)  # fmt: skip
@pytest.mark.parametrize("align", ["left", "centre", "right"])
def test_a_name_in_any_script_is_found_and_copied_as_it_is_written(tmp_path, name, align):
    """Its outlines are shaped; the text beneath is unseen, lies within the box, and goes from left to right."""
    box, page = Rect(10.0, 10.0, 60.0, 15.0), PdfPage(PAGE)
    words = set_words(name, box, largest_pt=24.0, least_pt=6.0, lines=2, align=align)
    page.draw_set_words(words, box.x, box.y)
    pdf = page.finish()
    assert words_of(pdf, tmp_path) == [name, name]
    found = asked("pdftotext", pdf, tmp_path, "-bbox", dashes=["-"])
    for line in (line for line in found.splitlines() if "<word" in line):
        left, right = (float(line.split(f'{key}="')[1].split('"')[0]) / 72 * 25.4 for key in ("xMin", "xMax"))
        assert box.x - 0.1 <= left < right <= box.right + 0.1
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        (part,) = opened.Root.StructTreeRoot.K.K
        assert str(part.ActualText) == name
    only_paths = PdfPage(PAGE)
    only_paths.fill_path(words.path(), box.x, box.y, (0.0, 0.0, 0.0))
    assert np.array_equal(ink(page, tmp_path), ink(only_paths, tmp_path))


def test_directions_side_by_side_are_each_read_their_own_way(tmp_path):
    page, box = PdfPage(PAGE), Rect(5.0, 10.0, 90.0, 10.0)
    page.draw_set_words(set_words("ליאור 42 Ltd", box, largest_pt=14.0, least_pt=6.0), box.x, box.y)
    assert words_of(page.finish(), tmp_path)[0] == "ליאור 42 Ltd"


def test_a_letter_without_a_glyph_is_shown_as_a_box_and_copied_as_itself(tmp_path):
    page = PdfPage(PAGE)
    page.draw_words(outline("a\u4e2db", 4.0), 10.0, 10.0)
    assert "a\u4e2db" in words_of(page.finish(), tmp_path)


def test_pages_of_one_file_share_their_fonts():
    pages = [PdfPage(PAGE) for _ in range(3)]
    for number, page in enumerate(pages):
        page.draw_words(outline(f"page {number}", 4.0), 10.0, 10.0)
    with pikepdf.open(io.BytesIO(pdf_file(pages))) as pdf:
        assert sum(isinstance(one, pikepdf.Stream) and "/Length1" in one for one in pdf.objects) == 1
        assert [int(page.obj.StructParents) for page in pdf.pages] == [0, 1, 2]
