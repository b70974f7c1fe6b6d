"""What a document states beyond sizes, how it is judged, and that silence is neither a permission nor a ban."""

from dataclasses import replace
from datetime import date

import pytest

from kiosk.catalogue.documents import Catalogue
from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement
from kiosk.core.document.background import BackgroundRule
from kiosk.core.document.limits import CaptureLimit, Length, Limit
from kiosk.core.document.requirements import DeliveryRule
from kiosk.core.judging.conformance import judge
from kiosk.core.judging.crop import PRACTICE_FACE_CENTRE, plan_crop
from kiosk.errors import RulesRefused
from kiosk.render.report.explain import explain
from kiosk.render.report.rule_json import as_json
from kiosk.render.report.rule_words import rule_words
from tests.support.shipped import CATALOGUE
from tests.support.sights import POINTS, conforming

READ = {"source": ("practice",), "evidence": "practice", "read_on": date(2026, 11, 29)}


def words(document, **changes):
    """Return the word of every finding by the name of its measurement."""
    return {f.measurement.name: f.word for f in judge(conforming(document, **changes), document).findings}


def told(document_id):
    return " ".join(explain(CATALOGUE.get(document_id), CATALOGUE).split())


class TestSpectacles:
    WORN = Measurement("spectacles", 0.95, "ratio", 0.02)

    @pytest.mark.parametrize(
        ("document_id", "word"),
        [
            ("us-visa-digital", "fail"),
            ("jp-passport-print", "advise"),
            ("fr-passport-id", None),
            ("kr-passport", None),
            ("de-residence-permit", None),
        ],
    )
    def test_banned_better_off_allowed_and_not_stated(self, document_id, word):
        document = CATALOGUE.get(document_id)
        assert words(document, spectacles=self.WORN).get("spectacles") == word

    def test_better_off_is_advice_that_counts_for_nothing(self):
        document = CATALOGUE.get("jp-passport-print")
        worn, bare = (judge(conforming(document, **kept), document) for kept in ({"spectacles": self.WORN}, {}))
        assert worn.verdict == bare.verdict
        assert {f.measurement.name: f.word for f in bare.findings}["spectacles"] == "pass"

    def test_silence_is_told_as_silence(self):
        assert CATALOGUE.get("de-residence-permit").spectacles is None
        silent = told("de-residence-permit").split("Not read: ")[1].split(". What the pages do not state")[0]
        assert {"spectacles", "head covering"} <= set(silent.split(", "))
        assert "spectacles" not in told("us-visa-digital").split("Not read: ")[1].split(". What")[0]


class TestHeadWidth:
    """The Dutch ear root to ear root, 16 to 20 mm (quoted: Fotomatrix, translations)."""

    DOCUMENT = CATALOGUE.get("nl-passport-id")

    def seen(self, width_mm):
        scale = plan_crop(POINTS, self.DOCUMENT, 1600, 2000).mm_per_px
        return {"head_width": Measurement("head_width", width_mm / scale, "px", 0.3 / scale)}

    @pytest.mark.parametrize(("width_mm", "word"), [(18, "pass"), (20, "pass"), (23, "refer"), (13, "refer")])
    def test_it_is_judged_and_never_refuses_alone(self, width_mm, word):
        assert words(self.DOCUMENT, **self.seen(width_mm))["head_width"] == word

    @pytest.mark.parametrize("head_share", [0.55, 0.62, 0.75])
    def test_a_frame_is_chosen_that_suits_a_narrow_and_a_broad_head(self, head_share):
        """26 to 30 mm high and 16 to 20 mm wide: a broad head is cut smaller, a narrow one larger, both within."""
        high_px = POINTS.head_height_px()
        seen = Measurement("head_width", head_share * high_px, "px", 0.01 * high_px)
        judged = judge(conforming(self.DOCUMENT, head_width=seen), self.DOCUMENT)
        found = {f.measurement.name: f for f in judged.findings}
        assert found["head_width"].word == "pass"
        assert self.DOCUMENT.head_height_mm.contains(found["head_size"].measurement.value)

    def test_a_width_that_no_frame_suits_leaves_the_frame_as_it_was(self):
        alone = plan_crop(POINTS, self.DOCUMENT, 1600, 2000)
        assert plan_crop(POINTS, self.DOCUMENT, 1600, 2000, 5000.0).rect_px == alone.rect_px

    def test_one_that_nobody_measured_is_advice(self):
        assert words(self.DOCUMENT)["head_width"] == "advise"


