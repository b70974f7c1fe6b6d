"""The guard band, the words, and the whole judgement."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kiosk.core.base.geometry import Range
from kiosk.core.base.measurement import Measurement, Observation
from kiosk.core.judging.conformance import background_colour, judge, word_for
from tests.support.shipped import CATALOGUE
from tests.support.sights import DOCUMENT as GB
from tests.support.sights import POINTS, conforming


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (0.0, "pass"),
        (4.0, "pass"),
        (4.01, "refer"),
        (5.99, "refer"),
        (6.01, "fail"),
        (-6.01, "fail"),
        (None, "unmeasured"),
    ],
)
def test_a_number_within_its_uncertainty_of_the_limit_is_referred(value, word):
    # Guard band w = u about a limit of 5: acceptance inside 4, rejection outside 6 (JCGM 106:2012, 8.3, from memory).
    assert word_for(Measurement("yaw", value, "deg", 1.0), Range(-5.0, 5.0)) == word


@given(value=st.floats(-50, 50), low=st.floats(-20, 0), width=st.floats(0, 40), u=st.floats(0, 10))
def test_more_certainty_never_turns_a_pass_into_a_fail(value, low, width, u):
    limit = Range(low, low + width)
    certain = word_for(Measurement("yaw", value, "deg", 0.0), limit)
    assert certain == ("pass" if limit.contains(value) else "fail")
    assert word_for(Measurement("yaw", value, "deg", u), limit) in (certain, "refer")


def test_a_picture_in_the_middle_of_all_limits_passes_every_printed_document():
    for document in CATALOGUE.all():
        judgement = judge(conforming(document), document)
        words = {finding.measurement.name: finding.word for finding in judgement.findings if finding.word == "fail"}
        assert not set(words) - {"resolution", "frame_room", "head_size", "eye_line", "margin_above", "margin_below"}
    assert judge(conforming(GB), GB).verdict == "pass"


@pytest.mark.parametrize("name", sorted(GB.capture))
def test_each_requirement_can_fail_the_picture_alone(name):
    limit = GB.capture[name]
    beyond = (limit.max + 1 + abs(limit.max)) if limit.max is not None else (limit.min - 1 - abs(limit.min))
    judgement = judge(conforming(GB, **{name: Measurement(name, beyond, limit.unit)}), GB)
    assert judgement.verdict == {"refuse": "fail", "refer": "refer"}[limit.consequence]
    assert judgement.reasons == (name,)


def test_advice_counts_for_nothing_but_is_told():
    limit = GB.capture["sharpness"].model_copy(update={"consequence": "advise"})
    document = GB.model_copy(update={"capture": {**GB.capture, "sharpness": limit}})
    for value in (0.0, None):
        judgement = judge(conforming(GB, sharpness=Measurement("sharpness", value, limit.unit)), document)
        assert (judgement.verdict, judgement.reasons) == ("pass", ())
        assert {f.measurement.name: f.word for f in judgement.findings}["sharpness"] == "advise"


@pytest.mark.parametrize(("worn", "word"), [(0.02, "pass"), (0.4, "refer"), (0.9, "fail"), (None, "unmeasured")])
def test_spectacles_are_judged_where_they_are_banned(worn, word):
    seen = Measurement("spectacles", worn, "ratio", 0.2)
    banned, allowed = CATALOGUE.get("us-passport-print"), CATALOGUE.get("icao-generic")
    found = {f.measurement.name: f for f in judge(conforming(banned, spectacles=seen), banned).findings}
    assert found["spectacles"].word == word
    assert found["spectacles"].source == "us-embassy-berlin"
    judged = judge(conforming(allowed, spectacles=seen), allowed)
    assert "spectacles" not in {finding.measurement.name for finding in judged.findings}


def test_spectacles_that_nobody_looked_for_do_not_pass_where_they_are_banned():
    document = CATALOGUE.get("us-passport-print")
    seen = conforming(document)
    unseen = {name: one for name, one in seen.measurements.items() if name != "spectacles"}
    judgement = judge(replace(seen, measurements=unseen), document)
    assert (judgement.verdict, judgement.reasons) == ("refer", ("spectacles",))


def test_what_a_document_asks_and_nothing_measures_is_a_row_of_advice():
    for name, asked in (
        ("nl-passport-id", {"head_width"}),
        ("it-cie", {"visibility"}),
        ("gb-passport-print", {"framing", "geometry"}),
    ):
        document = CATALOGUE.get(name)
        judgement = judge(conforming(document), document)
        rows = {f.measurement.name: f for f in judgement.findings if f.word == "advise"}
        assert set(rows) == asked
        assert all(row.measurement.value is None and row.source for row in rows.values())
        assert not asked & set(judgement.reasons)
    lobes = judge(conforming(CATALOGUE.get("it-cie")), CATALOGUE.get("it-cie")).findings[-1]
    assert lobes.asked == "Both ear lobes visible."


def test_every_limit_that_comes_with_the_booth_names_its_rule():
    for document in CATALOGUE.all():
        for name, limit in document.capture.items():
            assert "decision" in limit.model_fields_set, (document.id, name)


def test_what_the_picture_does_not_tell_is_not_judged():
    limit = GB.capture["sharpness"].model_copy(update={"if_known": True})
    document = GB.model_copy(update={"capture": {**GB.capture, "sharpness": limit}})
    judgement = judge(conforming(GB, sharpness=Measurement("sharpness", None, limit.unit)), document)
    assert judgement.verdict == "pass"
    assert "sharpness" not in {finding.measurement.name for finding in judgement.findings}


def test_a_requirement_that_was_not_measured_is_referred():
    judgement = judge(conforming(GB, sharpness=Measurement("sharpness", None, GB.capture["sharpness"].unit)), GB)
    assert judgement.verdict == "refer"
    assert judgement.reasons == ("sharpness",)


def test_without_one_face_there_is_nothing_to_judge():
    assert judge(Observation(1600, 2000, 0), GB).verdict == "unmeasurable"


def test_an_uncertain_crown_refers_a_head_that_has_no_room():
    vague = replace(POINTS, crown_sd_px=200.0)
    judgement = judge(replace(conforming(GB), points=vague), GB)
    assert judgement.verdict == "refer"
    assert judgement.reasons == ("head_size",)


def test_a_picture_measured_in_another_unit_is_a_mistake_of_the_program():
    with pytest.raises(ValueError, match="yaw is measured in px but limited in deg"):
        judge(conforming(GB, yaw=Measurement("yaw", 0.0, "px")), GB)


def test_france_forbids_white_and_china_asks_for_it():
    # ANTS (France): white forbidden; MFA PRC: white or close to white. White is L* 100, a* 0, b* 0 (CIE 15).
    white = {
        f"background_{axis}": Measurement(f"background_{axis}", value, "dE")
        for axis, value in (("lightness", 97.0), ("a", 0.0), ("b", 0.5))
    }
    france, china = CATALOGUE.get("fr-passport-id"), CATALOGUE.get("cn-visa-print")
    assert background_colour(white, france.background.colours).value > 0
    assert background_colour(white, china.background.colours).value <= 0
