"""The command as its user meets it: the JSON contract, the exit codes, and bad input that leaves nothing behind."""

import json
import os
import re
import shutil
import struct
import subprocess
import sys
import zlib
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from kiosk.booth.config import booth_config
from kiosk.cli import main
from kiosk.errors import KioskError, SettingsRefused
from kiosk.settings import read_settings

GOOD = Path(__file__).parents[2] / "demo" / "sitter" / "yaw+00_pitch+00.jpg"
SHUT = GOOD.with_name("yaw+00_pitch+00_eyes_closed.jpg")


def run(*arguments: object) -> int:
    return main([str(argument) for argument in arguments])


def test_measure_prints_the_contract(capsys):
    code = run("measure", GOOD, SHUT, "--document", "gb-passport-print", "--json")
    passed, failed = map(json.loads, capsys.readouterr().out.splitlines())
    assert code == 1
    assert (passed["verdict"], failed["verdict"]) == ("pass", "fail")
    assert set(passed) == {
        "photo",
        "document",
        "verdict",
        "reason",
        "remarks",
        "points_px",
        "measurements",
        "crop_px",
        "print_mm",
    }
    assert set(passed["points_px"]) == {"crown", "hair_top", "chin", "right_eye", "left_eye"}
    assert set(passed["crop_px"]) == {"x", "y", "width", "height"}
    assert 29 <= passed["print_mm"]["head_height"] <= 34
    yaw = next(m for m in passed["measurements"] if m["name"] == "yaw")
    assert set(yaw) == {"name", "value", "unit", "uncertainty", "min", "max", "decision", "verdict", "source"}
    assert (yaw["unit"], yaw["min"], yaw["max"]) == ("deg", -5, 5)
    shut = next(m for m in failed["measurements"] if m["name"] == "eyes_open")
    assert shut["verdict"] == "fail"


def test_a_conforming_photo_ends_with_0_and_says_who_decides(capsys):
    assert run("measure", GOOD, "--document", "gb-passport-print") == 0
    told = capsys.readouterr()
    assert "meets every requirement that was measured" in told.out
    assert "The issuing authority decides" in told.err


def test_the_sitters_right_eye_lies_left_in_the_picture(capsys):
    run("measure", GOOD, "--document", "icao-generic", "--json")
    points = json.loads(capsys.readouterr().out)["points_px"]
    assert points["right_eye"][0] < points["left_eye"][0]


def test_sheet_writes_the_paper_at_true_size(tmp_path, capsys):
    """Poppler's pdfinfo reads 360 x 504 pt: 5 x 7 in (na_5x7_5x7in of PWG 5101.1)."""
    sheet = tmp_path / "sheet.pdf"
    assert run("sheet", GOOD, "--document", "gb-passport-print", "--paper", "5x7in", "-o", sheet, "--json") == 0
    placed = json.loads(capsys.readouterr().out)
    assert placed["paper_mm"] == [127.0, 177.8]
    assert {(p["width_mm"], p["height_mm"]) for p in placed["photos"]} <= {(35.0, 45.0), (45.0, 35.0)}
    told = subprocess.run(["pdfinfo", sheet], check=True, capture_output=True, text=True).stdout
    assert "360 x 504 pts" in told
    assert [path.name for path in tmp_path.iterdir()] == ["sheet.pdf"]


def test_documents_lists_and_explains(capsys):
    assert run("documents") == 0
    assert "gb-passport-print" in capsys.readouterr().out
    assert run("documents", "gb-passport-print") == 0
    assert "29 to 34 mm" in capsys.readouterr().out.replace("\N{NO-BREAK SPACE}", " ")
    assert run("documents", "--json") == 0
    listed = json.loads(capsys.readouterr().out)
    assert {"id", "title", "authority", "channel", "limits"} <= set(listed[0])


