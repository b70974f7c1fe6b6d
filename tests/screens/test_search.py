"""A document is found by the letters of its country or kind in the sitter's script, with or without its accents."""

import unicodedata

import pytest
from babel import Locale

from kiosk.core.view.choice import DocumentOffer
from kiosk.core.view.intent import Intent
from kiosk.i18n import Words, available
from kiosk.screens.sitter.search import found, terms
from kiosk.screens.toolkit.letter_keys import folded, leading_on
from kiosk.screens.toolkit.scene import PanelPlace

OFFERS = tuple(
    DocumentOffer(f"{country}-{kind}", "A title", country, "35 × 45 mm", "self_service", (kind,))
    for country, kind in [
        ("GB", "passport"),
        ("DE", "identity_card"),
        ("CI", "passport"),
        ("TR", "visa"),
        ("PL", "driving_licence"),
        ("VN", "residence_permit"),
    ]
)


def countries(tag, query):
    return [offer.country for offer in found(Words.load(tag), OFFERS, query)]


@pytest.mark.parametrize(
    ("tag", "query", "expected"),
    [
        ("en", "g", ["DE"]),
        ("en", "kin", ["GB"]),
        ("en", "cote", ["CI"]),
        ("de", "turk", ["TR"]),
        ("de", "o", []),
        ("es", "per", ["VN"]),
        ("pl", "nie", ["DE"]),
        ("vi", "đ".translate({0x111: "d"}), ["DE"]),
        ("tr", "birlesik", ["GB"]),
        ("uk", folded("нім"), ["DE"]),
        ("ar", "ا", ["DE", "GB"]),
        ("zh-Hans", "德", ["DE"]),
        ("hi", folded("ज"), ["DE"]),
    ],
)
def test_by_country_and_kind_without_accents(tag, query, expected):
    """Names of countries are those of Unicode CLDR: Côte d’Ivoire, Türkei, Đức, Birleşik Krallık, as shown there."""
    assert set(expected) <= set(countries(tag, query)) if expected else countries(tag, query) == []


def test_the_shops_own_order_is_kept():
    assert [offer.id for offer in found(Words.load("en"), OFFERS, "pas")] == ["GB-passport", "CI-passport"]
    assert found(Words.load("en"), OFFERS, "") == OFFERS


@pytest.mark.parametrize("tag", available())
def test_every_document_is_reached_by_letters_that_are_offered(tag):
    words = Words.load(tag)
    known = sorted({word for offer in OFFERS for word in terms(words, offer)})
    for offer in OFFERS:
        query = ""
        for letter in terms(words, offer)[0]:
            assert letter in leading_on(query, known), (offer, query)
            query += letter
        assert offer in found(words, OFFERS, query)


@pytest.mark.parametrize("tag", available())
def test_letters_are_of_the_languages_script(tag):
    """Every letter offered first stands in a name that CLDR (Babel's copy) has, but for its marks."""
    words = Words.load(tag)
    names = " ".join(Locale.parse(tag, sep="-").territories.values())
    kinds = " ".join(words.bare(f"document.{offer.kinds[0]}") for offer in OFFERS)
    known = {word for offer in OFFERS for word in terms(words, offer)}
    for letter in leading_on("", sorted(known)):
        assert letter in folded(f"{names} {kinds}")
        assert unicodedata.category(letter) in ("Ll", "Lo")


def test_the_screen_offers_letters_then_documents_then_all_of_them(draw, views):
    view = views["choose"]
    stage, _ = draw(view, (1080, 1920), "en", PanelPlace("search"))
    acts = {target.act for target in stage.targets}
    assert {PanelPlace("countries"), PanelPlace("kinds"), PanelPlace("search", query="p"), PanelPlace()} <= acts
    stage, _ = draw(view, (1080, 1920), "en", PanelPlace("search", query="p"))
    acts = {target.act for target in stage.targets}
    chosen = [act.argument for act in acts if isinstance(act, Intent) and act.name == "choose"]
    assert len(chosen) == 2
    assert {PanelPlace(query="p"), PanelPlace("search"), PanelPlace("search", query="pa")} <= acts
    stage, _ = draw(view, (1080, 1920), "en", PanelPlace(query="p"))
    listed = [target.act.argument for target in stage.targets if getattr(target.act, "name", "") == "choose"]
    assert listed[:2] == sorted(chosen)
    assert PanelPlace("search", query="p") in {target.act for target in stage.targets}


def test_a_kind_narrows_the_list(draw, views):
    stage, _ = draw(views["choose"], (1080, 1920), "en", PanelPlace(kind="staff_badge"))
    chosen = [target.act.argument for target in stage.targets if getattr(target.act, "name", "") == "choose"]
    assert chosen == ["document-5"]
