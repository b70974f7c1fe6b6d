"""Numbers keep their order inside Arabic: what stands where is found in the painted picture."""

import os
import subprocess
import sys
import unicodedata
from pathlib import Path
from typing import get_args

import cv2
import numpy as np
import pytest
import skia
from PIL import Image, ImageDraw, ImageFont, features

from kiosk.fonts import FontName, font_path
from kiosk.i18n import Words, available, native_name, read_catalogue
from kiosk.screens.toolkit.text import Style, fit
from kiosk.screens.toolkit.theme import TEXT

SIZE_PX = 48
ROOM_PX = 40


def painted(text: str, width_px: int = 1100, align: str = "left") -> np.ndarray:
    """Return the text as grey levels, set in one line."""
    pixels = np.zeros((110, width_px, 4), np.uint8)
    surface = skia.Surface(pixels, skia.kBGRA_8888_ColorType)
    block = fit(text, width_px, 110, (SIZE_PX,), Style(TEXT, align=align))
    assert block.fits
    block.paint(surface.getCanvas(), 0, 10)
    surface.flushAndSubmit()
    return pixels[..., 0].copy()


def lined(text: str) -> tuple[np.ndarray, float]:
    """Return a text set in one line with room above and below, and the height of its line."""
    pixels = np.zeros((2 * ROOM_PX + 100, 4000, 4), np.uint8)
    surface = skia.Surface(pixels, skia.kBGRA_8888_ColorType)
    block = fit(text, 4000, 200, (SIZE_PX,), Style(TEXT, bold=True))
    block.paint(surface.getCanvas(), 0, ROOM_PX)
    surface.flushAndSubmit()
    return pixels[..., 0], block.height


def trimmed(grey: np.ndarray) -> np.ndarray:
    rows, columns = np.flatnonzero(grey.max(axis=1) > 40), np.flatnonzero(grey.max(axis=0) > 40)
    return grey[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def place(part: str, whole: np.ndarray) -> float:
    """Return the x at which a part is painted in the whole."""
    found = cv2.matchTemplate(whole, trimmed(painted(part)), cv2.TM_CCOEFF_NORMED)
    _, score, _, (x, _) = cv2.minMaxLoc(found)
    assert score > 0.8, f"{part} is not there as such"
    return x


@pytest.mark.parametrize(("tag", "word"), [("ar", "صورة"), ("ur", "تصویر")])
def test_the_size_of_a_photo_reads_from_left_to_right_in_a_right_to_left_language(tag, word):
    whole = painted(Words.load(tag).tr("collect.size", size="35 × 45 mm"), align="right")
    assert place("35", whole) < place("45", whole) < place("mm", whole)
    assert place(word, whole) > place("mm", whole), "the sentence runs on to the left of its words"


def test_without_isolates_it_would_be_scrambled():
    raw = painted("بالمسطرة، قياس الصورة الواحدة 35 × 45 mm.", align="right")
    assert not place("35", raw) < place("45", raw) < place("mm", raw)


@pytest.mark.parametrize("tag", ["ar", "ur"])
def test_negative_limits_keep_their_sign_in_front_in_a_right_to_left_language(tag):
    whole = painted(Words.load(tag).tr("review.number", number="8.1°", limit="-5.0 … 7.0°"), align="right")
    assert place("-5.0", whole) < place("7.0°", whole) < place("8.1°", whole)


@pytest.mark.skipif(not features.check("raqm"), reason="Pillow has no Raqm here")
@pytest.mark.parametrize(
    ("tag", "font_name", "text"),
    [
        ("ar", "NotoSansArabic-Regular", "أدر رأسك قليلًا إلى يسارك"),
        ("ur", "NotoSansArabic-Regular", "ٹھوڑی تھوڑی نیچے کریں"),
        ("hi", "NotoSansDevanagari-Regular", "ठुड्डी थोड़ी ऊपर करें"),
        ("pa", "NotoSansGurmukhi-Regular", "ਠੋਡੀ ਥੋੜ੍ਹੀ ਉੱਪਰ ਚੁੱਕੋ"),
        ("bn", "NotoSansBengali-Regular", "অনুগ্রহ করে দুই চোখ খুলুন"),
    ],
)
def test_joined_scripts_are_shaped_and_ordered_as_pillow_with_raqm_does(tag, font_name, text):
    """An independent engine (HarfBuzz with FriBidi) lays the same sentence out with the same typeface."""
    words = Words.load(tag)
    font = ImageFont.truetype(font_path(font_name), SIZE_PX, layout_engine=ImageFont.Layout.RAQM)
    image = Image.new("L", (1100, 130), 0)
    direction = "rtl" if words.is_right_to_left else "ltr"
    ImageDraw.Draw(image).text((10, 20), text, fill=255, font=font, direction=direction, language=tag)
    other = trimmed(np.asarray(image))
    ours = trimmed(painted(f"\u2067{text}\u2069" if words.is_right_to_left else text))
    assert ours.shape[1] == pytest.approx(other.shape[1], rel=0.02)
    ours = cv2.resize(ours, (other.shape[1], other.shape[0])).astype(float)
    assert np.corrcoef(ours.ravel(), other.astype(float).ravel())[0, 1] > 0.8
    assert np.corrcoef(ours[:, ::-1].ravel(), other.astype(float).ravel())[0, 1] < 0.5


def test_every_letter_has_a_glyph():
    reader = skia.FontMgr.New_Custom_Empty()
    typefaces = {
        weight: [reader.makeFromFile(str(font_path(name)), 0) for name in get_args(FontName) if name.endswith(weight)]
        for weight in ("Regular", "Bold")
    }
    letters = {letter for tag in available() for letter in native_name(tag)} | set("0123456789×…°ΔELmindpx-–.,*()")
    for tag in available():
        for message in read_catalogue(tag):
            letters |= set("".join(message.string) if message.id else "")
    for letter in letters:
        if unicodedata.category(letter) not in ("Cf", "Cc"):
            for weight, of_weight in typefaces.items():
                known = any(typeface.unicharToGlyph(ord(letter)) for typeface in of_weight)
                assert known, f"{letter} U+{ord(letter):04X} {weight}"


def test_marks_and_tails_keep_to_their_line():
    """Every message lies within its line but for a fifth of an em: no box has less room round its words."""
    room_px = round(0.21 * SIZE_PX)
    for tag in available():
        words = Words.load(tag)
        for message in read_catalogue(tag):
            for text in message.string if message.id and isinstance(message.string, tuple) else (message.string,):
                if message.id:
                    grey, height_px = lined(words.own(text))
                    rows = np.flatnonzero(grey.max(axis=1) > 60)
                    assert ROOM_PX - room_px <= rows[0], (tag, text)
                    assert rows[-1] < ROOM_PX + height_px + room_px, (tag, text)


def test_no_font_folder_of_the_machine_is_searched(tmp_path):
    """Fontconfig would warn on standard error, and old versions leave a `.uuid` file in each folder they search."""
    source = (
        "from kiosk.screens.toolkit.text import Style, fit\n"
        "from kiosk.screens.toolkit.theme import TEXT\n"
        "print(fit('Zdjęcie 写真', 500, 100, (40,), Style(TEXT)).size)"
    )
    root = Path(__file__).parents[2]
    ran = subprocess.run(
        [sys.executable, "-c", source],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert (ran.stdout, ran.stderr) == ("40.0\n", "")
    assert list(tmp_path.iterdir()) == []
