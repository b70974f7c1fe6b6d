"""Whose photo it is is asked first, and the rules are those for that age."""

import pytest

from kiosk.core.session.booth_config import BoothConfig
from kiosk.core.session.facts import DocumentChosen
from kiosk.core.session.offers import offer
from kiosk.core.session.state import Session
from kiosk.core.session.step import step
from kiosk.core.session.step_facts import facts_of
from kiosk.core.view.intent import Intent
from tests.support.shipped import CATALOGUE

DOCUMENTS = CATALOGUE.all()
FOR_ALL = next(document for document in DOCUMENTS if not document.ages)
BY_AGE = CATALOGUE.get("gb-passport-print")
HOUSE = BoothConfig((FOR_ALL, BY_AGE))


def after(*intents: Intent) -> Session:
    session = Session()
    for intent in intents:
        session, _ = step(session, intent, 1.0, HOUSE)
    return session


def test_four_taps_lead_from_welcome_to_the_camera_and_three_where_the_rules_are_the_same_for_all():
    taps = Intent("start"), Intent("choose", BY_AGE.id), Intent("ready", "6"), Intent("agree")
    assert [after(*taps[:count]).state for count in range(1, 5)] == ["choose", "prepare", "privacy", "align"]
    assert after(Intent("start"), Intent("choose", FOR_ALL.id), Intent("agree")).state == "align"


def test_back_leads_to_the_question_that_was_asked_last():
    asked = after(Intent("start"), Intent("choose", BY_AGE.id), Intent("ready", "1"), Intent("back"))
    assert asked.state == "prepare"
    assert after(Intent("start"), Intent("choose", FOR_ALL.id), Intent("back")).state == "choose"


def test_a_document_is_counted_once_whether_or_not_an_age_is_asked():
    for document in (FOR_ALL, BY_AGE):
        before = after(Intent("start"))
        chosen, commands = step(before, Intent("choose", document.id), 1.0, HOUSE)
        assert list(facts_of(before, Intent("choose", document.id), chosen, commands)) == [DocumentChosen(document.id)]


@pytest.mark.parametrize(("age", "asked"), [(6, "all"), (1, "eyes"), (0, "nothing")])
def test_the_sentence_on_the_face_asks_what_is_judged_at_that_age(age, asked):
    """GOV.UK as quoted in the document's file: under 6 no plain expression, under 1 the eyes may be closed."""
    assert offer(BY_AGE.for_age(age)).asks_of_face == asked
