"""The measurement report: its object, its table and its page."""

import csv
import io
import json
import subprocess
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from kiosk.core.base.geometry import Range, Size
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Assessment, Judgement, judge
from kiosk.core.session.quantities import limit_text
from kiosk.core.session.questions import LOOK_FOR
from kiosk.core.session.remedies import REMEDIES
from kiosk.errors import NoFace
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.drawing.verdict_signs import draw_sign
from kiosk.render.report.measurement import measured_json, measured_table, measured_text, unmeasurable_json
from kiosk.render.report.measurement_pdf import report_page
from kiosk.render.report.measurement_table import COLUMNS, measured_csv
from kiosk.render.report.plain_words import ASKS, doubts, faults
from kiosk.render.report.preview import LONGEST_PX, preview_png
from kiosk.render.sheet.photo import Photo
from tests.support.printed import stands_in
from tests.support.shipped import CATALOGUE
from tests.support.sights import DOCUMENT, POINTS, conforming

DPI = 150
FAILING = conforming(
    DOCUMENT,
    yaw=Measurement("yaw", 8.0, "deg", 0.8),
    pitch=Measurement("pitch", 4.8, "deg", 1.2),
    sharpness=Measurement("sharpness", None, DOCUMENT.capture["sharpness"].unit),
)


def grey(document: Document) -> Photo:
    return Photo(np.full((450, 350, 3), 170, np.uint8), document.frame_mm)


def drawn(judgement: Judgement, document: Document = DOCUMENT, *, simulated: bool = False) -> bytes:
    return report_page(grey(document), judgement, document, CATALOGUE.sources, simulated=simulated).finish()


def wordiness(document: Document) -> int:
    """Return how many letters a report on the document holds, for finding those that might not fit."""
    findings = judge(conforming(document), document).findings
    return len(document.channel.text) + sum(len(finding.source) for finding in findings)


def rendered(pdf: bytes, folder: Path, dpi: int = DPI) -> np.ndarray:
    (folder / "report.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", str(dpi), "-singlefile", folder / "report.pdf", folder / "page"], check=True)
    return np.asarray(Image.open(folder / "page.ppm")).astype(int)


def test_the_object_holds_what_the_command_promises() -> None:
    judgement = judge(FAILING, DOCUMENT)
    said = json.loads(json.dumps(measured_json(Path("a.jpg"), judgement)))
    assert " ".join(said) == "photo document verdict reason remarks points_px measurements crop_px print_mm"
    assert (said["photo"], said["document"], said["verdict"]) == ("a.jpg", "gb-passport-print", "fail")
    assert said["points_px"]["right_eye"] == [POINTS.right_eye.x, POINTS.right_eye.y]
    assert set(said["points_px"]) == {"crown", "hair_top", "chin", "right_eye", "left_eye"}
    by_name = {each["name"]: each for each in said["measurements"]}
    limit = DOCUMENT.capture["yaw"]
    assert by_name["yaw"] == {
        "name": "yaw",
        "value": 8.0,
        "unit": "deg",
        "uncertainty": 0.8,
        "min": limit.min,
        "max": limit.max,
        "decision": "benefit_of_doubt",
        "verdict": "fail",
        "source": "; ".join(limit.source),
    }
    assert (by_name["pitch"]["verdict"], by_name["sharpness"]["verdict"]) == ("pass", "unmeasured")
    assert by_name["sharpness"]["value"] is None
    assert judgement.plan is not None
    height_mm = (POINTS.chin.y - POINTS.crown.y) / said["crop_px"]["height"] * DOCUMENT.frame_mm.height
    assert said["print_mm"]["head_height"] == pytest.approx(height_mm, abs=0.01)
    below_px = said["crop_px"]["y"] + said["crop_px"]["height"] - POINTS.eye_centre.y
    eye_line_mm = below_px / said["crop_px"]["height"] * DOCUMENT.frame_mm.height
    assert said["print_mm"]["eye_line_from_bottom"] == pytest.approx(eye_line_mm, abs=0.01)


