"""Rules that were wrong or outdated until an audit; the page that says otherwise is named beside each check.

Primary, the authority's own page; quoted, a page that quotes it. All are undated copies, read on 29 November 2026.
"""

from datetime import date

import pytest

from kiosk.core.base.geometry import Range, Size
from tests.support.shipped import CATALOGUE

READ_ON = date(2026, 11, 29)


@pytest.mark.parametrize("document_id", ["us-visa-digital", "us-passport-online-renewal", "us-passport-print"])
def test_no_eyeglasses_in_american_photos(document_id):
    """Primary: US Consulate General Hamilton and US Embassy Brazzaville, visas and passports from 1 November 2016."""
    rule = CATALOGUE.get(document_id).spectacles
    assert (rule.allowed, rule.evidence) == (False, "primary")
    assert "1 November 2016" in rule.text


def test_an_american_infants_eyes_may_be_closed():
    """Primary: 8 FAM 402.1-1 d, fam.state.gov."""
    document = CATALOGUE.get("us-passport-print")
    assert "eyes_open" not in document.for_age(0).capture
    assert "eyes_open" in document.for_age(1).capture
    assert document.relaxations[0].evidence == "primary"


class TestIndia:
    def test_the_missions_photo_since_september_2025(self):
        """Quoted: the missions in Dubai and Kuwait.

        Dubai: arabianbusiness.com and gulfnews.com, 29 August 2025. Kuwait: siasat.com, 28 August 2025.
        """
        document = CATALOGUE.get("in-passport-mission")
        assert document.upload.pixels.smallest == Size(630, 810)
        assert (document.head_height.range, document.head_height.unit) == (Range(0.8, 0.85), "fraction")
        assert [colour.name for colour in document.background.colours] == ["white"]
        assert document.size is None

    def test_the_overseas_citizens_card(self):
        """Quoted: immihelp.com (eyes); copies of the portal of 2022 and 2026 (not white, 200 to 900 px, 500 kB)."""
        document = CATALOGUE.get("in-oci")
        assert (document.eye_line.range, document.eye_line.unit) == (Range(1.125, 1.375), "in")
        assert {colour.name for colour in document.backdrop_colours} == {"light-grey", "light-blue", "cream"}
        pixels = document.upload.pixels
        assert (pixels.min_width, pixels.max_width, pixels.evidence) == (200, 900, "quoted")
        assert document.upload.file.max_bytes == 500_000


class TestChildren:
    @pytest.mark.parametrize(("age_years", "lowest_mm"), [(0, 17), (5, 17), (9, 17), (10, 27)])
    def test_german_heads(self, age_years, lowest_mm):
        """Quoted: the state printer's photo chart: "bis zum vollendeten 10. Lebensjahr", refused below 17 mm."""
        document = CATALOGUE.get("de-passport-id").for_age(age_years)
        assert document.head_height.kept_mm(document.frame_mm).low == lowest_mm

    def test_german_children_below_six(self):
        """Quoted: the same chart: pose but not the frontal view, expression, eyes and gaze may differ."""
        document = CATALOGUE.get("de-passport-id")
        lifted = set(document.capture) - set(document.for_age(5).capture)
        assert lifted == {"roll", "pitch", "expression_neutrality", "mouth_closed", "eyes_open", "gaze"}
        assert document.for_age(6).capture == document.capture

    @pytest.mark.parametrize(("document_id", "lifted"), [
        ("gb-passport-print", {"expression_neutrality", "mouth_closed", "gaze"}),
        ("gb-passport-digital", {"expression_neutrality", "mouth_closed", "gaze"}),
        ("nl-passport-id", {"roll", "expression_neutrality", "mouth_closed", "gaze"}),
    ])  # fmt: skip
    def test_a_child_below_six_need_not_look_at_the_camera(self, document_id, lifted):
        """Quoted: HM Passport Office's rules for children; the Dutch Fotomatrix model 2007."""
        document = CATALOGUE.get(document_id)
        assert set(document.capture) - set(document.for_age(5).capture) == lifted
        assert document.for_age(6).capture == document.capture


def test_a_german_crown_is_read_not_borrowed():
    """Quoted: the state printer's chart: "das obere Kopfende unter Vernachlässigung der Frisur"."""
    rule = CATALOGUE.get("de-passport-id").head_top
    assert (rule.value, rule.evidence) == ("crown", "quoted")


def test_japanese_offices_advise_against_machines():
    """Primary: pref.miyazaki.lg.jp and city.osakasayama.osaka.jp; town.nose.osaka.jp on round faces below 32 mm.

    Quoted: the ministry's drawing, 7 mm below the chin and 17 mm to the middle, 2 mm either way.
    """
    document = CATALOGUE.get("jp-passport-print")
    assert (document.channel.value, document.channel.evidence) == ("with_conditions", "primary")
    assert document.margin_below_mm == Range(5, 9)
    assert (document.face_centre.range, document.face_centre.evidence) == (Range(15, 19), "quoted")
    assert "32 mm" in document.relaxations[0].text


