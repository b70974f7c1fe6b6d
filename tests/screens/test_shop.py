"""The shop's own look: its colour stays legible in every theme, and its logo is seen and does not get in the way."""

import colorsys
import struct
import zlib

import cv2
import numpy as np
import pytest

from kiosk.booth.config import accent_of
from kiosk.core.view.intent import Ease, Intent
from kiosk.errors import SettingsRefused
from kiosk.i18n import Words
from kiosk.ready.look import look_findings
from kiosk.screens.stage import Stage
from kiosk.screens.toolkit import theme
from kiosk.screens.toolkit.shop import Logo, contrast_with_label, legible
from kiosk.screens.toolkit.theme import ThemeColour, contrast
from kiosk.settings import settings_from
from kiosk.settings.logo import MOST_BYTES, MOST_PX, read_logo
from tests.support.views import altered

SETTINGS = """
[booth]
documents = ["gb-passport-print"]
[camera]
backend = "folder"
folder = "camera"
[printer]
backend = "folder"
folder = "prints"
[screen]
"""
COLOURS = ["#000000", "#FFFFFF", "#FFE000", "#3A479F", "#00A0E0", "#808080", "#FF0000", "#123456", "#F7C6D9"]


def settings(tmp_path, screen: str):
    return settings_from(SETTINGS + screen, tmp_path / "booth.toml")


def channels(colour: str) -> ThemeColour:
    return ThemeColour(*bytes.fromhex(colour[1:]))


def png(width: int, height: int, bgra=(20, 20, 20, 255)) -> bytes:
    return cv2.imencode(".png", np.full((height, width, 4), bgra, np.uint8))[1].tobytes()


@pytest.mark.parametrize("look", ["dark", "light"])
@pytest.mark.parametrize("colour", COLOURS)
def test_every_colour_is_legible_with_its_hue_and_one_that_was_is_not_touched(colour, look):
    """WCAG 2.2, 1.4.3: 4.5:1 between a main button and its label, which is as light as the ground."""
    wanted = channels(colour)
    shown = legible(wanted, look)
    assert contrast_with_label(shown, look) >= 4.5
    if contrast_with_label(wanted, look) >= 4.5:
        assert shown == wanted
    hue, _, saturation = colorsys.rgb_to_hls(*(channel / 255 for channel in wanted))
    now, lightness, _ = colorsys.rgb_to_hls(*(channel / 255 for channel in shown))
    if saturation > 0.3 and lightness not in (0, 1):
        assert abs(now - hue) < 0.03


@pytest.mark.parametrize("is_light", [False, True])
@pytest.mark.parametrize("colour", COLOURS)
def test_the_main_button_has_the_shops_colour_and_its_label_can_be_read(views, tmp_path, colour, is_light):
    look = "light" if is_light else "dark"
    accent = accent_of(settings(tmp_path, f'theme = "{look}"\ncolour = "{colour}"'))
    stage = Stage((540, 960), Words.load("en"))
    picture = stage.draw(altered(views["welcome"], accent=accent, is_light=is_light), None)
    (start,) = [target.rect for target in stage.targets if target.act == Intent("start")]
    assert tuple(picture[round(start.y) + 12, round(start.centre.x), 2::-1]) == tuple(accent)
    ground = theme.shown(theme.INK, theme.Palette(look))
    assert contrast(ThemeColour(*accent), ground) >= 4.5


def test_strong_contrast_is_nobodys_own_colour(views):
    view = altered(views["welcome"], accent=(0, 160, 224), ease=Ease(strong_contrast=True))
    assert theme.shown(theme.ACCENT, theme.palette_of(view)) == theme.STRONG[theme.ACCENT]


@pytest.mark.parametrize(
    ("screen", "good", "said"),
    [
        ('theme = "light"\ncolour = "#FFE000"', False, "1.2:1"),
        ('theme = "light"\ncolour = "#3A479F"', True, "7.4:1"),
        ('theme = "dark"\ncolour = "#3A479F"', False, "4.5:1 is needed"),
    ],
)
def test_ready_gives_the_ratio_of_a_colour_and_what_is_shown_instead(tmp_path, screen, good, said):
    """7.4:1 is the ratio of this colour on this ground in the boards of the design."""
    (finding,) = look_findings(settings(tmp_path, screen))
    assert finding.good is good
    assert said in finding.sentence
    assert good or "#" in finding.sentence.rpartition("shown as")[2]