def test_a_photo_without_a_person_has_the_same_keys_and_no_numbers() -> None:
    nobody = judge(Observation(640, 800, 0), DOCUMENT)
    assert measured_json(Path("b.jpg"), nobody) == unmeasurable_json(Path("b.jpg"), DOCUMENT)
    assert list(unmeasurable_json(Path("b.jpg"), DOCUMENT)) == list(
        measured_json(Path("b.jpg"), judge(FAILING, DOCUMENT))
    )


def test_the_table_names_number_limit_word_and_source_in_the_reports_words() -> None:
    text = measured_table(judge(FAILING, DOCUMENT))
    (turn,) = (row for row in text.splitlines() if row.startswith("  Head turn"))
    assert "8.0° ± 0.8°" in turn
    assert limit_text(DOCUMENT.capture["yaw"].range, "deg") in turn
    assert "not met" in turn
    assert "; ".join(DOCUMENT.capture["yaw"].source) in turn
    (colour,) = (row for row in text.splitlines() if row.startswith("  Background colour"))
    assert "ΔE" not in colour


def test_what_is_wrong_comes_first_then_what_to_do_and_one_line_for_the_rest() -> None:
    heading, *lines = measured_text("a.jpg", judge(FAILING, DOCUMENT), DOCUMENT, ("The file was odd.",)).splitlines()
    assert heading == f"a.jpg: does not meet the requirements: {DOCUMENT.title} ({DOCUMENT.id})"
    assert [line.strip() for line in lines[:4]] == [
        "The head was turned 8° to its left; ask them to look straight at the lens.",
        "Sharpness could not be measured.",
        "The file was odd.",
        "Next: take the photo again and measure it again.",
    ]
    assert lines[4].endswith("--all shows each of them.")
    assert len(lines) == 5


def test_left_and_right_are_the_sitters_own() -> None:
    """Yaw above zero turns the nose to the sitter's left, roll above zero leans the crown there (`HeadPoints`)."""
    for name, below, above in (
        ("yaw", "turned 9° to its right", "turned 9° to its left"),
        ("roll", "leaned 12° to its right", "leaned 12° to its left"),
        ("pitch", "was 12° too low", "was 12° too high"),
    ):
        size = 9.0 if name == "yaw" else 12.0
        for sign, words in ((-1, below), (1, above)):
            seen = conforming(DOCUMENT, **{name: Measurement(name, sign * size, "deg", 0.5)})
            (sentence,) = faults(judge(seen, DOCUMENT), DOCUMENT)
            assert words in sentence


def test_every_requirement_that_can_fail_has_a_sentence_without_its_key() -> None:
    judgement = judge(conforming(DOCUMENT), DOCUMENT)
    names = {*REMEDIES, *DOCUMENT.capture, "chin_to_eyes", "eye_distance", "head_width"}
    for name in sorted(names):
        finding = Assessment(Measurement(name, 1.0, "mm"), Range(2.0, 3.0), "fail", "bench")
        (sentence,) = faults(replace(judgement, findings=(finding,)), DOCUMENT)
        assert sentence.endswith(".")
        assert "reason." not in sentence
        assert name not in sentence or "_" not in name


def test_every_remedy_of_the_booth_has_words_for_a_photographer() -> None:
    assert set(ASKS) == {str(remedy) for remedy in REMEDIES.values()}


def test_a_photo_without_colour_is_to_be_taken_in_colour() -> None:
    judgement = judge(conforming(DOCUMENT), DOCUMENT)
    finding = Assessment(Measurement("in_colour", 0.0, "ratio"), Range(0.5, None), "fail", "bench")
    (sentence,) = faults(replace(judgement, findings=(finding,)), DOCUMENT)
    assert sentence == "The photo had no colour; take it in colour, and leave its colours as they are."


