"""A document is found as a clerk asks for it: by id, country or word, in any letter case and language of the booth."""

import pytest

from kiosk.catalogue.search import find
from kiosk.errors import UnknownDocument
from tests.support.shipped import CATALOGUE


def found(*asked):
    return [document.id for document in find(CATALOGUE, asked)]


@pytest.mark.parametrize(
    ("asked", "documents"),
    [
        (["GB-Passport-PRINT"], ["gb-passport-print"]),
        (["us-passport-print", "gb-passport-print"], ["us-passport-print", "gb-passport-print"]),
        (["uk"], ["gb-driving-licence", "gb-passport-digital", "gb-passport-print"]),
        (["UNITED KINGDOM", "Digital"], ["gb-passport-digital"]),
        (["Türkei"], ["tr-driving-licence", "tr-passport"]),
        (["turkey"], ["tr-driving-licence", "tr-passport"]),
        (["british", "driving"], ["gb-driving-licence"]),
        (["America", "dv"], ["us-dv-lottery"]),
        (["turkiye"], ["tr-driving-licence", "tr-passport"]),
        (["uk-passport-print"], ["gb-passport-print"]),
        (["法国"], ["fr-passport-id", "schengen-visa-fr"]),
        (["driving licence", "German"], ["de-driving-licence"]),
    ],
)
def test_found(asked, documents):
    assert found(*asked) == documents


def test_a_country_code_is_no_part_of_a_word():
    """`in` is India, and a word of many titles; `de` is Germany, and a word of Spanish names."""
    assert all(CATALOGUE.get(name).country == "IN" for name in found("in"))
    assert found("DE") == ["de-driving-licence", "de-passport-id", "de-residence-permit", "schengen-visa-de"]


def test_nothing_found_names_the_closest():
    with pytest.raises(UnknownDocument) as refusal:
        found("us-pasport-print")
    assert "us-passport-print" in str(refusal.value.params["nearest"])
    for nonsense in ("%%%", ""):
        with pytest.raises(UnknownDocument):
            found(nonsense)
