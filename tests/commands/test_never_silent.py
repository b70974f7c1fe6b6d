"""Nothing that should not be made is made without a word: on the terminal, in the object, on the paper."""

import json
import subprocess
from collections import Counter
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from kiosk.cli import main
from kiosk.errors import KioskError, SheetRefused
from kiosk.pipeline.counter import MeasureJob
from kiosk.render.sheet.strip import SheetStrip
from tests.support.printed import stands_in
from tests.support.shipped import CATALOGUE

SITTERS = Path(__file__).parents[2] / "demo" / "sitter"
GOOD, SHUT = SITTERS / "yaw+00_pitch+00.jpg", SITTERS / "yaw+00_pitch+00_eyes_closed.jpg"
UK, US = "gb-passport-print", "us-passport-print"
TIGHT = ("--paper", "om_tight_70x90mm", "--margin-mm", 0, "--gutter-mm", 0)
"""A paper that four photos of 35 x 45 mm fill to its edges."""
CONFIRM = ("--by", "A. Sample", "--on", "2026-11-29", "--source", "the law of the day")


def run(*arguments: object) -> int:
    return main([str(argument) for argument in arguments])


REFUSED = {
    "a photo that fails": (
        (SHUT, "--document", UK),
        "the photo does not conform (Eyes open)",
        "DOES NOT CONFORM: Eyes open",
    ),
    "a document that takes none": (
        (GOOD, "--document", "fr-passport-id"),
        "takes no such photo",
        "NOT ACCEPTED BY THE AUTHORITY",
    ),
    "a document from memory": (
        (GOOD, "--document", "ke-passport"),
        "from memory, not confirmed",
        "SIZES FROM MEMORY, NOT CONFIRMED",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_should_not_be_made_is_refused_with_a_code_of_its_own(tmp_path, capsys, case):
    arguments, reason, _ = REFUSED[case]
    assert run("sheet", *arguments, "--paper", "4x6in", "-o", tmp_path / "s.pdf") == SheetRefused.exit_code == 13
    said = capsys.readouterr().err
    assert reason in said
    assert "--anyway" in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_made_anyway_says_so_on_paper_terminal_and_in_the_object(tmp_path, capsys, case):
    arguments, reason, note = REFUSED[case]
    sheet = tmp_path / "s.pdf"
    assert run("sheet", *arguments, "--paper", "4x6in", "-o", sheet, "--anyway", "--json") == 0
    told = capsys.readouterr()
    assert reason in told.err
    (made,) = json.loads(told.out)["made_anyway"]
    assert any(reason in each for each in made["reasons"])
    assert stands_in(sheet.read_bytes(), note)


def test_an_earlier_sheet_is_not_taken_for_the_one_that_was_refused(tmp_path, capsys):
    sheet = ("--document", UK, "--paper", "4x6in", "-o", tmp_path / "s.pdf")
    assert run("sheet", SHUT, *sheet) == 13
    assert "made earlier" not in capsys.readouterr().err
    assert run("sheet", GOOD, *sheet) == 0
    assert run("sheet", SHUT, *sheet) == 13
    assert f"{tmp_path / 's.pdf'} is still the file that was made earlier." in capsys.readouterr().err


def test_a_file_to_upload_is_refused_too(tmp_path, capsys):
    upload = ("sheet", SHUT, "--document", "gb-passport-digital", "-o", tmp_path / "u.jpg")
    assert run(*upload) == 13
    assert not (tmp_path / "u.jpg").exists()
    capsys.readouterr()
    assert run(*upload, "--anyway", "--json") == 0
    assert json.loads(capsys.readouterr().out)["made_anyway"][0]["document"] == "gb-passport-digital"


def test_a_confirmed_document_is_made_without_a_word(tmp_path, capsys):
    settings = tmp_path / "settings.toml"
    settings.write_text(
        '[booth]\ndocuments = ["ke-passport"]\n[camera]\nbackend = "uvc"\n'
        '[printer]\nbackend = "folder"\nfolder = "prints"\n',
        encoding="utf-8",
    )
    measure = ("measure", GOOD, "--document", "ke-passport", "--settings", settings, "--json")
    run(*measure)
    assert "from memory, not confirmed" in json.loads(capsys.readouterr().out)["remarks"][0]
    assert run("documents", "confirm", "ke-passport", "--settings", settings, *CONFIRM) == 0
    capsys.readouterr()
    run(*measure)
    assert json.loads(capsys.readouterr().out)["remarks"] == []


def test_every_document_named_is_judged(capsys):
    """The grey backdrop suits the UK, and not the US."""
    assert run("measure", GOOD, "--document", US, "--document", UK, "--json") == 1
    verdicts = {each["document"]: each["verdict"] for each in map(json.loads, capsys.readouterr().out.splitlines())}
    assert verdicts == {US: "fail", UK: "pass"}


def test_a_warning_without_room_beside_the_photos_stops_a_full_sheet(tmp_path, capsys):
    full = ("sheet", SHUT, "--document", UK, *TIGHT, "--anyway", "-o")
    assert run(*full, tmp_path / "s.pdf", "--photos", 4) == 11
    assert "no room beside the photos to say what speaks against them" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_the_scale_bar_stays_unless_the_number_of_photos_leaves_no_room(tmp_path, capsys):
    bare = ("sheet", GOOD, "--document", UK, *TIGHT, "-o")
    assert run(*bare, tmp_path / "s.pdf", "--json") == 0
    assert json.loads(capsys.readouterr().out)["remarks"] == []
    assert stands_in((tmp_path / "s.pdf").read_bytes(), "50 mm")
    assert run(*bare, tmp_path / "t.pdf", "--photos", 4, "--json") == 0
    assert "no room for the 50 mm bar" in json.loads(capsys.readouterr().out)["remarks"][0]


def test_a_studios_name_without_a_space_stays_on_the_back(tmp_path, capsys):
    sheet, name = tmp_path / "s.pdf", "photostudio-the-paper-lantern-at-the-old-market.example" * 2
    common = ("sheet", GOOD, "--document", UK, "--paper", "4x6in", "-o", sheet, "--back")
    assert run(*common, name) == 0
    long = sheet.stat().st_size
    assert run(*common, "") == 0
    assert long - sheet.stat().st_size > 5_000
    capsys.readouterr()
    assert run(*common, name * 20) == 11
    assert "does not fit on 35 x 45 mm" in capsys.readouterr().err


def test_captions_name_document_and_photo_on_a_shared_sheet(tmp_path):
    sheet = tmp_path / "s.pdf"
    assert run("sheet", GOOD, "--document", UK, "--document", "ie-passport-print", "--paper", "a4", "-o", sheet) == 0
    for document in (UK, "ie-passport-print"):
        assert stands_in(sheet.read_bytes(), f"{document} · {GOOD.name}")


def test_copies_for_two_documents_that_are_not_in_blocks_are_all_told_apart(tmp_path, capsys):
    """One face for two documents, eight prints that fill 4 x 6 in: nobody could tell which is which by looking."""
    sheet, documents = tmp_path / "s.pdf", (UK, "ie-passport-print")
    shared = ("sheet", GOOD, *(part for name in documents for part in ("--document", name)), "--paper", "4x6in")
    assert run(*shared, "-o", sheet, "--json") == 0
    made = Counter(place["document"] for place in json.loads(capsys.readouterr().out)["photos"])
    assert made.total() == 8
    written = subprocess.run(["pdftotext", sheet, "-"], check=True, capture_output=True, text=True).stdout
    assert {name: written.count(f"{name} · {GOOD.name}") for name in documents} == made


def test_a_sheet_without_room_for_captions_says_so(tmp_path, capsys):
    shared = ("sheet", GOOD, "--document", UK, "--document", "ie-passport-print", *TIGHT, "--photos", 2)
    assert run(*shared, "-o", tmp_path / "s.pdf") == 0
    assert "no room for all captions" in capsys.readouterr().err


def test_one_photo_is_counted_as_one(tmp_path, capsys):
    assert run("sheet", GOOD, "--document", UK, "--paper", "4x6in", "--photos", 1, "-o", tmp_path / "s.pdf") == 0
    told = capsys.readouterr()
    assert told.out.startswith("1 photo of 35 x 45 mm")
    assert f"{UK}: 2 prints are handed in, and the sheet has 1." in told.err


def test_the_alarms_are_in_bold_before_all_other_notes():
    strip = SheetStrip(("a",), date(2026, 11, 29), simulated=True, warnings=("NOT THIS",))
    assert strip.alarms == ("SIMULATION", "NOT THIS")


def test_the_frame_may_be_nudged_and_the_side_that_lacks_is_named(tmp_path, capsys):
    sheet = ("sheet", GOOD, "--document", UK, "--paper", "4x6in", "-o", tmp_path / "s.pdf")
    assert run(*sheet, "--left-mm", 30) == 10
    assert "mm on the right" in capsys.readouterr().err
    assert run("measure", GOOD, "--document", UK, "--head-mm", 30, "--json") == 0
    assert json.loads(capsys.readouterr().out)["print_mm"]["head_height"] == pytest.approx(30.0)
    assert run(*sheet, "--head-mm", 38) == 13
    assert "Head height" in capsys.readouterr().err


def test_the_rules_for_an_age_apply(capsys):
    """For children under six gov.uk lifts the neutral expression (specs/gb-passport-print.toml)."""
    teeth = SITTERS / "yaw+00_pitch+00_smile_teeth.jpg"
    codes = [run("measure", teeth, "--document", UK, *age, "--json") for age in ((), ("--age", 3))]
    adult, child = map(json.loads, capsys.readouterr().out.splitlines())
    names = [{each["name"] for each in found["measurements"]} for found in (adult, child)]
    assert codes[0] == 1
    assert names[1] < names[0]
    assert child["remarks"] == ["The rules are those for the age of 3."]
    run("measure", GOOD, "--document", US, "--age", 30, "--document", "ie-passport-print", "--json")
    assert "age of 30" in capsys.readouterr().out


def test_an_age_that_changes_nothing_is_said(capsys):
    run("measure", GOOD, "--document", "icao-generic", "--age", 4, "--json")
    assert json.loads(capsys.readouterr().out)["remarks"] == ["The rules of icao-generic are the same at every age."]


@pytest.mark.parametrize(
    ("given", "said"),
    {
        "a year of birth": (("--age", 2019), "from 0 to 130"),
        "far up": (("--up-mm", 1e300), "of at most 1189 mm"),
        "a head for a tower": (("--head-mm", 1e300), "of at most 1189 mm"),
        "a gutter beyond all paper": (("--gutter-mm", 1e308), "0 to 1189 mm"),
        "a margin that is no number": (("--margin-mm", "nan"), "0 to 1189 mm"),
    }.values(),
)
def test_a_number_that_nobody_can_mean_is_refused(tmp_path, capsys, given, said):
    """The long side of A0 is 1189 mm (ISO 216)."""
    sheet = ("sheet", GOOD, "--document", UK, "--paper", "4x6in", "-o", tmp_path / "s.pdf")
    assert run(*sheet, *given) == 2
    assert said in capsys.readouterr().err


def test_a_frame_that_was_moved_by_hand_is_said(capsys):
    moved = "The frame was moved by hand, and judged where it is now."
    for given, remarks in ((("--left-mm", 0.5), [moved]), (("--head-mm", 32), [moved]), ((), [])):
        run("measure", GOOD, "--document", UK, *given, "--json")
        assert json.loads(capsys.readouterr().out)["remarks"] == remarks


def test_a_doubtful_photo_is_made_with_the_doubt_in_the_margin(tmp_path, capsys):
    """A head of 34.6 ± 1.2 mm is neither surely within 34 mm nor surely beyond."""
    sheet = tmp_path / "s.pdf"
    common = ("sheet", GOOD, "--document", UK, "--paper", "4x6in", "--head-mm", 34.6, "--json", "-o", sheet)
    assert run(*common) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["made_anyway"] == []
    assert any("Head height is for a person to judge" in remark for remark in said["remarks"])
    assert stands_in(sheet.read_bytes(), "NOT CERTAIN: Head height")


def test_what_decoding_decided_is_said_with_the_verdict_and_with_the_sheet(tmp_path, capsys):
    clear = tmp_path / "clear.png"
    with Image.open(GOOD) as picture:
        layered = picture.convert("RGBA")
    layered.putpixel((0, 0), (0, 0, 0, 0))
    layered.save(clear, icc_profile=b"broken")
    remarks = ["The file has transparent parts", "The file has a broken colour profile"]
    run("measure", clear, "--document", UK)
    told = capsys.readouterr().out
    assert all(remark in told for remark in remarks)
    run("sheet", clear, "--document", UK, "--paper", "4x6in", "-o", tmp_path / "s.pdf", "--json", "--anyway")
    said = " ".join(json.loads(capsys.readouterr().out)["remarks"])
    assert all(remark in said for remark in remarks)


def test_an_error_that_nobody_expected_stops_no_other_photo():
    class Broken:
        def measure(self, rgb, focal_length_px):
            raise LookupError("Ottoline Marchbanks")

    measured = MeasureJob((CATALOGUE.get(UK),))(GOOD, Broken())
    assert measured.error is not None
    assert measured.error.exit_code == KioskError.exit_code
    assert "LookupError" in str(measured.error)
    assert "Ottoline" not in str(measured.error)
