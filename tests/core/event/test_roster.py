"""A list of attendees: what its headings stand for, and what is wrong in it. All names are invented."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kiosk.core.event.roster import ListRow, Problem, guess_columns, namesakes, read_rows, search_key


def people_of(*rows, columns=("id", "name")):
    table = [ListRow(number, dict(zip(columns, cells, strict=True))) for number, cells in enumerate(rows, start=2)]
    return read_rows(table, {column: (column,) for column in columns}, lambda _: ())


@pytest.mark.parametrize(
    ("headings", "mapped"),
    [
        (("Ticket", "Full name"), {"id": ("Ticket",), "name": ("Full name",)}),
        (("ID", "First_Name", "Last-Name"), {"id": ("ID",), "name": ("First_Name", "Last-Name")}),
        (("id", "name", "Given name"), {"id": ("id",), "name": ("name",), "given_name": ("Given name",)}),
        (("Code", "Name", "Company", "T-shirt 2XL?"), {"organisation": ("Company",), "t_shirt_2xl": ("T-shirt 2XL?",)}),
        (("Name", "Badge name"), {"name": ("Name",), "badge_name": ("Badge name",)}),
    ],
)
def test_headings_are_guessed(headings, mapped):
    assert mapped.items() <= guess_columns(headings).items()


@given(st.lists(st.text(min_size=1, max_size=12), unique=True, max_size=8))
def test_no_heading_is_taken_twice(headings):
    taken = [heading for headings_of in guess_columns(headings).values() for heading in headings_of]
    assert len(taken) == len(set(taken))
    assert set(taken) <= set(headings)


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        (("", "Ada"), Problem(2, "id", "it is empty")),
        (("1", " \t"), Problem(2, "name", "it is empty")),
        (("1", "A" * 121), Problem(2, "name", "it has 121 characters; 120 are the most")),
        (("1" * 65, "Ada"), Problem(2, "id", "it has 65 characters; 64 are the most")),
        (("1", "A\x07da"), Problem(2, "name", "it holds a character that cannot be printed (U+0007)")),
    ],
)
def test_a_bad_row_is_named_with_its_line_and_reason(row, problem):
    assert people_of(row, ("7", "Grace")) == (people_of(("7", "Grace"))[0], (problem,))


@given(st.characters(categories=["Cc", "Cn", "Co", "Cs"]).filter(lambda letter: not letter.isspace()))
def test_every_character_that_no_typeface_can_have_is_refused(letter):
    (problem,) = people_of(("1", f"A{letter}da"))[1]
    assert problem.reason == f"it holds a character that cannot be printed (U+{ord(letter):04X})"


@given(st.characters(exclude_categories=["Cc", "Cn", "Co", "Cs"]))
def test_every_other_character_is_taken(letter):
    assert people_of(("1", f"A{letter}da"))[1] == ()


def test_an_id_that_is_there_twice_names_the_first_line():
    people, problems = people_of(("1", "Ada"), ("2", "Grace"), ("1", "Edith"))
    assert [person.name for person in people] == ["Ada", "Grace"]
    assert problems == (Problem(4, "id", "'1' is already on line 2"),)


def test_an_empty_row_is_left_out():
    assert people_of(("", " "), ("1", "Ada"))[1] == ()


def test_what_cannot_be_printed_is_a_problem_of_its_line():
    rows = [ListRow(2, {"id": "1", "name": "Ada"})]
    _, problems = read_rows(rows, {"id": ("id",), "name": ("name",)}, lambda values: [f"{values['name']} is too long"])
    assert problems == (Problem(2, "badge", "Ada is too long"),)


def test_names_are_composed():
    """Unicode Standard Annex 15: NFC of e and a combining acute accent is one letter."""
    (person,), _ = people_of(("1", "Rene\u0301e"))
    assert person.name == "Ren\u00e9e"
    assert unicodedata.is_normalized("NFC", person.name)


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("Zoë AĞÇA-Müller", "zoe agca muller"),
        ("Straße", "strasse"),  # Unicode case folding: ß is ss
        ("Οδυσσεύς", "οδυσσευσ"),  # the final sigma folds to the plain one
        ("مُحَمَّد", "محمد"),  # vowel marks are combining
        ("নূবা", "নূবা"),  # vowel signs stand in a word as letters do
        ("  ", ""),
    ],
)
def test_search_ignores_case_accents_and_marks(written, key):
    assert search_key(written) == key


def test_namesakes_are_told_of():
    people, _ = people_of(("1", "Ada Lind"), ("2", "ADA  LIND"), ("3", "Grace"))
    assert namesakes(people) == ("ADA LIND",)
