"""What can leave a booth: every kind of fact, column by column, against a list that is closed."""

from contextlib import closing
from datetime import date, datetime
from typing import get_args
from uuid import UUID

from kiosk.core.base.decision import Word
from kiosk.core.session.facts import Attended, Fact, FaultBegan, FaultsMended, FileHanded
from kiosk.core.session.payment_facts import BillSettled, PaymentAsked, PaymentEnded, PaymentRefunded, PaymentTaken
from kiosk.store.fleet.office import COLUMNS
from kiosk.store.ledger import Bookkeeper
from tests.store.test_ledger import SESSION
from tests.support.manual_clock import ManualClock

MONEY = (
    PaymentAsked("p1", "p1", 1100, "EUR"),
    PaymentTaken("p1", 500),
    PaymentTaken("p1", 1500),
    PaymentEnded("p1", "approved"),
    PaymentRefunded("p1", 300),
    BillSettled("p1", 100),
)
DESK = (Attended("paper_changed"), FaultBegan("camera_fault"), FaultsMended())
EVERY_FACT = (*SESSION[:-1], *MONEY, FileHanded("us-visa", "phone"), *DESK, SESSION[-1])
KINDS = {
    "session_began": {"session", "language"},
    "language_chosen": {"session", "language"},
    "document_chosen": {"session", "document"},
    "consent_given": {"session"},
    "shot_judged": {"session", "shot", "verdict", "words"},
    "shot_lost": {"session", "shot", "verdict"},
    "verdict_overridden": {"session", "reason"},
    "attended": {"session", "act"},
    "sheet_begun": {"session", "sheet", "document", "medium", "photos", "sheets"},
    "sheet_ended": {"session", "sheet", "document", "medium", "photos", "sheets", "ended"},
    "payment_asked": {"session", "amount", "currency"},
    "payment_taken": {"session", "amount", "currency"},
    "payment_ended": {"session", "ended"},
    "payment_refunded": {"session", "amount", "currency"},
    "bill_settled": {"session", "amount", "currency"},
    "file_handed": {"session", "document"},
    "fault_began": {"fault"},
    "fault_mended": {"fault", "duration_s"},
    "session_ended": {"session", "ending", "duration_s", "language", "document"},
}
"""What each kind says of itself; `reprint_of`, `not_certain`, `price` and `currency` are of sheets that have them.
"""
ALWAYS = {"generation", "number", "at", "day", "kind"}


def sent(path, facts):
    """Return what a booth would send of facts."""
    with closing(Bookkeeper(path, ManualClock(60.0, date(2026, 3, 1)), lambda key: "unknown", is_sent=True)) as ledger:
        for fact in facts:
            ledger.put(fact)
        assert ledger.flush(limit_s=60.0)
        return ledger.oldest_unsent(100)


def test_every_kind_of_fact_says_what_is_on_the_list_and_no_more(tmp_path):
    assert {type(fact) for fact in EVERY_FACT} == set(get_args(Fact)), "a new kind needs its line in KINDS"
    facts = sent(tmp_path / "ledger.sqlite3", EVERY_FACT)
    assert {fact["kind"] for fact in facts} == set(KINDS)
    for fact in facts:
        assert set(fact) == KINDS[fact["kind"]] | ALWAYS, fact["kind"]
        assert set(fact) < set(COLUMNS)


def test_a_value_is_a_number_a_key_or_a_moment_and_never_longer_than_a_key(tmp_path):
    """A JPEG, a name of a person or a list of points has no column that would hold it."""
    for fact in sent(tmp_path / "ledger.sqlite3", EVERY_FACT):
        UUID(fact.pop("generation"))
        datetime.fromisoformat(fact.pop("at"))
        words = fact.pop("words", {})
        assert set(words.values()) <= set(get_args(Word))
        for value in (*fact.values(), *words):
            assert type(value) in (int, str) or (type(value) is float and "duration_s" in fact)
            assert len(str(value)) <= 40


def test_the_office_has_these_columns_and_no_other(office):
    columns = "SELECT column_name FROM information_schema.columns WHERE table_name = 'fact' ORDER BY ordinal_position"
    assert [name for (name,) in office.rows(columns)] == list(COLUMNS)


def test_without_an_office_nothing_is_kept_for_it(tmp_path):
    path = tmp_path / "ledger.sqlite3"
    with closing(Bookkeeper(path, ManualClock(), lambda key: "unknown")) as ledger:
        for fact in EVERY_FACT:
            ledger.put(fact)
        assert ledger.flush(limit_s=60.0)
        assert ledger.oldest_unsent(100) == []


def test_a_payment_says_what_is_new_of_each_sum_and_nothing_of_who_paid(tmp_path):
    facts = sent(tmp_path / "ledger.sqlite3", [SESSION[0], *MONEY])
    assert [(fact["kind"], fact.get("amount")) for fact in facts[1:]] == [
        ("payment_asked", 1100),
        ("payment_taken", 500),
        ("payment_taken", 1000),
        ("payment_ended", None),
        ("payment_refunded", 300),
        ("bill_settled", 100),
    ]
    assert not any("p1" in fact.values() for fact in facts), "no key of a payment leaves the booth"
