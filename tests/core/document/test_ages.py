"""What changes with the sitter's age, the size of the print included, and what may happen to the picture."""

from datetime import date

import pytest

from kiosk.core.base.geometry import Range, Size
from kiosk.core.document.document import Document
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.framing import framing
from kiosk.core.sheet.media import medium
from kiosk.pipeline.offering import layout_of, papers_of
from kiosk.ready.rules import rule_findings
from kiosk.render.report.explain import explain
from kiosk.render.report.rule_json import as_json
from kiosk.settings import settings_from
from tests.support.shipped import CATALOGUE
from tests.support.sights import conforming

READ = {"source": ("practice",), "evidence": "practice", "read_on": date(2026, 11, 29)}


def with_children(**changes) -> Document:
    """Return the British print, with other rules below six in which every head has room."""
    table = CATALOGUE.get("gb-passport-print").model_dump(exclude_unset=True)
    relaxation = {"text": "Another print.", "below_age_years": 6, **READ, **changes}
    return Document.model_validate({**table, "relaxations": [relaxation]})


SETTINGS = """[booth]
documents = ["gb-passport-print"]
[camera]
backend = "uvc"
[printer]
backend = "folder"
folder = "prints"
[paper]
medium = "4x6in"
"""

LARGE = {"size": {"width": 50, "height": 70, "unit": "mm", **READ}}


class TestPrintByAge:
    def test_a_child_has_its_own_print(self):
        document = with_children(**LARGE)
        assert document.size_mm == Size(35, 45)
        assert document.for_age(5).size_mm == Size(50, 70)
        assert document.for_age(6).size_mm == Size(35, 45)
        assert [one.size_mm.width for one in document.by_age] == [50, 35]
        child, grown = (framing(document.for_age(age), 4000, 6000) for age in (5, 6))
        assert child.head.middle < grown.head.middle, "the same head in a larger print is smaller in the picture"

    def test_it_is_judged_in_its_own_frame(self):
        child = with_children(**LARGE).for_age(5)
        judged = judge(conforming(child), child)
        assert judged.verdict == "pass"
        assert judged.plan.rect_px.width / judged.plan.rect_px.height == pytest.approx(50 / 70)

    def test_a_paper_is_offered_only_where_every_print_fits(self, tmp_path):
        more = '[[paper.more]]\nmedium = "om_small_45x60mm"\n'
        settings = settings_from(SETTINGS + more, tmp_path / "settings.toml")
        small = medium("om_small_45x60mm").short
        assert papers_of(settings, [CATALOGUE.get("gb-passport-print")])["gb-passport-print"] == ("4x6in", small)
        assert papers_of(settings, [with_children(**LARGE)]) == {}

    def test_a_print_of_a_child_too_large_for_the_paper_keeps_the_booth_closed(self, tmp_path):
        settings = settings_from(SETTINGS, tmp_path / "settings.toml")
        huge = with_children(size={"width": 120, "height": 160, "unit": "mm", **READ})
        for document, stopped in ((with_children(**LARGE), False), (huge, True)):
            found = list(rule_findings(settings, [document], layout_of(settings), date(2026, 12, 1)))
            assert any(finding.name == "fit" and finding.stops for finding in found) is stopped

    def test_a_file_has_no_print_to_change(self):
        table = CATALOGUE.get("us-visa-digital").model_dump(exclude_unset=True)
        relaxation = {"text": "Another print.", "below_age_years": 6, **READ, **LARGE}
        with pytest.raises(ValueError, match="the document has no print"):
            Document.model_validate({**table, "relaxations": [relaxation]})

    def test_it_is_shown(self):
        document = with_children(**LARGE)
        assert "Size of the print: 50 x 70 mm" in explain(document, CATALOGUE)
        assert [age["frame_mm"] for age in as_json(document)["ages"]] == [[50, 70], [35, 45]]


@pytest.mark.parametrize(
    ("name", "limit"), [("eyes_from_top", (15, 25)), ("chin_to_eyes", (10, 20)), ("eye_distance", (5, 12))]
)
def test_every_length_can_be_given_for_an_age_and_is_judged(name, limit):
    length = {"min": limit[0], "max": limit[1], "unit": "mm", **READ}
    document = with_children(**{name: length})
    measured = "eye_line" if name == "eyes_from_top" else name
    limits = {f.measurement.name: f.limit for f in judge(conforming(document), document.for_age(3)).findings}
    expected = Range(20, 30) if name == "eyes_from_top" else Range(*limit)
    assert (limits[measured].low, limits[measured].high) == (expected.low, expected.high)
    assert measured not in {f.measurement.name for f in judge(conforming(document), document.for_age(7)).findings}


class TestHandling:
    def test_a_picture_that_may_not_be_cropped_is_beyond_a_booth(self):
        """Quoted: the original camera file is asked for in Canada's online renewal, and a cropped one rejected."""
        document = CATALOGUE.get("ca-passport-online")
        assert (document.crop.allowed, document.crop.evidence) == (False, "quoted")
        assert document.is_beyond_booth
        assert document.model_copy(update={"delivery": None}).is_beyond_booth
        assert not document.model_copy(update={"delivery": None, "crop": None}).is_beyond_booth
        assert "(This booth crops every picture.)" in " ".join(explain(document, CATALOGUE).split())
        assert as_json(document)["beyond_booth"] is True

    @pytest.mark.parametrize(
        ("document_id", "allowed", "evidence"),
        [
            # canada.ca, "Digital passport photos": not a scanned copy of a printed passport photo.
            ("ca-passport-online", False, "primary"),
            # The citizenship certificate: scanned photos are not accepted.
            ("ca-citizenship", False, "quoted"),
            # passports.govt.nz: scanned photos cannot be accepted online.
            ("nz-passport-digital", False, "quoted"),
            # travel.state.gov, online renewal: no scan and no picture of a print.
            ("us-passport-online-renewal", False, "quoted"),
            # travel.state.gov, visas: 2 x 2 in at 300 ppi or more.
            ("us-visa-digital", True, "primary"),
            # Canada's temporary residents: 600 ppi or more.
            ("ca-visa-pr-digital", True, "quoted"),
        ],
    )
    def test_scans(self, document_id, allowed, evidence):
        rule = CATALOGUE.get(document_id).scan
        assert (rule.allowed, rule.evidence) == (allowed, evidence)

    def test_american_files_of_a_renewal_have_been_read(self):
        """Quoted: 54 kB to 10 MB, JPG, PNG, HEIC or HEIF, white or off-white, within six months."""
        document = CATALOGUE.get("us-passport-online-renewal")
        file, formats = document.upload.file, document.upload.formats
        assert (file.min_bytes, file.max_bytes, file.evidence) == (54_000, 10_000_000, "quoted")
        assert (set(formats.values), formats.evidence) == ({"jpeg", "png", "heif"}, "quoted")
        assert (document.background.evidence, document.recency.max) == ("quoted", 6)
