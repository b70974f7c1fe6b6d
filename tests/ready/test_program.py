"""Typefaces, languages and versions."""

import pytest

from kiosk.fonts import font_path
from kiosk.ready import program
from kiosk.ready.program import KnownFault, installed_versions, program_findings


def named(findings, name):
    return [finding for finding in findings if finding.name == name]


def test_this_installation_has_all_and_no_known_fault():
    findings = program_findings(["en", "ar"])
    assert [finding.grade for finding in findings] == ["ok"] * 3
    assert "mediapipe 0.10.21" in named(findings, "versions")[0].sentence


@pytest.mark.parametrize(
    ("number", "fault"),
    [("0.10.21", False), ("0.10.21.1", False), ("0.10.22", True), ("0.10.20", True), ("0.11", True), ("1", True)],
)
def test_a_version_that_was_not_tried_is_told(number, fault):
    findings = program_findings(["en"], {**installed_versions(), "mediapipe": number})
    assert [finding.value for finding in named(findings, "known_fault")] == [f"mediapipe {number}"] * fault


def test_a_fault_without_an_end_goes_on():
    fault = KnownFault("part", (2,), None, "fails")
    assert [fault.has(number) for number in ((1, 9), (2,), (2, 0, 1), (3,))] == [False, True, True, True]


def test_a_language_without_words_keeps_the_booth_shut():
    (finding,) = named(program_findings(["en", "eo"]), "language")
    assert (finding.value, finding.grade) == ("eo", "stop")


def test_it_is_said_which_words_no_native_speaker_has_read():
    (finding,) = named(program_findings(["en", "cy"]), "languages")
    assert "Cymraeg" in finding.sentence
    assert "English" not in finding.sentence


def test_a_damaged_typeface_keeps_the_booth_shut(monkeypatch, tmp_path):
    damaged = tmp_path / "font.ttf"
    damaged.write_bytes(font_path("NotoSans-Bold").read_bytes()[:100])
    monkeypatch.setattr(program, "font_path", lambda name: damaged if name == "NotoSans-Bold" else font_path(name))
    finding = program_findings(["en"])[0]
    assert finding.grade == "stop"
    assert finding.sentence == "11 of 12 typefaces can be opened; not NotoSans-Bold."
