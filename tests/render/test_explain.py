"""The documents in words and as JSON: nothing is left out, and every limit says where it was read."""

import json
from datetime import date

import pytest

from kiosk.catalogue.documents import Catalogue
from kiosk.core.base.geometry import Range
from kiosk.core.document.confirmation import Confirmation
from kiosk.core.document.limits import range_words
from kiosk.render.report.explain import WIDTH, explain
from kiosk.render.report.rule_json import as_json
from kiosk.render.report.rule_table import table
from kiosk.render.report.rule_words import label, rule_words

CATALOGUE = Catalogue.load()
ALL = CATALOGUE.all()


def contradicted(document_id, low_mm, high_mm):
    """Return a document whose head height another source gives otherwise."""
    document = CATALOGUE.get(document_id)
    other = document.head_height.model_copy(update={"min": low_mm, "max": high_mm})
    head = document.head_height.model_copy(update={"contradicted_by": (other,)})
    return document.model_copy(update={"head_height": head})


def confirmation(document_id, channel=None):
    return Confirmation(
        document=document_id, by="A. Sample", on=date(2026, 12, 1), source="the law of the day", channel=channel
    )


each_document = pytest.mark.parametrize("document", ALL, ids=lambda document: document.id)


class TestTable:
    def test_two_lines_a_document_in_columns(self):
        lines = table(ALL).splitlines()
        assert len(lines) == 2 * len(ALL) + 2 + 2
        column = lines[1].index("HEAD")
        assert all(line[column - 2 : column] == "  " for line in lines[1:-2:2])
        assert max(map(len, lines[1::2])) <= 120

    def test_what_it_says(self):
        lines = table(ALL).splitlines()
        rows = {title.split(":")[0]: row for title, row in zip(lines[::2], lines[1::2], strict=True)}
        assert "us-passport-print: US passport" in "\n".join(lines)
        for words in ("2 x 2 in", "25.4–34.925 mm", "hair", "white, off-white", " no "):
            assert words in rows["us-passport-print"]
        assert "600 x 600 px" in rows["us-visa-digital"]
        assert "50–69 %" in rows["us-visa-digital"]
        assert "not accepted" in rows["de-passport-id"]
        assert "with conditions" in rows["ca-passport"]
        assert rows["my-passport"].endswith("memory, hidden")
        assert rows["gb-passport-print"].endswith("quoted")
        assert "better off" in rows["jp-passport-print"]

    def test_silence_is_never_leave(self):
        assert CATALOGUE.get("de-residence-permit").spectacles is None
        assert table([CATALOGUE.get("de-residence-permit")]).splitlines()[-1].count("not read") == 2

    def test_a_narrowed_range_is_marked(self):
        lines = table([contradicted("kr-passport", 25, 35)]).splitlines()
        assert "32–35 mm*" in lines[3]
        assert lines[-1].startswith("* narrowed")
        assert "*" not in table([contradicted("kr-passport", 30, 40)])

    def test_a_confirmed_document_shows_its_own_range_and_the_day(self):
        text = table([contradicted("kr-passport", 25, 35)], [confirmation("kr-passport")])
        assert "32–36 mm " in text
        assert text.endswith("confirmed 2026-12-01")


