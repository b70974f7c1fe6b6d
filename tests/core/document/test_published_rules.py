"""The files against the numbers as published, collected apart from them (tests/data/published.json), unit by unit."""

import json
from pathlib import Path

import pytest

from kiosk.core.base.geometry import Range
from tests.support.shipped import CATALOGUE

PUBLISHED = json.loads((Path(__file__).parents[2] / "data" / "published.json").read_text(encoding="utf-8"))
CONVERTED = {"ca-visa-pr-digital": "the head's 31 to 36 mm of 45 mm are kept as shares"}
LENGTHS = ("head_height", "eye_line", "margin_above", "margin_below", "head_width")

each_document = pytest.mark.parametrize("published", PUBLISHED, ids=lambda published: published["id"])


def test_all_are_here():
    assert len(PUBLISHED) == 39
    assert {published["id"] for published in PUBLISHED} <= CATALOGUE.documents.keys()


@each_document
def test_the_print(published):
    document = CATALOGUE.get(published["id"])
    if "size_mm" in published:
        assert (document.size_mm.width, document.size_mm.height) == pytest.approx(published["size_mm"])
    if "prints" in published and document.prints is not None:
        assert document.prints.count == published["prints"]


@each_document
@pytest.mark.parametrize("name", LENGTHS)
def test_lengths_as_each_source_gives_them(published, name):
    document = CATALOGUE.get(published["id"])
    asked_mm, asked_share = published.get(f"{name}_mm"), published.get(f"{name}_fraction")
    rule = getattr(document, name)
    if asked_mm is not None and document.id not in CONVERTED:
        factor = 25.4 if rule.unit == "in" else 1.0
        own = rule.published.scaled(factor)
        assert [own.low, own.high] == pytest.approx(asked_mm)
    elif asked_share is not None:
        assert rule.unit == "fraction"
        assert [rule.min, rule.max] == asked_share


def test_a_head_in_millimetres_of_a_file_is_kept_as_a_share():
    assert CATALOGUE.get("ca-visa-pr-digital").head_height.range.scaled(45).low == pytest.approx(31, abs=0.01)
    assert CATALOGUE.get("ca-visa-pr-digital").head_height.range.high == 36 / 45


@each_document
def test_the_file(published):
    upload = CATALOGUE.get(published["id"]).upload
    if "pixels" in published:
        rule = upload.pixels
        assert [rule.min_width, rule.min_height, rule.max_width, rule.max_height] == published["pixels"]
    if "bytes" in published:
        assert [upload.file.min_bytes, upload.file.max_bytes] == published["bytes"]
    if "compression" in published:
        assert upload.compression.range == Range(None, published["compression"])


@each_document
def test_how_surely_it_is_known(published):
    """Nothing is told more surely than it was read."""
    order = ("memory", "practice", "computed", "quoted", "primary")
    document = CATALOGUE.get(published["id"])
    for name, evidence in published["evidence"].items():
        rule = getattr(document, name)
        if rule is not None:
            assert order.index(rule.evidence) <= order.index(evidence), name
