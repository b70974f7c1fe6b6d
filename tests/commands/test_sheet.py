"""The command `sheet` for several photos and documents, for laboratories, and for files to upload."""

import json
import resource
import subprocess
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image, ImageCms

from kiosk.cli import main

SITTERS = Path(__file__).parents[2] / "demo" / "sitter"
ONE, OTHER = SITTERS / "yaw+00_pitch+00.jpg", SITTERS / "yaw+00_pitch+04.jpg"
UK, US = "gb-passport-print", "us-passport-print"


def run(*arguments: object) -> int:
    return main([str(argument) for argument in arguments])


def shared(*photos: Path) -> tuple[object, ...]:
    return ("sheet", *photos, "--document", UK, "--document", US, "--paper", "a4", "--anyway")


def test_every_photo_is_laid_for_every_document(tmp_path, capsys):
    """Sizes of the documents: 35 x 45 mm and 2 x 2 in."""
    assert run(*shared(ONE, OTHER), "-o", tmp_path / "s.pdf", "--photos", 2, "--json") == 0
    told = capsys.readouterr()
    places = json.loads(told.out)["photos"]
    laid = Counter((place["photo"], place["document"]) for place in places)
    assert laid == {(str(path), name): 2 for path in (ONE, OTHER) for name in (UK, US)}
    for place in places:
        size = sorted((place["width_mm"], place["height_mm"]))
        assert size == ([35.0, 45.0] if place["document"] == UK else [50.8, 50.8])
    assert f"{ONE} for {US} was made anyway, though the photo does not conform (Background colour)." in told.err
    with pikepdf.open(tmp_path / "s.pdf") as pdf:
        pictures = pdf.pages[0].Resources.XObject
        stored = [np.frombuffer(pictures[f"/P{n}"].read_bytes(), np.uint8) for n in range(4)]
    assert len({pixels.tobytes() for pixels in stored}) == 4


def test_each_photo_on_each_document_may_have_a_number_of_its_own(tmp_path, capsys):
    counts = ("--photos", 4, "--photos", 2)
    assert run(*shared(ONE), "-o", tmp_path / "s.pdf", *counts) == 0
    told = capsys.readouterr().out
    assert f"4 photos of {ONE} for {UK} of 35 x 45 mm" in told
    assert f"2 photos of {ONE} for {US} of 50.8 x 50.8 mm" in told


def test_numbers_that_match_nothing_are_a_wrong_command(tmp_path, capsys):
    assert run(*shared(ONE, OTHER), "-o", tmp_path / "s.pdf", "--photos", 2, "--photos", 3) == 2
    assert "once, or 4 times" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_one_order_keeps_the_plain_object(tmp_path, capsys):
    assert run("sheet", ONE, "--document", UK, "--paper", "4x6in", "-o", tmp_path / "s.pdf", "--json") == 0
    placed = json.loads(capsys.readouterr().out)
    assert set(placed) == {"paper", "paper_mm", "photos", "printable_mm", "made_anyway", "remarks"}
    assert all(set(place) == {"x_mm", "y_mm", "width_mm", "height_mm", "turned"} for place in placed["photos"])


@pytest.mark.parametrize(("name", "form"), [("s.jpg", "JPEG"), ("s.TIF", "TIFF")])
def test_a_laboratory_gets_the_papers_exact_pixels(tmp_path, capsys, name, form):
    """4 x 6 in at 300 px per inch."""
    assert run("sheet", ONE, "--document", UK, "--paper", "4x6in", "-o", tmp_path / name) == 0
    with Image.open(tmp_path / name) as picture:
        assert (picture.format, picture.size) == (form, (1200, 1800))
        assert [float(dpi) for dpi in picture.info["dpi"]] == [300.0, 300.0]
    assert "Print 1200 x 1800 px" in capsys.readouterr().out


def test_a_laboratorys_file_of_too_few_pixels_is_refused_with_the_numbers(tmp_path, capsys):
    small = tmp_path / "small.jpg"
    with Image.open(ONE) as picture:
        picture.resize((540, 660)).save(small)
    target = tmp_path / "s.tif"
    assert run("sheet", small, "--document", UK, "--paper", "4x6in", "-o", target) == 10
    said = capsys.readouterr().err
    assert "pixels per inch" in said
    assert "needs 300" in said
    assert not target.exists()