class TestChina:
    def test_the_print(self):
        """Quoted: embassies' text of 2016 and later; a city's page of 2009 no longer narrows the head's width."""
        document = CATALOGUE.get("cn-visa-print")
        assert (document.margin_above_mm, document.margin_below_mm) == (Range(3, 5), Range(7, None))
        assert {document.margin_above.evidence, document.margin_below.evidence} == {"quoted"}
        assert document.head_width.range_mm(document.frame_mm) == Range(15, 22)

    def test_the_file(self):
        """Quoted: 354 x 472 px with a face 205 px wide, 14 either way; up to 420 x 560 px, the same 3 : 4."""
        document = CATALOGUE.get("cn-visa-digital")
        assert document.upload.pixels.aspect == (3, 4)
        width = document.head_width.range.scaled(354)
        assert (width.low, width.high) == pytest.approx((191, 219), abs=0.05)
        assert document.head_height.evidence == "computed"
        assert document.head_height.published != Range(0.636, 0.75)


def test_superseded_pages_no_longer_squeeze_a_head():
    """Quoted: the Korean ministry's 3.2 to 3.6 cm; the Turkish directorate's 50 x 60 mm."""
    for document_id in ("kr-passport", "tr-passport"):
        assert CATALOGUE.get(document_id).head_height_mm == Range(32, 36)
    assert CATALOGUE.get("tr-passport").size_mm == Size(50, 60)


def test_french_frames_and_new_zealand_files():
    """Quoted: the order of 5 February 2009 in a legal guide; the current text of the New Zealand authority."""
    assert "thick frame" in CATALOGUE.get("fr-passport-id").spectacles.text
    file = CATALOGUE.get("nz-passport-digital").upload.file
    assert (file.min_bytes, file.max_bytes) == (250_000, 10_000_000)


def test_the_canadian_file_is_not_of_the_card():
    """Quoted: the authority's digital rules cover temporary residence and Express Entry."""
    document = CATALOGUE.get("ca-visa-pr-digital")
    assert document.kinds == ("visa",)
    assert "Express Entry" in document.title


@pytest.mark.parametrize(("document_id", "keys"), [
    ("sg-passport", ("head_height", "head_top")),
    ("ie-passport-print", ("size", "head_height", "prints")),
    ("br-passport", ("size", "channel")),
])  # fmt: skip
def test_what_was_memory_has_been_read(document_id, keys):
    """Quoted: a consular list, a studio's list, a guide.

    25 to 35 mm from chin to crown; 35 x 45 to 38 x 50 mm, four prints, 70 to 80 %; children below 5 bring 5 x 7.
    """
    document = CATALOGUE.get(document_id)
    assert {(getattr(document, key).evidence, getattr(document, key).read_on) for key in keys} == {("quoted", READ_ON)}


@pytest.mark.parametrize(("document_id", "worn_for", "evidence"), [
    # Quoted: section 5 of the Passport Ordinance, to which the Driving Licence Ordinance refers.
    ("de-driving-licence", {"religion"}, "quoted"),
    # Quoted: HM Passport Office's digital rules: religious or medical reasons.
    ("gb-passport-digital", {"religion", "medicine"}, "quoted"),
    # Primary: borne.nl, "tenzij u schriftelijk kunt aantonen dat godsdienstige … of medische redenen".
    ("nl-passport-id", {"religion", "medicine"}, "primary"),
    # Quoted: the specification on passport.gov.in, "not permitted except for religious reasons".
    ("in-oci", {"religion"}, "quoted"),
    # Quoted: a travel guide, "Headgear, other than for religious purposes".
    ("ca-passport", {"religion"}, "quoted"),
])  # fmt: skip
def test_head_coverings_are_read(document_id, worn_for, evidence):
    rule = CATALOGUE.get(document_id).covering
    assert (set(rule.worn_for), rule.evidence) == (worn_for, evidence)


@pytest.mark.parametrize("document_id", [
    # Quoted: driving schools, a studio with HM Passport Office's rules, a Canadian photographer, the Korean ministry.
    "de-driving-licence", "gb-passport-digital", "ca-passport", "kr-passport", "kr-passport-online",
    # Primary: borne.nl.
    "nl-passport-id",
])  # fmt: skip
def test_spectacles_are_read(document_id):
    rule = CATALOGUE.get(document_id).spectacles
    assert rule.allowed
    assert not rule.better_off


def test_a_german_driving_licence_is_measured_as_the_law_says():
    """Quoted: "in der Größe von 45 Millimeter x 35 Millimeter im Hochformat und ohne Rand"."""
    document = CATALOGUE.get("de-driving-licence")
    assert (document.size_mm, document.size.evidence, document.border.allowed) == (Size(35, 45), "quoted", False)


def test_a_korean_newborn_may_show_a_little_of_its_mouth():
    """Quoted: the easing of 2018; the head keeps an adult's 32 to 36 mm."""
    document = CATALOGUE.get("kr-passport")
    assert set(document.capture) - set(document.for_age(0).capture) == {"mouth_closed"}
    assert document.for_age(0).head_height_mm == Range(32, 36)