def test_what_can_be_seen_is_asked_about_once_and_without_a_ratio_that_means_nothing() -> None:
    judgement = judge(conforming(DOCUMENT), DOCUMENT)
    names = ("no_head_coverings", "luminance_mean", "illumination_uniformity", "yaw", "head_size", "background_colour")
    values = {"yaw": (-6.0, "deg"), "head_size": (34.6, "mm"), "background_colour": (0.2, "dE")}
    findings = tuple(
        Assessment(Measurement(name, *values.get(name, (0.01, "ratio")), 0.15), Range(0.5, None), "refer", "bench")
        for name in names
    )
    assert doubts(replace(judgement, findings=findings)) == (
        "Please look: Is the head uncovered?",
        "Please look: Is the face evenly lit?",
        "Please look: Is the head straight? As measured, the head was turned 6° to its right.",
        "Head height is for a person to judge: 34.6 mm ± 0.1 mm, where at least 0.5 mm is asked.",
        "Background colour is for a person to judge: as measured, it is at the limit.",
    )
    assert {"yaw", "pitch", "roll", "gaze"} <= LOOK_FOR.keys()


def test_an_advice_is_given_once() -> None:
    turned = conforming(DOCUMENT, yaw=Measurement("yaw", 9.0, "deg", 0.5), pitch=Measurement("pitch", 12.0, "deg", 0.5))
    both = faults(judge(turned, DOCUMENT), DOCUMENT)
    assert [sentence.count("look straight at the lens") for sentence in both] == [1, 0]


def test_the_table_for_spreadsheets_is_read_back_cell_by_cell() -> None:
    judged = measured_json(Path('=2+3, "Ann"\nLee.jpg'), judge(FAILING, DOCUMENT), ("One.", "Two."))
    unusable = unmeasurable_json(Path("b.jpg"), DOCUMENT, NoFace(path="b.jpg"))
    header, first, second = csv.reader(io.StringIO(measured_csv([judged, unusable]), newline=""))
    assert tuple(header) == COLUMNS
    told, none = (dict(zip(header, row, strict=True)) for row in (first, second))
    assert told["photo"] == '\'=2+3, "Ann"\nLee.jpg'
    assert (told["verdict"], told["not met"], told["to be judged"]) == ("fail", "Head turn", "Sharpness")
    assert float(told["head height mm"]) == judged["print_mm"]["head_height"]
    assert told["remarks"] == "One. Two."
    assert (none["verdict"], none["head height mm"]) == ("unmeasurable", "")
    assert none["reason"] == "No face was found in b.jpg."


def test_the_preview_shows_frame_and_lines_where_they_were_measured() -> None:
    """The still is as large as its preview, so that a pixel of one is a pixel of the other."""
    seen = conforming(DOCUMENT)
    judgement = judge(seen, DOCUMENT)
    still = np.full((seen.height_px, seen.width_px, 3), 170, np.uint8)
    scale = min(1.0, LONGEST_PX / max(still.shape))
    page = np.asarray(Image.open(BytesIO(preview_png(still, judgement, DOCUMENT)))).astype(int)
    y, x = np.nonzero(np.abs(page - 170).max(axis=2) <= 1)
    top, left = y.min(), x.min()
    assert judgement.plan is not None
    assert seen.points is not None
    frame = judgement.plan.rect_px
    column = page[top:, round(left + (frame.x + frame.width * 0.2) * scale)].mean(axis=1)
    dark = np.flatnonzero((column < 110) & (column <= np.roll(column, 1)) & (column < np.roll(column, -1)))
    expected = [frame.y, seen.points.crown.y, seen.points.eye_centre.y, seen.points.chin.y, frame.bottom]
    assert dark + 0.5 == pytest.approx([level * scale for level in expected], abs=2.0)


def test_the_page_is_one_a4_sheet_and_tells_nothing_of_its_making() -> None:
    judgement = judge(FAILING, DOCUMENT)
    pdf = drawn(judgement)
    assert pdf == drawn(judgement)
    with pikepdf.open(BytesIO(pdf)) as opened:
        (page,) = opened.pages
        assert [float(edge) for edge in page.MediaBox] == pytest.approx([0, 0, 595.2756, 841.8898], abs=1e-4)
        assert dict(opened.docinfo) == {"/Title": f"Measurement report: {DOCUMENT.title}"}
        assert "/Metadata" not in opened.Root


