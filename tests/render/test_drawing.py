"""The drawing under a ruler: rendered by an independent reader (poppler) and read as XML, its lines measured."""

import subprocess
import xml.etree.ElementTree as ET
from io import BytesIO

import numpy as np
import pikepdf
import pytest
from PIL import Image

from kiosk.errors import NoPrintSize
from kiosk.render.report.rule_drawing import FRAME_AT_MM, drawing_pdf, drawing_svg
from tests.support.shipped import CATALOGUE

PRINTS = [document for document in CATALOGUE.all() if document.size is not None]
SVG = "{http://www.w3.org/2000/svg}"
DPI = 600
MM_PER_PX = 25.4 / DPI


def svg_of(document_id: str) -> ET.Element:
    return ET.fromstring(drawing_svg(CATALOGUE.get(document_id)))


def level_lines_mm(svg: ET.Element, width_mm: float, x_mm: float) -> list[float]:
    """Return the heights of the level lines of that width that begin at x."""
    ends = [[float(line.get(key)) for key in ("x1", "y1", "x2", "y2")] for line in svg.iter(f"{SVG}line")]
    return sorted(
        y1
        for x1, y1, x2, y2 in ends
        if y1 == y2 and abs(abs(x2 - x1) - width_mm) < 1e-3 and abs(min(x1, x2) - x_mm) < 1e-3
    )


def rendered(pdf: bytes, tmp_path) -> np.ndarray:
    (tmp_path / "drawing.pdf").write_bytes(pdf)
    command = ["pdftoppm", "-r", str(DPI), "-gray", "-singlefile", "drawing.pdf", "drawing"]
    subprocess.run(command, cwd=tmp_path, check=True)
    with Image.open(tmp_path / "drawing.pgm") as picture:
        return np.asarray(picture)


@pytest.mark.parametrize("document", PRINTS, ids=lambda document: document.id)
def test_every_print_has_a_drawing_on_its_page(document):
    svg = ET.fromstring(drawing_svg(document))
    inches = document.size.unit == "in"
    assert (svg.get("width"), svg.get("height")) == (("215.9mm", "279.4mm") if inches else ("210mm", "297mm"))
    _, _, width_mm, height_mm = map(float, svg.get("viewBox").split())
    for line in svg.iter(f"{SVG}line"):
        assert 8 < float(line.get("x1")) < width_mm - 8
        assert 8 < float(line.get("y1")) < height_mm - 8
    for words in svg.iter(f"{SVG}text"):
        assert float(words.get("y")) < height_mm - 10
    with pikepdf.open(BytesIO(drawing_pdf(document))) as pdf:
        box = [float(side) / 72 * 25.4 for side in pdf.pages[0].MediaBox]
    assert box == pytest.approx([0, 0, width_mm, height_mm], abs=1e-3)


def test_the_frame_on_paper_is_the_size_of_the_photo(tmp_path):
    """From the middle of one edge to the middle of the other, at 600 px per inch, within a pixel."""
    ink = rendered(drawing_pdf(CATALOGUE.get("gb-passport-print")), tmp_path) < 128
    left = FRAME_AT_MM.x / MM_PER_PX
    row = ink[round((FRAME_AT_MM.y + 2.0) / MM_PER_PX), round(left) - 10 :]
    across = np.flatnonzero(row)
    edges = [group.mean() for group in np.split(across, np.flatnonzero(np.diff(across) > 3) + 1)]
    assert (edges[-1] - edges[0]) * MM_PER_PX == pytest.approx(35.0, abs=MM_PER_PX)
    column = ink[:, round((FRAME_AT_MM.x + 2.0) / MM_PER_PX)][round(FRAME_AT_MM.y / MM_PER_PX) - 10 :]
    down = np.flatnonzero(column[: round(50 / MM_PER_PX)])
    edges = [group.mean() for group in np.split(down, np.flatnonzero(np.diff(down) > 3) + 1)]
    assert (edges[-1] - edges[0]) * MM_PER_PX == pytest.approx(45.0, abs=MM_PER_PX)


@pytest.mark.parametrize("document_id", ["us-passport-print", "de-passport-id", "it-cie"])
def test_the_eye_band_lies_at_its_published_height(document_id):
    document, svg = CATALOGUE.get(document_id), svg_of(document_id)
    size, eyes = document.size_mm, document.eye_line_mm
    bottom = FRAME_AT_MM.y + size.height
    heights = [bottom - y for y in level_lines_mm(svg, size.width, FRAME_AT_MM.x) if y <= bottom]
    assert sorted(heights) == pytest.approx([0.0, eyes.low, eyes.high, size.height], abs=1e-3)


def test_the_band_fills_the_room_between_its_lines():
    (band, _) = svg_of("de-passport-id").iter(f"{SVG}rect")
    assert FRAME_AT_MM.y + 45 - float(band.get("y")) == pytest.approx(32)
    assert (float(band.get("width")), float(band.get("height"))) == (35, 10)