class TestRefusal:
    """Germany asks for 32 to 36 mm and refuses outside 27 to 40 mm (quoted: the state printer's photo chart)."""

    @pytest.mark.parametrize(
        ("head_mm", "word"), [(34, "pass"), (30, "refer"), (38, "refer"), (24, "fail"), (43, "fail")]
    )
    def test_between_what_is_asked_and_what_is_refused_a_person_decides(self, head_mm, word):
        document = CATALOGUE.get("de-passport-id")
        eyes = document.eye_line.model_copy(update={"min": 0.0, "max": 45.0})
        head = document.head_height.model_copy(
            update={"min": head_mm - 0.001, "max": head_mm + 0.001, "refused_below": None, "refused_above": None}
        )
        cut = document.model_copy(update={"head_height": head, "eye_line": eyes})
        points = replace(POINTS, crown_sd_px=0.1, chin_sd_px=0.1)
        plan = plan_crop(points, cut, 1600, 2000)
        assert plan.measurements["head_size"].value == pytest.approx(head_mm, abs=0.01)
        asked = replace(conforming(document), points=points)
        asking = document.model_copy(update={"eye_line": eyes})
        found = {f.measurement.name: f for f in _judged_as_cut(asked, asking, plan)}
        assert found["head_size"].word == word

    def test_it_is_explained(self):
        assert "Head height: 32 to 36 mm; refused only below 27 or above 40 mm" in told("de-passport-id")


def _judged_as_cut(observation, document, plan):
    from kiosk.core.judging.conformance import _geometry

    return _geometry(plan.measurements, document)


class TestAges:
    def relaxed(self, **given):
        document = CATALOGUE.get("gb-passport-print")
        relaxation = document.relaxations[1].model_copy(update=given)
        return document.model_copy(update={"relaxations": (relaxation,)})

    def test_any_length_background_or_limit_may_differ(self):
        margin = Length(min=1, max=9, unit="mm", **READ)
        grey = BackgroundRule(text="Grey.", accepted=CATALOGUE.get("gb-passport-print").background.accepted[1:], **READ)
        yaw = CaptureLimit(min=-20, max=20, unit="deg", **READ)
        document = self.relaxed(margin_above=margin, background=grey, capture={"yaw": yaw}, lifts=("gaze",))
        child, adult = document.for_age(3), document.for_age(30)
        assert child.margin_above_mm == Range(1, 9)
        assert [colour.name for colour in child.background.colours] == ["light-grey"]
        assert child.capture["yaw"].range == Range(-20, 20)
        assert "gaze" not in child.capture
        assert adult.margin_above is None
        assert adult.capture["yaw"].range == Range(-5, 5)

    def test_centring_is_not_asked_of_german_children_below_six(self):
        document = CATALOGUE.get("de-passport-id")
        assert document.for_age(5).face_centre_share == Range(0, 1)
        assert document.for_age(6).face_centre_share is None