def test_a_document_that_is_a_file_gets_its_file(tmp_path, capsys):
    """US Department of State: square, 600 to 1200 px a side, JPEG in sRGB of at most 240 kB, at most 20 : 1."""
    target = tmp_path / "u.jpg"
    assert run("sheet", ONE, "--document", "us-visa-digital", "-o", target, "--json", "--anyway") == 0
    told = json.loads(capsys.readouterr().out)
    with Image.open(target) as picture:
        width, height = picture.size
        assert picture.format == "JPEG"
        assert not picture.getexif()
        profile = ImageCms.ImageCmsProfile(BytesIO(picture.info["icc_profile"]))
    assert "sRGB" in ImageCms.getProfileDescription(profile)
    assert width == height == told["width_px"]
    assert 600 <= width <= 1200
    assert target.stat().st_size == told["bytes"] <= 240_000
    assert width * height * 3 / told["bytes"] <= 20


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--document", UK, "-o", "s.png"), ".pdf, .jpg or .tif"),
        (("--document", UK, "-o", "s.jpg"), "needs --paper"),
        (("--document", UK, "-o", "s.pdf"), "needs --paper"),
        (("--document", "us-visa-digital", "-o", "u.jpg", "--photos", 2), "one photo for one document"),
        (("--document", "us-visa-digital", "-o", "u.jpg", "--paper", "4x6in"), "takes no --paper"),
        (("--document", "us-visa-digital", "-o", "folder", "--paper", "4x6in"), "none of these documents is printed"),
        (("--document", UK, "-o", "folder"), "needs --paper"),
        (("--document", UK, "-o", "s.pdf", "--paper", "4x6in", "--as", "jpg"), "are for a folder"),
        (("--document", UK, "-o", "folder", "--paper", "4x6in", "--json"), "into a folder"),
        (("--document", UK, "-o", "s.pdf", "--paper", "4x6in", "--head-mm", "0"), "--head-mm"),
        (("--document", UK, "-o", "s.pdf", "--paper", "4x6in", "--up-mm", "nan"), "--up-mm"),
        (("--document", UK, "-o", "s.pdf", "--paper", "4x6in", "--age", "-1"), "--age"),
    ],
)
def test_what_cannot_be_made_is_a_wrong_command(tmp_path, capsys, monkeypatch, arguments, said):
    monkeypatch.chdir(tmp_path)
    assert run("sheet", ONE, *arguments) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_back_page_holds_what_the_authority_wants(tmp_path, capsys):
    """Canada wants studio and date on the back, Japan the name; the rules of the UK say nothing of it."""
    common = ("--paper", "a4", "--photos", 1)
    canada = ("sheet", ONE, "--document", "ca-passport", *common, "-o")
    assert run(*canada, tmp_path / "none.pdf") == 0
    assert "wants something on the back" in capsys.readouterr().err
    assert run(*canada, tmp_path / "empty.pdf", "--back", "") == 2
    assert run(*canada, tmp_path / "lab.jpg", "--back", "The Paper Lantern") == 2
    capsys.readouterr()
    assert run(*canada, tmp_path / "back.pdf", "--back", "The Paper Lantern, 12 Sample Street") == 0
    assert "refuse" not in capsys.readouterr().err.replace("will be refused", "")
    britain = ("sheet", ONE, "--document", UK, *common, "-o", tmp_path / "uk.pdf", "--back", "The Paper Lantern")
    assert run(*britain) == 0
    assert "many authorities refuse a photo with writing on it" in capsys.readouterr().err
    pages = {}
    for path in tmp_path.iterdir():
        with pikepdf.open(path) as pdf:
            pages[path.name] = len(pdf.pages)
    assert pages == {"none.pdf": 1, "back.pdf": 2, "uk.pdf": 2}