def test_the_lines_lie_where_the_points_were_measured(tmp_path: Path) -> None:
    judgement = judge(conforming(DOCUMENT), DOCUMENT)
    page = rendered(drawn(judgement), tmp_path)
    photo = np.abs(page - 170).max(axis=2) <= 2
    y, x = (np.flatnonzero(photo.sum(axis=axis) > photo.sum(axis=axis).max() / 2) for axis in (1, 0))
    top, foot, left, right = y.min(), y.max() + 1, x.min(), x.max() + 1
    picture = page[top:foot, left:right].mean(axis=2)
    scale = (foot - top) / DOCUMENT.frame_mm.height
    assert judgement.plan is not None
    points = judgement.plan.points_mm
    level = picture[:, (right - left) // 5]
    dark = np.flatnonzero((level < 120) & (level <= np.roll(level, 1)) & (level < np.roll(level, -1)))
    assert dark + 0.5 == pytest.approx([p.y * scale for p in (points.crown, points.eye_centre, points.chin)], abs=1.5)
    upright = picture[(foot - top) * 9 // 10]
    assert np.argmin(upright) + 0.5 == pytest.approx(points.eye_centre.x * scale, abs=1.5)


def test_verdicts_differ_by_shape_not_by_colour_alone(tmp_path: Path) -> None:
    shapes = {}
    for word in ("pass", "fail", "refer", "unmeasured", "advise"):
        page = PdfPage(Size(20, 20))
        draw_sign(page, word, 2, 2, 16)
        shapes[word] = rendered(page.finish(), tmp_path).mean(axis=2) < 200
    words = list(shapes)
    for index, one in enumerate(words):
        for other in words[index + 1 :]:
            union = (shapes[one] | shapes[other]).sum()
            assert (shapes[one] ^ shapes[other]).sum() > 0.25 * union, (one, other)


def test_a_simulated_report_says_so(tmp_path: Path) -> None:
    judgement = judge(conforming(DOCUMENT), DOCUMENT)
    real, simulated = (rendered(drawn(judgement, simulated=each), tmp_path) for each in (False, True))
    assert (real != simulated).any(axis=2).sum() > 500


def test_a_report_says_who_passed_the_photo_and_keeps_the_verdict(tmp_path: Path) -> None:
    judgement = judge(FAILING, DOCUMENT)
    pages = (
        report_page(grey(DOCUMENT), judgement, DOCUMENT, CATALOGUE.sources, override=reason).finish()
        for reason in ("", "Medical condition or disability")
    )
    plain, passed = (rendered(page, tmp_path) for page in pages)
    assert (plain != passed).any(axis=2).sum() > 500
    assert (plain[: plain.shape[0] // 8] == passed[: plain.shape[0] // 8]).all()


def test_a_report_says_what_the_sitter_had_printed_as_not_certain() -> None:
    unknown = Measurement("eyes_open", None, "ratio")
    judgement = judge(conforming(DOCUMENT, eyes_open=unknown), DOCUMENT)
    plain, accepted = (
        report_page(grey(DOCUMENT), judgement, DOCUMENT, CATALOGUE.sources, accepted=each).finish()
        for each in (False, True)
    )
    for words in ("Printed at the sitter's wish, not certain:", "eyes open."):
        assert stands_in(accepted, words)
        assert not stands_in(plain, words)


@pytest.mark.parametrize("name", [document.id for document in sorted(CATALOGUE.all(), key=wordiness)[-8:]])
def test_the_longest_reports_fit_their_page(name: str, tmp_path: Path) -> None:
    document = CATALOGUE.get(name)
    pdf = drawn(judge(conforming(document), document), document, simulated=True)
    ink = (rendered(pdf, tmp_path, dpi=50) < 200).any(axis=2)
    margin_px = round(14 / 25.4 * 50)
    for edge in (ink[:margin_px], ink[-margin_px:], ink[:, :margin_px], ink[:, -margin_px:]):
        assert not edge.any()
    between_table_and_footing = ink[round(265.5 / 25.4 * 50) : round(268.5 / 25.4 * 50)]
    assert not between_table_and_footing.any()


def test_a_still_without_a_crop_has_a_report_too() -> None:
    nobody = judge(Observation(640, 800, 0), DOCUMENT)
    pdf = report_page(None, nobody, DOCUMENT, CATALOGUE.sources).finish()
    with pikepdf.open(BytesIO(pdf)) as opened:
        assert len(opened.pages) == 1
        assert not opened.pages[0].Resources.XObject
