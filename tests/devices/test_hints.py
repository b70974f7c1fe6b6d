"""A vendor's text becomes words for a person, and no picture data reaches a message."""

from __future__ import annotations

import pytest

from kiosk.devices.camera.fault_hints import HINTS, camera_fault, meaning_of


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[-1] Unspecified error: Out of Focus", "focus"),
        ("[-53] Could not claim the USB device", "another program"),
        ("[-105] Unknown model", "switched off"),
        ("[-7] I/O problem", "connection broke"),
        ("[-10] Timeout reading from or writing to the port", "stopped answering"),
        ("[-1] PTP Store Full", "card is full"),
        ("[-1] Unspecified error", "refused without a reason"),
        ("[-1] Unspecified error: battery low", "battery is low"),
        ("something quite new.", "something quite new"),
    ],
)
def test_a_vendors_text_becomes_words_for_a_person(text, words):
    assert words in str(camera_fault(RuntimeError(text)))


def test_every_hint_is_reached():
    samples = {hint.pattern: hint.pattern.split("|")[0].replace("\\", "") for hint in HINTS}
    assert {meaning_of(sample) for sample in samples.values()} == {hint.meaning for hint in HINTS}


@pytest.mark.parametrize(
    "error",
    [
        ValueError(b"\xff\xd8\xff\xe0\x00\x10JFIF"),
        ValueError("\xff\xd8\xff\xe0\x00\x10JFIF"),
        ValueError("a" * 5000),
        ValueError(),
    ],
)
def test_no_picture_data_reaches_a_message(error):
    assert str(camera_fault(error)) == "The camera has a fault: it gave no reason that can be shown."