@pytest.mark.parametrize(("document_id", "length_mm"), [("gb-passport-print", 50.0), ("us-passport-print", 50.8)])
def test_the_scale_bar_is_as_long_as_it_says(document_id, length_mm):
    assert level_lines_mm(svg_of(document_id), length_mm, 18.0) == [38.0]


@pytest.mark.parametrize("document_id", ["gb-passport-print", "us-passport-print", "cn-visa-print", "ca-passport"])
def test_the_ovals_are_heads_inside_the_frame_on_its_centre_line(document_id):
    """Their many short lines are the only ones that lean inside the frame."""
    document, svg = CATALOGUE.get(document_id), svg_of(document_id)
    size = document.size_mm
    leaning = []
    for line in svg.iter(f"{SVG}line"):
        x1, y1, x2, y2 = (float(line.get(key)) for key in ("x1", "y1", "x2", "y2"))
        if x1 != x2 and y1 != y2 and line.get("stroke-width") == "0.1":
            leaning += [(x1 - FRAME_AT_MM.x, y1 - FRAME_AT_MM.y)]
    smallest, largest = np.array(leaning).reshape(2, -1, 2)
    for oval, head_mm in ((smallest, document.head_height_mm.low), (largest, document.head_height_mm.high)):
        (left, top), (right, bottom) = oval.min(axis=0), oval.max(axis=0)
        assert bottom - top == pytest.approx(head_mm, abs=0.01)
        assert (left + right) / 2 == pytest.approx(size.width / 2, abs=0.01)
        assert top >= 0
        assert bottom <= size.height


def test_the_room_above_the_head_is_measured_from_the_upper_edge():
    depths = [y - FRAME_AT_MM.y for y in level_lines_mm(svg_of("jp-passport-print"), 35.0, FRAME_AT_MM.x)]
    assert depths[:4] == pytest.approx([0.0, 2.0, 6.0, 36.0], abs=1e-3)


@pytest.mark.parametrize("document_id", ["gb-passport-print", "us-passport-print", "kr-passport"])
def test_the_gauge_is_as_high_as_the_head(document_id):
    heads = CATALOGUE.get(document_id).head_height_mm
    chin, *tops = reversed(level_lines_mm(svg_of(document_id), 16.0, 141.0))
    assert [chin - top for top in tops] == pytest.approx([heads.low, heads.high], abs=1e-3)


def test_the_centre_line_halves_the_frame():
    svg = svg_of("gb-passport-print")
    middle = FRAME_AT_MM.x + 17.5
    dashes = [line for line in svg.iter(f"{SVG}line") if float(line.get("x1")) == float(line.get("x2")) == middle]
    assert min(float(dash.get("y1")) for dash in dashes) < FRAME_AT_MM.y
    assert max(float(dash.get("y2")) for dash in dashes) > FRAME_AT_MM.y + 45


def test_dimensions_are_in_the_published_unit():
    words = [words.text for words in svg_of("us-passport-print").iter(f"{SVG}text")]
    assert {"2 in", "1 in", "1.125 in", "1.375 in"} <= set(words)
    assert not any(text.endswith(" mm") for text in words)
    assert {"35 mm", "45 mm", "29 mm", "34 mm"} <= {w.text for w in svg_of("gb-passport-print").iter(f"{SVG}text")}


def test_what_it_rests_on_is_written_below():
    words = " ".join(words.text for words in svg_of("cn-visa-print").iter(f"{SVG}text"))
    assert "Room above the head: 3 to 5 mm; read in a quotation, 2026-11-29" in words
    assert "Another source: 20 to 33 mm" in words


def test_a_contradiction_is_drawn_as_it_binds():
    turkish = CATALOGUE.get("tr-passport")
    other = turkish.head_height.model_copy(update={"min": 35.0, "max": 40.0})
    head = turkish.head_height.model_copy(update={"contradicted_by": (other,)})
    svg = ET.fromstring(drawing_svg(turkish.model_copy(update={"head_height": head})))
    chin, *tops = reversed(level_lines_mm(svg, 16.0, 141.0))
    assert [chin - top for top in tops] == pytest.approx([35.0, 36.0], abs=1e-3)
    words = " ".join(words.text for words in svg.iter(f"{SVG}text"))
    assert "Head height: 32 to 36 mm (drawn as it binds until confirmed, 35 to 36 mm)" in words


def test_the_same_rules_give_the_same_bytes():
    document = CATALOGUE.get("jp-passport-print")
    assert drawing_pdf(document) == drawing_pdf(document)
    assert drawing_svg(document) == drawing_svg(document)


def test_a_file_to_upload_has_no_drawing():
    for make in (drawing_svg, drawing_pdf):
        with pytest.raises(NoPrintSize):
            make(CATALOGUE.get("us-visa-digital"))


def test_words_are_escaped():
    document = CATALOGUE.get("gb-passport-print").model_copy(update={"title": "A & B <passport>"})
    assert ET.fromstring(drawing_svg(document)).find(f"{SVG}title").text.startswith("A & B <passport>")
