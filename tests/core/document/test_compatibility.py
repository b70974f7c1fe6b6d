"""Which documents can come from one shot or one print."""

import pytest

from kiosk.core.base.geometry import Range
from kiosk.core.document.compatibility import share
from kiosk.core.document.limits import Limit
from tests.support.shipped import CATALOGUE


def documents(*ids: str):
    return [CATALOGUE.get(document_id) for document_id in ids]


@pytest.mark.parametrize(
    ("ids", "answer", "obstacles"),
    [
        (("gb-passport-print", "fr-passport-id"), "one_print", ()),
        (("us-passport-print", "in-oci"), "several_shots", ("background",)),
        (("nl-passport-id", "fr-passport-id"), "one_shot", ("head_height",)),
        (("us-passport-print", "cn-visa-print"), "one_shot", ("size",)),
        (("us-passport-print", "us-visa-digital"), "one_shot", ("not_a_print",)),
        (("kr-passport", "jp-passport-print"), "one_shot", ("head_top",)),
        (("sg-passport", "au-passport"), "one_shot", ("paper",)),
        (("gb-passport-print", "us-passport-print"), "several_shots", ("background", "size")),
        (("fr-passport-id", "cn-visa-print"), "several_shots", ("background", "size")),
        (("fr-passport-id", "schengen-visa"), "several_shots", ("background",)),
    ],
)
def test_pairs(ids, answer, obstacles):
    sharing = share(documents(*ids))
    assert sharing.answer == answer
    assert sharing.against_one_print == obstacles
    assert share(documents(*reversed(ids))).answer == answer


def test_heads_are_compared_only_on_equal_prints():
    assert share(documents("gb-passport-print", "fr-passport-id")).head_mm == Range(32, 34)
    assert share(documents("gb-passport-print", "cn-visa-print")).head_mm is None
    assert share(documents("kr-passport", "jp-passport-print")).head_mm is None


def test_one_document_shares_with_itself():
    for document in CATALOGUE.all():
        expected = "one_shot" if document.size is None else "one_print"
        assert share([document, document]).answer == expected, document.id


def test_spectacles_come_off_for_all_when_one_forbids_them():
    assert not share(documents("us-passport-print", "cn-visa-print")).spectacles
    assert share(documents("gb-passport-print", "za-passport-id")).spectacles


def test_capture_limits_that_exclude_each_other_need_two_shots():
    first = CATALOGUE.get("fr-passport-id")
    roll = Limit(min=10, max=20, unit="deg", source=("practice",), evidence="practice", read_on=first.read_on)
    second = first.model_copy(update={"capture": {**first.capture, "roll": roll}})
    assert share([first, second]).against_one_shot == ("capture",)


def test_limits_that_leave_no_common_place_need_two_prints():
    """One wants the crown at the upper edge of 45 mm, the other the eyes at most 20 mm up: no head reaches."""
    italian = CATALOGUE.get("it-cie")
    margin = italian.eye_line.model_copy(update={"min": 0.0, "max": 0.5})
    high = italian.model_copy(update={"eye_line": None, "margin_above": margin})
    low = italian.model_copy(update={"eye_line": italian.eye_line.model_copy(update={"min": 18.0, "max": 20.0})})
    assert share([high, low]).against_one_print == ("place",)


@pytest.mark.parametrize(
    ("ids", "words"),
    [
        (
            ("gb-passport-print", "fr-passport-id"),
            "One shot and one print serve all of them, with a head of 32 to 34 mm.",
        ),
        (("us-passport-print", "cn-visa-print"), "without spectacles, cropped for each: the prints differ in size."),
        (("fr-passport-id", "cn-visa-print"), "They need a shot each: no background suits all of them."),
    ],
)
def test_the_answer_in_words(ids, words):
    assert words in share(documents(*ids)).sentence