@contextmanager
def full_disk(after_bytes: int) -> Iterator[None]:
    """Let no file grow further than that, as on a disk that is full (setrlimit(2), RLIMIT_FSIZE)."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (after_bytes, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.parametrize("name", ["s.pdf", "s.jpg"])
def test_a_full_disk_leaves_the_earlier_sheet_and_nothing_half_written(tmp_path, capsys, name):
    sheet = tmp_path / name
    sheet.write_bytes(b"the sheet of before")
    with full_disk(20_000):
        assert run("sheet", ONE, "--document", UK, "--paper", "4x6in", "-o", sheet) == 9
    assert f"{sheet} cannot be written" in capsys.readouterr().err
    assert sheet.read_bytes() == b"the sheet of before"
    assert list(tmp_path.iterdir()) == [sheet]


def test_a_photo_is_not_overwritten_by_its_own_sheet(tmp_path, capsys):
    photo = tmp_path / "a.jpg"
    photo.write_bytes(ONE.read_bytes())
    assert run("sheet", photo, "--document", UK, "--paper", "4x6in", "-o", tmp_path / "." / "a.jpg") == 2
    assert "would be overwritten" in capsys.readouterr().err
    assert photo.read_bytes() == ONE.read_bytes()


@pytest.mark.parametrize("content", [b"%PDF-1.4\n%%EOF\n", b"%PDF-1.7 of another program"])
def test_a_pdf_is_no_photo(tmp_path, capsys, content):
    paper = tmp_path / "letter.pdf"
    paper.write_bytes(content)
    assert run("sheet", paper, "--document", UK, "--paper", "4x6in", "-o", tmp_path / "s.pdf") == 3
    assert "it is a PDF, no picture" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [paper]


def test_margins_wider_than_the_paper_leave_no_room_for_several_either(tmp_path, capsys):
    assert run(*shared(ONE), "-o", tmp_path / "s.pdf", "--margin-mm", 120) == 11
    said = capsys.readouterr().err
    assert "2 of 35 x 45 mm and 1 of 50.8 x 50.8 mm do not fit a4" in said
    assert list(tmp_path.iterdir()) == []


def own_document(folder: Path) -> Path:
    """Write a shop's settings with a badge of its own: 25 x 32 mm, a border allowed, 100 pixels per inch enough."""
    shipped = (Path(__file__).parents[2] / "specs" / "event-badge-id1.toml").read_text(encoding="utf-8")
    source = 'source = ["practice"]\nevidence = "practice"\nread_on = 2026-11-25\n'
    border = f'\n[border]\ntext = "A hairline."\nallowed = true\n{source}'
    (folder / "own").mkdir()
    text = shipped.replace('"event-badge-id1"', '"club-badge"').replace("min = 300", "min = 100")
    (folder / "own" / "club-badge.toml").write_text(text + border, encoding="utf-8")
    settings = folder / "settings.toml"
    settings.write_text(
        '[booth]\ndocuments = ["club-badge"]\ndocuments_folder = "own"\n[camera]\nbackend = "uvc"\n'
        '[printer]\nbackend = "folder"\nfolder = "prints"\n',
        encoding="utf-8",
    )
    return settings


def test_a_document_of_the_shops_own_that_allows_a_border_gets_a_hairline(tmp_path, capsys):
    common = ("--settings", own_document(tmp_path), "--paper", "4x6in", "--json", "-o")
    small = tmp_path / "small.png"
    with Image.open(ONE) as picture:
        picture.resize((450, 550)).save(small)
    assert run("sheet", small, "--document", "club-badge", *common, tmp_path / "s.tif") == 10
    assert "club-badge needs 300" in capsys.readouterr().err
    assert run("sheet", small, "--document", "club-badge", "--anyway", *common, tmp_path / "s.pdf") == 0
    place = json.loads(capsys.readouterr().out)["photos"][0]
    command = ["pdftoppm", "-gray", "-r", "600", "-singlefile", tmp_path / "s.pdf", tmp_path / "page"]
    subprocess.run(command, check=True)
    page = np.asarray(Image.open(tmp_path / "page.pgm"))
    left = round(place["x_mm"] / 25.4 * 600)
    row = page[round((place["y_mm"] + place["height_mm"] / 2) / 25.4 * 600), left - 15 : left + 15]
    dark = np.flatnonzero(row < 128) - 15
    assert dark[0] * 25.4 / 600 == pytest.approx(0.0, abs=0.05)
    assert dark.size * 25.4 / 600 == pytest.approx(0.15, abs=0.05)


def test_one_photo_that_does_not_fit_is_one(tmp_path, capsys):
    code = run("sheet", ONE, "--document", UK, "--paper", "40x40mm", "-o", tmp_path / "s.pdf")
    assert code == 11
    assert "40x40mm holds at most 0 of 35 x 45 mm within its margins, and not 1." in capsys.readouterr().err
