"""The measurement report: its object, its table and its page."""

import json
import subprocess
from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from PIL import Image

from kiosk.catalogue.documents import Catalogue
from kiosk.core.base.geometry import Size
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import Judgement, judge
from kiosk.core.session.presenter import limit_text
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.drawing.verdict_signs import draw_sign
from kiosk.render.report.measurement import measured_json, measured_text, unmeasurable_json
from kiosk.render.report.measurement_pdf import report_page
from kiosk.render.sheet.photo import Photo
from tests.support.printed import stands_in
from tests.support.sights import DOCUMENT, POINTS, conforming

CATALOGUE = Catalogue.load()
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
    assert " ".join(said) == "photo document verdict points_px measurements crop_px print_mm"
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


def test_the_table_names_number_limit_word_and_source() -> None:
    text = measured_text(Path("a.jpg"), judge(FAILING, DOCUMENT))
    heading, *rows = text.splitlines()
    assert heading == "a.jpg: fail (gb-passport-print)"
    (yaw,) = (row for row in rows if row.split()[0] == "yaw")
    assert "8.0° ± 0.8°" in yaw
    assert limit_text(DOCUMENT.capture["yaw"].range, "deg") in yaw
    assert "fail" in yaw
    assert "; ".join(DOCUMENT.capture["yaw"].source) in yaw


def test_the_page_is_one_a4_sheet_and_tells_nothing_of_its_making() -> None:
    judgement = judge(FAILING, DOCUMENT)
    pdf = drawn(judgement)
    assert pdf == drawn(judgement)
    with pikepdf.open(BytesIO(pdf)) as opened:
        (page,) = opened.pages
        assert [float(edge) for edge in page.MediaBox] == pytest.approx([0, 0, 595.2756, 841.8898], abs=1e-4)
        assert len(opened.docinfo) == 0
        assert "/Metadata" not in opened.Root


def test_the_lines_lie_where_the_points_were_measured(tmp_path: Path) -> None:
    judgement = judge(conforming(DOCUMENT), DOCUMENT)
    page = rendered(drawn(judgement), tmp_path)
    photo = np.abs(page - 170).max(axis=2) <= 2
    y, x = np.nonzero(photo)
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