@pytest.mark.parametrize(
    ("inches", "seat_m", "good"), [(21.5, 1.0, True), (21.5, 1.1, False), (15, 1.0, False), (32, 1.4, True)]
)
def test_ready_says_whether_the_seat_is_near_enough(tmp_path, inches, seat_m, good):
    """A capital of 0.714 em at 72 px of 0.248 mm has 12.7 mm: 0.73 degrees at 1 m and 0.66 at 1.1 m."""
    (finding,) = look_findings(settings(tmp_path, f"inches = {inches:.1f}\nseat_m = {seat_m}"))
    assert finding.good is good, finding.sentence


@pytest.mark.parametrize("colour", ["red", "#12345", "#GGGGGG", "3A479F"])
def test_a_colour_that_is_none_is_refused(tmp_path, colour):
    with pytest.raises(SettingsRefused, match=r"screen\.colour"):
        settings(tmp_path, f'colour = "{colour}"')


def test_a_logo_is_read_from_beside_the_settings(tmp_path):
    (tmp_path / "logo.png").write_bytes(png(300, 100))
    assert Logo.decoded(read_logo(settings(tmp_path, 'logo = "logo.png"'))).image.width() == 300
    assert read_logo(settings(tmp_path, "")) is None
    assert Logo.decoded(None) is None


def header(width: int, height: int) -> bytes:
    """Return a PNG file that is nothing but a header and an end (ISO/IEC 15948, 11.2.2)."""
    chunk = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + chunk + struct.pack(">I", zlib.crc32(chunk))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "no such file"),
        (b"", "no PNG file"),
        (b"<svg/>", "no PNG file"),
        (cv2.imencode(".jpg", np.zeros((80, 80, 3), np.uint8))[1].tobytes(), "no PNG file"),
        (png(300, 100)[:-40], "damaged"),
        (header(100, 100), "damaged"),
        (header(60000, 60000), "60000 x 60000"),
        (png(100, 20), "64 to"),
        (png(MOST_PX + 1, 100), "at most"),
        (png(300, 100) + bytes(MOST_BYTES), "larger than 1000 kB"),
    ],
)
def test_a_logo_that_cannot_be_shown_is_refused_and_keeps_the_booth_closed(tmp_path, content, said):
    if content is not None:
        (tmp_path / "logo.png").write_bytes(content)
    chosen = settings(tmp_path, 'logo = "logo.png"')
    with pytest.raises(SettingsRefused, match=r"screen\.logo") as refused:
        read_logo(chosen)
    assert said.lower() in str(refused.value).lower()
    (finding,) = look_findings(chosen)
    assert finding.grade == "stop"


@pytest.mark.parametrize("is_light", [False, True])
@pytest.mark.parametrize("shade", [20, 240])
def test_a_logo_of_any_shade_stands_out(views, is_light, shade):
    """WCAG 2.2, 1.4.11: 3:1, on a plate of its own where the ground is too near."""
    logo = Logo.decoded(png(300, 100, (shade, shade, shade, 255)))
    stage = Stage((1080, 1920), Words.load("en"), logo)
    picture = stage.draw(altered(views["welcome"], simulated=False, is_light=is_light), None)[12:76, 30:240, 2::-1]
    rows, columns = np.nonzero(np.all(np.abs(picture.astype(int) - shade) < 3, axis=2))
    assert len(rows) > 2000
    beside = picture[rows[0], columns.min() - 4]
    assert contrast(ThemeColour(shade, shade, shade), ThemeColour(*map(int, beside))) >= 3.0


def test_logo_and_markers_share_the_strip_in_every_language_and_staff_see_none(draw, views):
    logo = Logo.decoded(png(900, 100, (60, 200, 90, 255)))
    for language in ("en", "ar"):
        stage = Stage((1080, 1920), Words.load(language), logo)
        picture = stage.draw(altered(views["review_called"], language=language), None)
        green = np.argwhere(np.all(picture[12:76, :, :3] == (60, 200, 90), axis=2))[:, 1]
        (marker,) = [box for box, block in stage.blocks if box.y < 80]
        assert green.max() < marker.x if language == "en" else green.min() > marker.right