class TestExplain:
    @each_document
    def test_every_rule_is_told_with_its_words_source_and_day(self, document):
        text = explain(document, CATALOGUE, everything=True)
        flat = " ".join(text.split())
        for key, rule in document.rules():
            assert f"{label(key)}: {' '.join(rule_words(rule).split())}" in flat, key
            for name in rule.source:
                assert CATALOGUE.sources[name].title in flat, name
        days = [rule.read_on.isoformat() for _, rule in document.rules()]
        assert all(flat.count(day) >= days.count(day) for day in days)
        assert all(len(line) <= WIDTH for line in text.splitlines() if "http" not in line)
        assert text.endswith("The issuing authority decides; its rules change.")

    @each_document
    def test_what_all_share_is_named_only(self, document):
        text = explain(document, CATALOGUE)
        for name, limit in document.capture.items():
            words = f"{label(f'capture.{name}')}: {rule_words(limit)}"
            assert (words in " ".join(text.split())) == (CATALOGUE.common[name] != limit), name
        assert "Size of the print" in text or "Picture to upload" in text

    def test_a_limit_of_its_own_comes_before_the_shared_ones(self):
        text = explain(CATALOGUE.get("cn-visa-print"), CATALOGUE, everything=True)
        assert text.index("Pitch: -25 to 25") < text.index("limits that all documents share") < text.index("Yaw:")

    def test_sources_are_numbered_as_cited(self):
        text = explain(CATALOGUE.get("cn-visa-print"), CATALOGUE)
        head = text.index("Head height: 28 to 33 mm")
        number = text[text.index("[", head) : text.index("]", head) + 1]
        assert f"\n{number} Nanjing municipal government" in text

    def test_contradicting_sources_are_both_told_with_what_binds(self):
        text = " ".join(explain(contradicted("kr-passport", 25, 35), CATALOGUE).split())
        assert "Head height: 32 to 36 mm Narrowed to 32 to 35 mm until a person confirms the document" in text
        assert "Another source: 25 to 35 mm" in text
        assert "Narrowed" not in explain(contradicted("kr-passport", 30, 40), CATALOGUE)
        assert "Narrowed" not in explain(contradicted("kr-passport", 25, 35), CATALOGUE, [confirmation("kr-passport")])

    def test_what_was_not_read_is_a_line(self):
        text = explain(CATALOGUE.get("de-residence-permit"), CATALOGUE)
        assert any(line.startswith("Not read: spectacles, head covering") for line in text.splitlines())

    def test_a_hidden_document_says_why(self):
        text = explain(CATALOGUE.get("my-passport"), CATALOGUE)
        assert "known from memory only: size of the print." in text
        assert "Hidden" not in explain(CATALOGUE.get("gb-passport-print"), CATALOGUE)

    def test_a_confirmation_is_shown_with_what_the_office_said(self):
        found = explain(CATALOGUE.get("my-passport"), CATALOGUE, [confirmation("my-passport", "with_conditions")])
        assert "Confirmed by A. Sample on 2026-12-01: the law of the day. From a booth: with conditions." in found
        assert "Hidden" not in found

    def test_inches_are_told_in_both_units(self):
        text = explain(CATALOGUE.get("us-passport-print"), CATALOGUE)
        assert "Size of the print: 2 x 2 in (50.8 x 50.8 mm)" in text
        assert "Eye line above the lower edge: 1.125 to 1.375 in (28.575 to 34.925 mm)" in text

    def test_shares_are_told_in_per_cent_of_what(self):
        assert "Head height: 70 to 80 % of the photo's height" in explain(CATALOGUE.get("icao-generic"), CATALOGUE)
        assert "Head width: 50 to 70 % of the photo's width" in explain(CATALOGUE.get("us-le-mugshot"), CATALOGUE)

    def test_a_single_month_is_one(self):
        assert "(From 0 to below 1 year.)" in " ".join(explain(CATALOGUE.get("kr-passport"), CATALOGUE).split())
        assert "Age of the photo: at most 1 month\n" in explain(CATALOGUE.get("gb-passport-digital"), CATALOGUE)


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
        told = " ".join(explain(document, CATALOGUE, everything=True).split())
        assert "-5 to 5 °; fails only when surely outside" in told
        assert "at most 7 ΔE; passes inside, fails outside; instead of failing, left to a person" in told

    def test_what_nothing_measures_is_told(self):
        told = " ".join(explain(CATALOGUE.get("it-cie"), CATALOGUE).split())
        assert "Both ear lobes visible. (Not measured: reported as advice.)" in told

    def test_what_a_program_needs_to_cut_a_photo(self):
        found = as_json(CATALOGUE.get("de-passport-id"))
        assert found["kinds"] == ["passport", "identity_card"]
        assert found["aspect"] == pytest.approx(35 / 45)
        assert found["binding"]["head_height"] == {"min": 32, "max": 36, "unit": "mm"}
        baby, child, grown = found["ages"]
        assert [(age["from_years"], age["below_years"]) for age in (baby, child, grown)] == [
            (0, 6),
            (6, 10),
            (10, None),
        ]
        assert baby["binding"]["head_height"]["min"] == child["binding"]["head_height"]["min"] == 22
        assert "gaze" in baby["lifted"]
        assert child["lifted"] == grown["lifted"] == []
        assert as_json(CATALOGUE.get("us-passport-print"))["binding"]["head_height"]["max"] == pytest.approx(34.925)
        eyes = as_json(CATALOGUE.get("cn-visa-digital"))["binding"]["eye_line"]["min"]
        assert eyes == pytest.approx(256 / 300 * 25.4, abs=0.01)

    def test_a_contradiction_binds_until_somebody_confirms(self):
        found = as_json(contradicted("kr-passport", 25, 35))
        head = next(limit for limit in found["limits"] if limit["name"] == "head_height")
        assert (head["narrowed"], head["max"], found["binding"]["head_height"]["max"]) == (True, 36, 35)
        found = as_json(contradicted("kr-passport", 25, 35), [confirmation("kr-passport", "self_service")])
        head = next(limit for limit in found["limits"] if limit["name"] == "head_height")
        assert (head["narrowed"], found["binding"]["head_height"]["max"]) == (False, 36)
        assert (found["channel"], found["confirmed"]["by"], found["hidden"]) == ("self_service", "A. Sample", False)

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


@pytest.mark.parametrize(
    ("limit", "unit", "words"),
    [
        (Range(None, 1), "months", "at most 1 month"),
        (Range(1, None), "days", "at least 1 day"),
        (Range(1, 1), "months", "exactly 1 month"),
        (Range(0, 1), "days", "0 to 1 day"),
        (Range(1, 2), "months", "1 to 2 months"),
        (Range(None, 1), "dpi", "at most 1 dpi"),
    ],
)
def test_one_of_a_kind(limit, unit, words):
    assert range_words(limit, unit) == words
