"""Backdrop and light before opening: the empty seat against the reference, on the demo's backdrop made here."""

from datetime import date

import cv2
import numpy as np
import pytest

from kiosk.commands import ready
from kiosk.core.view.finding import Finding
from kiosk.ready.light import opening_findings, reference_of
from kiosk.settings import read_settings
from kiosk.store.reference import NAME, read_reference, write_reference
from tests.ptpip.rig import ROOT

DAY, LATER = date(2026, 11, 25), date(2026, 12, 1)
SETTINGS = """
[booth]
documents = ["gb-passport-print"]
session_folder = "session"
state_folder = "state"
[camera]
backend = "sim"
pictures = "sitter"
[printer]
backend = "folder"
folder = "prints"
"""


def backdrop(level=200, dark_corner=1.0):
    """Return an evenly lit light grey wall, its upper left darker by a factor where asked for."""
    picture = np.full((600, 480, 3), float(level))
    slope = np.ones((600, 480, 1))
    slope[:150, :120] = dark_corner
    picture = cv2.GaussianBlur((picture * slope).astype(np.float32), (0, 0), 40)
    return np.clip(picture, 0, 255).astype(np.uint8)


def seated():
    picture = cv2.imread(str(ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg"))
    return cv2.cvtColor(picture, cv2.COLOR_BGR2RGB)


def by_name(findings):
    return {finding.name: finding for finding in findings}


def test_without_a_reference_one_is_asked_for():
    (finding,) = opening_findings(backdrop(), None, DAY)
    assert (finding.subject, finding.grade) == ("light", "warn")
    assert "holdstill ready reference" in finding.next_step


@pytest.mark.parametrize(
    ("now", "bad"),
    [
        (backdrop(), set()),
        (backdrop(level=150), {"backdrop_level"}),
        (backdrop(dark_corner=0.85), {"backdrop_pattern"}),
    ],
)
def test_a_change_of_light_since_the_reference_is_told(tmp_path, now, bad):
    reference, suitable = reference_of(backdrop(), DAY)
    assert all(finding.good for finding in suitable)
    write_reference(tmp_path / "state", reference)
    found = by_name(opening_findings(now, read_reference(tmp_path / "state"), LATER))
    assert {name for name, finding in found.items() if not finding.good} == bad
    assert {finding.subject for finding in found.values()} == {"light"}


def test_with_somebody_at_the_seat_exposure_and_sharpness_are_told_instead(tmp_path):
    reference, _ = reference_of(backdrop(), DAY)
    found = by_name(opening_findings(seated(), reference, LATER))
    assert set(found) == {"mean_luma", "burnt_out", "sharpness", "backdrop"}
    assert found["backdrop"].next_step == "Empty the seat and try again."


@pytest.mark.parametrize(("taken", "kept"), [(backdrop(), True), (seated(), False), (backdrop(dark_corner=0.5), False)])
def test_only_an_even_empty_backdrop_becomes_the_reference(tmp_path, monkeypatch, taken, kept):
    (tmp_path / "booth.toml").write_text(SETTINGS)
    settings = read_settings(tmp_path / "booth.toml")
    answered = Finding("camera", "", "", True, "It answers.")
    monkeypatch.setattr(ready, "_camera", lambda _, judge: [answered, *judge(taken)])
    findings = ready.take_reference(settings)
    assert all(finding.good for finding in findings) == kept
    assert (read_reference(tmp_path / "state") is not None) == kept


def test_a_damaged_reference_counts_as_none_and_no_picture_is_kept(tmp_path):
    reference, _ = reference_of(backdrop(), DAY)
    write_reference(tmp_path, reference)
    assert read_reference(tmp_path) == reference
    text = (tmp_path / NAME).read_text()
    assert len(text) < 10_000
    (tmp_path / NAME).write_text(text[:-20])
    assert read_reference(tmp_path) is None