def test_several_documents_are_told_whether_one_shot_serves_them(capsys):
    """Head heights of 29 to 34 mm and of 32 to 36 mm share 32 to 34 mm (computed)."""
    assert run("documents", "au-passport", "it-cie") == 0
    assert "One shot" in capsys.readouterr().out
    assert run("documents", "gb-passport-print", "us-passport-print") == 0
    assert "a shot each" in capsys.readouterr().out


@pytest.mark.parametrize("suffix", [".svg", ".pdf"])
def test_a_drawing_is_written(tmp_path, suffix):
    drawing = tmp_path / f"gb{suffix}"
    assert run("documents", "gb-passport-print", "--drawing", drawing) == 0
    assert drawing.stat().st_size > 1000


@pytest.mark.parametrize("arguments", [("--drawing", "x.svg"), ("gb-passport-print", "--drawing", "x.bmp")])
def test_a_drawing_needs_one_document_and_a_known_format(arguments, capsys):
    assert run("documents", *arguments) == 2
    assert "one document" in capsys.readouterr().err


def test_a_folder_of_documents_is_checked_file_by_file(tmp_path, capsys):
    shipped = Path(__file__).parents[2] / "specs"
    shutil.copy(shipped / "gb-passport-print.toml", tmp_path)
    assert run("documents", "--check", tmp_path) == 0
    bad = (shipped / "jp-passport-print.toml").read_text(encoding="utf-8").replace("[head_height]", "[head_hight]")
    (tmp_path / "jp-passport-print.toml").write_text(bad, encoding="utf-8")
    assert run("documents", "--check", tmp_path) == 7
    said = capsys.readouterr().err
    assert "jp-passport-print.toml" in said
    assert "head_h" in said


SETTINGS = """# The corner shop's booth
[booth]
documents = ["my-passport"]  # only this one

[camera]
backend = "uvc"

[printer]
backend = "folder"
folder = "prints"
"""
CONFIRM = ("--by", "A. Sample", "--on", "2026-11-29", "--source", "the law of the day")


def test_a_confirmation_is_kept_in_the_settings_and_opens_the_document(tmp_path, capsys):
    settings = tmp_path / "settings.toml"
    settings.write_text(SETTINGS, encoding="utf-8")
    with pytest.raises(SettingsRefused, match="still needs"):
        booth_config(read_settings(settings), date(2026, 12, 2))
    assert run("documents", "confirm", "my-passport", "--settings", settings, *CONFIRM) == 0
    config = booth_config(read_settings(settings), date(2026, 12, 2))
    assert [document.id for document in config.documents] == ["my-passport"]
    assert settings.read_text(encoding="utf-8").startswith(SETTINGS.rstrip())


def test_a_confirmation_keeps_what_the_office_said_of_booths(tmp_path):
    settings = tmp_path / "settings.toml"
    settings.write_text(SETTINGS, encoding="utf-8")
    asked = (*CONFIRM, "--channel", "self_service")
    assert run("documents", "confirm", "my-passport", "--settings", settings, *asked) == 0
    (document,) = booth_config(read_settings(settings), date(2026, 12, 2)).documents
    assert document.channel.value == "self_service"


def test_a_confirmation_needs_who_when_and_what(tmp_path, capsys):
    settings = tmp_path / "settings.toml"
    settings.write_text(SETTINGS, encoding="utf-8")
    assert run("documents", "confirm", "my-passport", "--settings", settings, *CONFIRM[:4]) == 2
    assert run("documents", "confirm", "xx-passport", "--settings", settings, *CONFIRM) == 6
    assert run("documents", "confirm", "my-passport", "--settings", tmp_path / "no.toml", *CONFIRM) == 8
    assert settings.read_text(encoding="utf-8") == SETTINGS


def test_old_rules_are_warned_of(tmp_path, caplog):
    settings = tmp_path / "settings.toml"
    settings.write_text(SETTINGS.replace("my-passport", "gb-passport-print"), encoding="utf-8")
    booth_config(read_settings(settings), date(2027, 11, 25))
    assert caplog.messages == []
    booth_config(read_settings(settings), date(2027, 11, 27))
    assert "read them again" in caplog.text