class TestPlaces:
    def test_the_middle_of_the_face_is_the_documents_own(self):
        """Quoted: the Japanese drawing, 17 mm of 35, 2 either way."""
        document = CATALOGUE.get("jp-passport-print")
        centre = next(f for f in judge(conforming(document), document).findings if f.measurement.name == "face_centre")
        assert (centre.limit.low, centre.limit.high) == pytest.approx((15 / 35, 19 / 35))
        assert centre.source == "jp-dimensions-copy"

    def test_a_face_off_the_middle_is_cut_where_the_document_wants_it(self):
        document = CATALOGUE.get("gb-passport-print")
        left = Length(min=12, max=14, unit="mm", **READ)
        plan = plan_crop(POINTS, document.model_copy(update={"face_centre": left}), 1600, 2000)
        assert plan.measurements["face_centre"].value == pytest.approx(13 / 35)
        own = plan_crop(POINTS, document, 1600, 2000)
        assert PRACTICE_FACE_CENTRE.contains(own.measurements["face_centre"].value)

    def test_eyes_from_the_top_are_an_eye_line(self):
        document = CATALOGUE.get("gb-passport-print")
        depth = Length(min=15, max=20, unit="mm", **READ)
        turned = document.model_copy(update={"eyes_from_top": depth})
        assert turned.eye_line_mm == Range(25, 30)
        assert words(turned)["eye_line"] == "pass"

    @pytest.mark.parametrize(("name", "limits"), [("chin_to_eyes", (1, 2)), ("eye_distance", (1, 2))])
    def test_other_lengths_are_judged(self, name, limits):
        document = CATALOGUE.get("gb-passport-print")
        rule = Length(min=limits[0], max=limits[1], unit="mm", **READ)
        assert words(document.model_copy(update={name: rule}))[name] == "fail"
        plan = plan_crop(POINTS, document, 1600, 2000)
        eyes = plan.measurements["eye_line"].value - plan.measurements["margin_below"].value
        assert plan.measurements["chin_to_eyes"].value == pytest.approx(eyes)
        assert plan.measurements["eye_distance"].value == pytest.approx(220 * plan.mm_per_px)


class TestPermissions:
    def test_a_smile_and_a_grey_photo_are_advised_against_where_they_are_taken(self):
        """Primary: US Embassy Berlin, "a natural smile"; Osakasayama City, colour or black and white."""
        smiling = Measurement("expression_neutrality", 0.0, "ratio", 0.01)
        grey = Measurement("in_colour", 0.0, "a*b*", 0.01)
        us, jp = CATALOGUE.get("us-passport-print"), CATALOGUE.get("jp-passport-print")
        assert words(us, expression_neutrality=smiling)["expression_neutrality"] == "advise"
        assert words(us, in_colour=grey)["in_colour"] == "fail"
        assert words(jp, expression_neutrality=smiling)["expression_neutrality"] == "fail"
        assert words(jp, in_colour=grey)["in_colour"] == "advise"

    def test_a_covering_is_laid_at_the_documents_own_rule(self):
        document = CATALOGUE.get("hk-passport")
        covered = Measurement("no_head_coverings", 0.1, "ratio", 0.1)
        found = judge(conforming(document, no_head_coverings=covered), document).findings
        (covering,) = [f for f in found if f.measurement.name == "no_head_coverings"]
        assert (covering.word, covering.source) == ("refer", "hk-immd")
        assert "Do not wear head dress. (For nobody.)" in told("hk-passport")
        assert "(For religion or custom only.)" in told("sg-passport")

    def test_what_must_be_seen_is_told_with_every_verdict(self):
        document = CATALOGUE.get("cn-visa-print")
        found = {f.measurement.name: f for f in judge(conforming(document), document).findings}
        assert (found["visibility"].word, found["visibility"].asked) == ("advise", "Ears visible.")


