"""The command that plans a booth: its values, its drawing to scale, and rooms that are too small."""

import io
import json
import re
import subprocess

import pypdf
import pytest
from PIL import Image, ImageChops, ImageStat

from kiosk.cli import main
from tests.ptpip.rig import ROOT

PICTURES = ROOT / "hardware" / "cameras" / "pictures"
BOOTH = ("plan", "--document", "gb-passport-print", "--sensor-mm", "22.3x14.9", "--room-mm", "3000x2400")


def lines_mm(page):
    """Return the straight lines of a page as (x0, y0, x1, y1) in millimetres, y down."""
    height = float(page.mediabox.height)
    content = page.get_contents().get_data().decode("latin-1")
    number = r"(-?\d+(?:\.\d+)?)"
    found = re.findall(rf"{number} {number} m\s+{number} {number} l\s+S", content)
    assert found, content[:400]
    return [tuple(float(each) for each in line) for line in found], height


def test_the_values_are_printed_with_their_sources(capsys):
    assert main([*BOOTH, "--json"]) == 0
    rows = {row["name"]: row for row in map(json.loads, capsys.readouterr().out.splitlines())}
    assert rows["focal length"]["value"] == "60 mm"
    assert rows["lens to eyes"]["value"] == "1455 mm"
    assert "thin lens" in rows["focal length"]["source"]


def test_the_drawing_is_to_scale(tmp_path, capsys):
    """At 1:20 the room's 3000 mm are 150 mm on the paper, and so on for each dimension by its number."""
    path = tmp_path / "plan.pdf"
    assert main([*BOOTH, "-o", str(path)]) == 0
    reader = pypdf.PdfReader(io.BytesIO(path.read_bytes()))
    assert [(round(float(page.mediabox.width)), round(float(page.mediabox.height))) for page in reader.pages] == [
        (842, 595)
    ] * 3
    lengths = {round(abs(x1 - x0) + abs(y1 - y0), 2) for x0, y0, x1, y1 in lines_mm(reader.pages[0])[0]}
    for room_mm in (3000, 2400, 800, 1454.89, 745.11):
        assert any(abs(length - room_mm / 20) < 0.02 for length in lengths), room_mm
    words = reader.pages[0].extract_text()
    for text in ("3000", "2400", "800", "1455", "745", "1:20", "50 mm long"):
        assert text in words
    assert "seizures" in reader.pages[2].extract_text()


def test_the_drawing_has_ink_where_it_should(tmp_path):
    path = tmp_path / "plan.pdf"
    assert main([*BOOTH, "-o", str(path)]) == 0
    subprocess.run(["pdftoppm", "-r", "40", "-gray", path, tmp_path / "page"], check=True)
    for number in (1, 2, 3):
        grey = (tmp_path / f"page-{number}.pgm").read_bytes()
        assert sum(value < 200 for value in grey) > 2000


@pytest.mark.parametrize(
    ("room", "lens", "lacks", "remedy"),
    [
        ("1700x2400", (), "mm of depth", "a lens of 50 mm"),
        ("3000x1500", (), "169 mm of width", "a room of"),
        ("1500x1500", (), "of depth and 169 mm of width", "would do"),
        ("3000x2400", ("--lens-mm", "24"), "none of these lenses", "lens of 60 or"),
    ],
)
def test_a_room_that_is_too_small_says_what_it_lacks_and_what_would_do(tmp_path, capsys, room, lens, lacks, remedy):
    path = tmp_path / "plan.pdf"
    assert main([*BOOTH[:-1], room, *lens, "-o", str(path)]) == 11
    said = capsys.readouterr().err
    assert lacks in said
    assert remedy.lower() in said.lower()
    assert not path.exists()


@pytest.mark.parametrize("wrong", ["3000", "3000x", "3000x-1", "0x0", "nanx1", "3000x2400x1", "٣٠٠٠x2400", "1e9x1e9"])
def test_a_room_that_is_no_room_is_refused(capsys, wrong):
    with pytest.raises(SystemExit) as refused:
        main([*BOOTH[:-1], wrong])
    assert refused.value.code == 2
    assert "such as 3000x2400" in capsys.readouterr().err


def test_a_still_with_too_few_pixels_is_named(capsys):
    assert main([*BOOTH, "--still-px", "320x426"]) == 0
    assert "more pixels" in capsys.readouterr().err


def test_the_guide_shows_the_drawing_that_its_command_makes(tmp_path):
    """Draw them anew by that command, and `pdftoppm -r 80 -gray -png plan.pdf`."""
    path = tmp_path / "plan.pdf"
    assert main([*BOOTH, "-o", str(path)]) == 0
    subprocess.run(["pdftoppm", "-r", "80", "-gray", "-png", path, tmp_path / "page"], check=True)
    for number, name in ((1, "plan_above"), (2, "plan_side")):
        drawn, shown = Image.open(tmp_path / f"page-{number}.png"), Image.open(PICTURES / f"{name}.png")
        assert drawn.size == shown.size
        assert ImageStat.Stat(ImageChops.difference(drawn, shown)).mean[0] < 1.0