def huge_png() -> bytes:
    """Return a PNG header of 20,000 x 10,000 pixels (200 megapixels) with almost no data (PNG, ISO/IEC 15948)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", 20_000, 10_000, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")


def blank(path: Path, width: int, height: int) -> None:
    Image.fromarray(np.full((height, width, 3), 190, np.uint8)).save(path)


def two_people(path: Path) -> None:
    one = Image.open(GOOD).resize((900, 1100))
    both = Image.new("RGB", (1800, 1100))
    both.paste(one, (0, 0))
    both.paste(one, (900, 0))
    both.save(path)


BAD = {
    "no_image.jpg": (lambda path: path.write_text("To whom it may concern"), 3),
    "empty.jpg": (lambda path: path.write_bytes(b""), 3),
    "truncated.jpg": (lambda path: path.write_bytes(GOOD.read_bytes()[:60_000]), 3),
    "one_pixel.png": (lambda path: blank(path, 1, 1), 3),
    "huge.png": (lambda path: path.write_bytes(huge_png()), 3),
    "nobody.png": (lambda path: blank(path, 900, 1100), 4),
    "two.jpg": (two_people, 5),
}


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("command", ["measure", "sheet"])
def test_a_bad_photo_is_one_sentence_a_next_step_and_a_code(tmp_path, capsys, name, command):
    make, code = BAD[name]
    photo = tmp_path / name
    make(photo)
    target = tmp_path / "out" / "sheet.pdf"
    target.parent.mkdir()
    more = () if command == "measure" else ("--paper", "4x6in", "-o", target)
    assert run(command, photo, "--document", "gb-passport-print", *more) == code
    said = capsys.readouterr().err.splitlines()
    assert said[0].startswith("holdstill: ")
    assert name in said[0]
    assert said[0].endswith(".")
    assert said[1].startswith("  ")
    assert list(target.parent.iterdir()) == []


def test_one_bad_photo_does_not_hide_the_others(tmp_path, capsys):
    empty = tmp_path / "empty.jpg"
    empty.touch()
    assert run("measure", empty, GOOD, "--document", "gb-passport-print", "--json") == 3
    unusable, passed = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert (unusable["verdict"], passed["verdict"]) == ("unmeasurable", "pass")
    assert unusable["reason"].endswith("the file is empty.")
    assert passed["reason"] == ""


def test_a_missing_photo_is_said(tmp_path, capsys):
    assert run("measure", tmp_path / "gone.jpg", "--document", "gb-passport-print") == 3
    assert "gone.jpg" in capsys.readouterr().err


def test_unknown_names_come_with_the_nearest(tmp_path, capsys):
    assert run("measure", GOOD, "--document", "gb-pasport-print") == 6
    assert "gb-passport-print" in capsys.readouterr().err
    sheet = tmp_path / "s.pdf"
    assert run("sheet", GOOD, "--document", "gb-passport-print", "--paper", "4x7", "-o", sheet) == 6
    assert "4x6in" in capsys.readouterr().err
    assert not sheet.exists()


def test_a_sheet_too_small_is_refused_with_the_number_that_fits(tmp_path, capsys):
    sheet = tmp_path / "s.pdf"
    command = ("sheet", GOOD, "--document", "gb-passport-print", "--paper", "4x6in", "-o", sheet, "--photos", 50)
    assert run(*command) == 11
    assert "at most 8 of" in capsys.readouterr().err
    assert not sheet.exists()


@pytest.mark.parametrize(
    "wrong", [("--margin-mm", -3), ("--margin-mm", "nan"), ("--gutter-mm", "inf"), ("--photos", 0)]
)
def test_a_number_that_makes_no_sense_is_a_wrong_command(tmp_path, capsys, wrong):
    sheet = tmp_path / "s.pdf"
    assert run("sheet", GOOD, "--document", "gb-passport-print", "--paper", "4x6in", "-o", sheet, *wrong) == 2
    assert not sheet.exists()


def test_margins_wider_than_the_paper_leave_room_for_none(tmp_path, capsys):
    sheet = tmp_path / "s.pdf"
    command = ("sheet", GOOD, "--document", "gb-passport-print", "--paper", "4x6in", "-o", sheet, "--margin-mm", 60)
    assert run(*command) == 11
    assert "at most 0 of" in capsys.readouterr().err


def test_a_folder_that_cannot_be_written_is_said_and_keeps_what_was_there(tmp_path, capsys):
    """/proc takes no files, not even from root (proc(5))."""
    sheet = ("sheet", GOOD, "--document", "gb-passport-print", "--paper", "4x6in", "-o")
    assert run(*sheet, "/proc/sheet.pdf") == 9
    assert "/proc/sheet.pdf cannot be written" in capsys.readouterr().err
    assert run(*sheet, tmp_path / "no" / "folder" / "sheet.pdf") == 9


def test_a_document_that_is_a_file_has_no_sheet(tmp_path, capsys):
    assert run("sheet", GOOD, "--document", "us-dv-lottery", "--paper", "4x6in", "-o", tmp_path / "s.pdf") == 6
    assert "us-dv-lottery" in capsys.readouterr().err


def test_a_wrong_command_line_ends_with_2(capsys):
    with pytest.raises(SystemExit) as ended:
        run("measure")
    assert ended.value.code == 2


def test_a_booth_without_settings_says_which_file(capsys):
    assert run("booth", "--settings", "/nowhere/settings.toml") == 8
    assert "/nowhere/settings.toml" in capsys.readouterr().err


def test_the_installed_command_answers():
    command = shutil.which("holdstill", path=f"{Path(sys.executable).parent}:{os.environ['PATH']}")
    assert command is not None
    told = subprocess.run([command, "--version"], check=True, capture_output=True, text=True)
    assert told.stdout.startswith("holdstill ")


def test_reports_hold_every_photo(tmp_path, capsys):
    """A page a photo that could be measured, and an object for the one that could not as well."""
    nobody = tmp_path / "nobody.png"
    blank(nobody, 900, 1100)
    page, data = tmp_path / "r.pdf", tmp_path / "r.json"
    command = ("measure", GOOD, nobody, SHUT, "--document", "gb-passport-print", "--json")
    assert run(*command, "--report", page, "--report", data) == 4
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert json.loads(data.read_text(encoding="utf-8")) == lines
    assert [line["verdict"] for line in lines] == ["pass", "unmeasurable", "fail"]
    told = subprocess.run(["pdfinfo", page], check=True, capture_output=True, text=True).stdout
    assert "Pages:           2" in told
    assert "(A4)" in told


def test_a_report_of_another_kind_is_a_wrong_command(tmp_path, capsys):
    assert run("measure", GOOD, "--document", "gb-passport-print", "--report", tmp_path / "r.txt") == 2
    assert ".pdf or .json" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_of_an_error_that_nobody_expected_kind_and_place_are_told_and_not_its_words(monkeypatch, capsys):
    """Its words may hold a sitter's name, and standard error goes into the journal of the booth's machine."""

    def fails(options):
        raise LookupError("Ottoline Marchbanks")

    monkeypatch.setattr("kiosk.commands.documents.run", fails)
    assert main(["documents"]) == KioskError.exit_code
    told = capsys.readouterr().err
    assert "LookupError at test_cli.py:" in told
    assert "--verbose" in told
    assert "Ottoline" not in told


def test_json_shows_numbers_as_people_write_them(capsys):
    """The eye line's least of 0.7 of 45 mm is 31.5 mm; as binary arithmetic has it, 31.499999999999996."""
    assert 0.7 * 45 != 31.5
    main(["measure", str(GOOD), "--document", "icao-generic", "--json"])
    for number in re.findall(r"-?\d+\.\d+(?:e-?\d+)?", capsys.readouterr().out):
        assert float(number) == round(float(number), 9), number