class TestTime:
    def test_a_superseded_source_is_shown_and_binds_no_more(self):
        document = CATALOGUE.get("kr-passport")
        old = document.head_height.contradicted_by[0]
        assert (old.range, old.superseded) == (Range(25, 35), True)
        assert document.head_height_mm == Range(32, 36)
        assert "25 to 35 mm [2] read at the authority, 2026-11-25; superseded, binds no more" in told("kr-passport")
        assert "The stricter binds" not in told("kr-passport")

    def test_from_when_a_rule_holds_is_told(self):
        assert "in force from 2016-11-01" in told("us-visa-digital")
        limits = {limit["name"]: limit for limit in as_json(CATALOGUE.get("us-visa-digital"))["limits"]}
        assert limits["spectacles"]["effective_from"] == "2016-11-01"

    def test_the_age_of_a_photo_may_be_in_days(self):
        table = CATALOGUE.get("gb-passport-print").model_dump()
        kept = type(CATALOGUE.get("gb-passport-print")).model_validate(
            {**table, "recency": Limit(max=30, unit="days", **READ).model_dump()}
        )
        assert rule_words(kept.recency) == "at most 30 days"


class TestRoutes:
    def test_variants_name_each_other(self):
        assert [one.id for one in CATALOGUE.variants(CATALOGUE.get("schengen-visa-es"))] == [
            "schengen-visa",
            "schengen-visa-ch",
            "schengen-visa-de",
            "schengen-visa-fr",
            "schengen-visa-no",
        ]
        assert CATALOGUE.variants(CATALOGUE.get("gb-passport-print")) == ()
        assert "see also: Schengen visa, printed photo, any state (schengen-visa)" in told("schengen-visa-de")

    def test_a_variant_of_nothing_is_refused(self, tmp_path):
        text = (tmp_path / "shop-visa.toml", "schengen-visa-de.toml")
        from kiosk.catalogue.documents import shipped_folder

        own = (shipped_folder() / text[1]).read_text(encoding="utf-8")
        own = own.replace('id = "schengen-visa-de"', 'id = "shop-visa"')
        text[0].write_text(own.replace('"schengen-visa"\n', '"schengen-visum"\n'), encoding="utf-8")
        with pytest.raises(RulesRefused, match="'schengen-visum' is not a document with variants"):
            Catalogue.beside(tmp_path)
        text[0].write_text(own, encoding="utf-8")
        assert len(Catalogue.beside(tmp_path).variants(CATALOGUE.get("schengen-visa"))) == 6

    @pytest.mark.parametrize(
        ("ways", "beyond"),
        [(("print",), False), (("file", "code"), False), (("code",), True), (("certified_transfer", "office"), True)],
    )
    def test_what_a_booth_cannot_deliver(self, ways, beyond):
        assert DeliveryRule(text="So.", by=ways, **READ).is_beyond_booth is beyond

    def test_delivery_is_told(self):
        assert "through a protected line. (This booth cannot deliver it that way.)" in told("de-passport-id")
        assert CATALOGUE.get("gb-passport-digital").delivery.by == ("file", "code")


class TestPrintAndFile:
    def test_one_photo_meets_the_background_of_both(self):
        """Quoted: the card's print is plain and light, the portal's file is not white."""
        document = CATALOGUE.get("in-oci")
        assert "white" in {colour.name for colour in document.background.colours}
        assert "white" not in {colour.name for colour in document.backdrop_colours}
        white = {
            f"background_{axis}": Measurement(f"background_{axis}", value, "L*")
            for axis, value in (("lightness", 97.0), ("a", 0.0), ("b", 0.0))
        }
        assert words(document, **white)["background_colour"] == "fail"

    def test_larger_prints_and_other_sizes_are_told(self):
        assert "Size of the print: 35 x 45 mm, up to 40 x 50 mm" in told("au-passport")
        size = CATALOGUE.get("au-passport").size
        other = type(size).model_validate({**size.model_dump(), "also": [{"width": 30, "height": 40}]})
        assert rule_words(other) == "35 x 45 mm, up to 40 x 50 mm; also 30 x 40 mm"

    def test_the_signature_and_the_back_are_told(self):
        assert "Picture of the signature, made elsewhere: 200 x 67 px to 900 x 300 px, 3 : 1" in told("in-oci")
        back = CATALOGUE.get("au-passport").back
        assert (back.lines, back.on_prints) == (("name", "witness"), 1)
