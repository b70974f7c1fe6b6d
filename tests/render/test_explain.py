"""The documents in words and as JSON: nothing is left out, and every limit says where it was read."""

import json

import pytest

from kiosk.catalogue.documents import Catalogue
from kiosk.core.base.geometry import Range
from kiosk.core.document.limits import range_words
from kiosk.render.report.explain import WIDTH, as_json, explain, table
from kiosk.render.report.rule_words import label, rule_words

CATALOGUE = Catalogue.load()
ALL = CATALOGUE.all()


def contradicted(document_id, low_mm, high_mm):
    """Return a document whose head height another source gives otherwise."""
    document = CATALOGUE.get(document_id)
    other = document.head_height.model_copy(update={"min": low_mm, "max": high_mm})
    head = document.head_height.model_copy(update={"contradicted_by": (other,)})
    return document.model_copy(update={"head_height": head})


each_document = pytest.mark.parametrize("document", ALL, ids=lambda document: document.id)


class TestTable:
    def test_a_line_a_document_in_columns(self):
        lines = table(ALL).splitlines()
        assert len(lines) == len(ALL) + 1
        column = lines[0].index("HEAD")
        assert all(line[column - 2 : column] == "  " for line in lines)
        assert max(map(len, lines)) <= 120

    def test_what_it_says(self):
        rows = {line.split()[0]: line for line in table(ALL).splitlines()}
        assert "2 x 2 in" in rows["us-passport-print"]
        assert "25.4–34.925 mm" in rows["us-passport-print"]
        assert "600 x 600 px" in rows["us-visa-digital"]
        assert "50–69 %" in rows["us-visa-digital"]
        assert "not accepted" in rows["de-passport-id"]
        assert "with conditions" in rows["ca-passport"]
        assert rows["my-passport"].endswith("hidden until confirmed")
        assert rows["gb-passport-print"].endswith("2026-11-25")


class TestExplain:
    @each_document
    def test_every_rule_is_told_with_its_words_source_and_day(self, document):
        text = explain(document, CATALOGUE)
        flat = " ".join(text.split())
        for key, rule in document.rules():
            assert f"{label(key)}: {' '.join(rule_words(rule).split())}" in flat, key
            for name in rule.source:
                assert CATALOGUE.sources[name].title in flat, name
        days = [rule.read_on.isoformat() for _, rule in document.rules()]
        assert all(flat.count(day) >= days.count(day) for day in days)
        assert all(len(line) <= WIDTH for line in text.splitlines() if "http" not in line)
        assert text.endswith("The issuing authority decides; its rules change.")

    def test_sources_are_numbered_as_cited(self):
        text = explain(CATALOGUE.get("cn-visa-print"), CATALOGUE)
        head = text.index("Head height: 28 to 33 mm")
        number = text[text.index("[", head) : text.index("]", head) + 1]
        assert f"\n{number} Nanjing municipal government" in text

    def test_contradicting_sources_are_both_told_with_what_binds(self):
        text = explain(contradicted("kr-passport", 25, 35), CATALOGUE)
        assert (
            "Head height: 32 to 36 mm\n    The stricter binds until a person confirms the document: 32 to 35 mm."
            in text
        )
        assert "Another source: 25 to 35 mm" in text

    def test_a_hidden_document_says_why(self):
        text = explain(CATALOGUE.get("my-passport"), CATALOGUE)
        assert "known from memory only: size of the print." in text
        assert "Hidden" not in explain(CATALOGUE.get("gb-passport-print"), CATALOGUE)

    def test_inches_are_told_in_both_units(self):
        text = explain(CATALOGUE.get("us-passport-print"), CATALOGUE)
        assert "Size of the print: 2 x 2 in (50.8 x 50.8 mm)" in text
        assert "Eye line above the lower edge: 1.125 to 1.375 in (28.575 to 34.925 mm)" in text

    def test_shares_are_told_in_per_cent_of_what(self):
        assert "Head height: 70 to 80 % of the photo's height" in explain(CATALOGUE.get("icao-generic"), CATALOGUE)
        assert "Head width: 50 to 70 % of the photo's width" in explain(CATALOGUE.get("us-le-mugshot"), CATALOGUE)


class TestJson:
    @each_document
    def test_the_contract(self, document):
        found = json.loads(json.dumps(as_json(document)))
        assert {"id", "title", "authority", "channel", "limits"} <= set(found)
        assert found["channel"] == document.channel.value
        assert [limit["name"] for limit in found["limits"]] == [key for key, _ in document.rules()]
        for limit, (_, rule) in zip(found["limits"], document.rules(), strict=True):
            assert {"text", "source", "evidence", "read_on"} <= set(limit)
            assert limit["read_on"] == rule.read_on.isoformat()
            assert limit["source"]

    def test_numbers_keep_their_published_unit(self):
        limits = {limit["name"]: limit for limit in as_json(CATALOGUE.get("us-passport-print"))["limits"]}
        assert (limits["size"]["value"], limits["size"]["unit"]) == ([2, 2], "in")
        assert (limits["head_height"]["min"], limits["head_height"]["max"]) == (1, 1.375)
        assert limits["background"]["value"] == ["white", "off-white"]
        assert limits["spectacles"]["value"] is False

    def test_the_rule_of_decision_is_told(self):
        document = CATALOGUE.get("icao-generic")
        limits = {limit["name"]: limit for limit in as_json(document)["limits"]}
        assert limits["capture.pitch"]["decision"] == "benefit_of_doubt"
        assert limits["capture.natural_colour"]["consequence"] == "refer"
        told = " ".join(explain(document, CATALOGUE).split())
        assert "-5 to 5 °; fails only when surely outside" in told
        assert "at most 7 ΔE; passes inside, fails outside; instead of failing, left to a person" in told

    def test_what_nothing_measures_is_told(self):
        told = " ".join(explain(CATALOGUE.get("it-cie"), CATALOGUE).split())
        assert "Both ear lobes visible. (Not measured: reported as advice.)" in told

    def test_the_file_of_an_upload(self):
        limits = {limit["name"]: limit for limit in as_json(CATALOGUE.get("us-visa-digital"))["limits"]}
        assert limits["upload.pixels"]["max"] == [1200, 1200]
        assert limits["upload.file"]["max"] == 240_000
        assert limits["upload.formats"]["value"] == ["jpeg"]


@pytest.mark.parametrize(
    ("limit", "words"),
    [
        (Range(1, 2), "1 to 2 mm"),
        (Range(None, 2.5), "at most 2.5 mm"),
        (Range(34.925, None), "at least 34.925 mm"),
        (Range(3, 3), "exactly 3 mm"),
        (Range(0, 3), "0 to 3 mm"),
    ],
)
def test_ranges_in_words(limit, words):
    assert range_words(limit, "mm") == words
