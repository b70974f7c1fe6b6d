"""A day at the counter of a pharmacy, by the commands alone: measure, take again, nudge, make for several documents."""

import json
import subprocess
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from kiosk.cli import main

SITTERS = Path(__file__).parents[2] / "demo" / "sitter"
GOOD, TURNED = SITTERS / "yaw+00_pitch+00.jpg", SITTERS / "yaw+16_pitch+00.jpg"
UK, IRELAND, UPLOAD = "gb-passport-print", "ie-passport-print", "gb-passport-digital"


def run(*arguments: object) -> int:
    return main([str(argument) for argument in arguments])


def photos_mm(pdf: Path) -> list[tuple[float, float]]:
    """Return width and height of every photo on a page, as poppler's pdfimages and pdftoppm see them."""
    told = subprocess.run(["pdfimages", "-list", pdf], check=True, capture_output=True, text=True).stdout
    sizes = []
    for line in told.splitlines()[2:]:
        cells = line.split()
        width_px, height_px, across_ppi, down_ppi = (float(cells[index]) for index in (3, 4, 12, 13))
        sizes.append((width_px / across_ppi * 25.4, height_px / down_ppi * 25.4))
    return sizes


@pytest.fixture
def desk(tmp_path, monkeypatch):
    """Work in a folder of its own, as a clerk does."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_first_client_has_turned_the_head(desk, capsys):
    Path("anna.jpg").write_bytes(TURNED.read_bytes())
    assert run("measure", "anna.jpg", "--document", UK, "--preview", "anna.png") == 1
    first, fault, then, *_ = capsys.readouterr().out.splitlines()
    assert first.startswith("anna.jpg: does not meet the requirements: UK passport")
    assert "turned 15° to its left; ask them to look straight at the lens." in fault
    assert then.strip() == "Next: take the photo again and measure it again."
    assert Path("anna.png").read_bytes().startswith(b"\x89PNG")
    assert run("sheet", "anna.jpg", "--document", UK, "--paper", "4x6in", "-o", "anna.pdf") == 13
    assert not Path("anna.pdf").exists()

    Path("anna.jpg").write_bytes(GOOD.read_bytes())
    assert run("measure", "anna.jpg", "--document", UK) == 0
    assert run("sheet", "anna.jpg", "--document", UK, "--paper", "4x6in", "-o", "anna.pdf") == 0
    assert "8 photos of 35 x 45 mm" in capsys.readouterr().out
    assert sorted(path.name for path in desk.iterdir()) == ["anna.jpg", "anna.pdf", "anna.png"]


def test_the_second_client_needs_three_documents(desk, capsys):
    """Prints are 35 x 45 mm within 0.02 mm by poppler; a bleed of at least 0.5 mm on each side is stored with them."""
    Path("ben.jpg").write_bytes(GOOD.read_bytes())
    documents = [part for name in (UK, IRELAND, UPLOAD) for part in ("--document", name)]
    code = run("measure", "ben.jpg", *documents, "--json")
    judged = {each["document"]: each["verdict"] for each in map(json.loads, capsys.readouterr().out.splitlines())}
    assert set(judged) == {UK, IRELAND, UPLOAD}
    assert code == (0 if set(judged.values()) == {"pass"} else 1)
    assert run("sheet", "ben.jpg", *documents, "--paper", "4x6in", "-o", "ben", "--anyway") == 0
    made = sorted(path.name for path in Path("ben").iterdir())
    assert made == [f"ben_{UPLOAD}.jpg", f"ben_{UK}.pdf", f"ben_{IRELAND}.pdf"]
    with Image.open(f"ben/ben_{UPLOAD}.jpg") as upload:
        assert upload.format == "JPEG"
    for width_mm, height_mm in photos_mm(Path(f"ben/ben_{UK}.pdf")):
        assert width_mm >= 35.0 - 0.02
        assert height_mm >= 45.0 - 0.02


def test_the_third_client_wants_the_head_a_little_smaller(desk, capsys):
    Path("cem.jpg").write_bytes(GOOD.read_bytes())
    heads = []
    for nudge in ((), ("--head-mm", 30), ("--head-mm", 30, "--up-mm", 1)):
        assert run("measure", "cem.jpg", "--document", UK, *nudge, "--json") == 0
        heads.append(json.loads(capsys.readouterr().out)["print_mm"])
    assert heads[1]["head_height"] == pytest.approx(30.0)
    assert heads[2]["eye_line_from_bottom"] - heads[1]["eye_line_from_bottom"] == pytest.approx(1.0, abs=1e-3)
    assert run("measure", "cem.jpg", "--document", UK, "--up-mm", 20) == 1
    assert "The frame cuts" in capsys.readouterr().out
    assert run("measure", "cem.jpg", "--document", UK, "--up-mm", 60) == 1
    assert "the picture lacks" in capsys.readouterr().out
    assert run("sheet", "cem.jpg", "--document", UK, "--paper", "4x6in", "-o", "cem.pdf", "--head-mm", 30) == 0


def test_a_family_shares_a_sheet_and_everybody_is_named_on_it(desk, capsys):
    for name in ("dora.jpg", "emil.jpg"):
        Path(name).write_bytes(GOOD.read_bytes())
    assert run("sheet", "dora.jpg", "emil.jpg", "--document", UK, "--paper", "a4", "-o", "f.pdf", "--json") == 0
    places = json.loads(capsys.readouterr().out)["photos"]
    assert {place["photo"] for place in places} == {"dora.jpg", "emil.jpg"}
    subprocess.run(["pdftoppm", "-gray", "-r", "100", "-singlefile", "f.pdf", "f"], check=True)
    page = np.asarray(Image.open("f.pgm"))
    for place in places:
        y, x = (round((place[key] + 10) / 25.4 * 100) for key in ("y_mm", "x_mm"))
        assert page[y, x] < 250
