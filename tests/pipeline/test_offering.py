"""What the settings offer a sitter: papers, sheets, bursts; and what is refused."""

from datetime import date
from decimal import Decimal

import pytest

from kiosk.booth.config import booth_config
from kiosk.core.view.choice import Price
from kiosk.errors import SettingsRefused
from kiosk.pipeline.offering import layouts_of
from kiosk.settings import settings_from

BOOTH = """
[booth]
documents = ["gb-passport-print", "us-passport-print"]
{booth}
[camera]
{camera}
[printer]
{printer}
[paper]
{paper}
[prices]
currency = "GBP"
sheet = 9.50
"""
SIM, FOLDER_CAMERA = 'backend = "sim"\npictures = "x"', 'backend = "folder"\nfolder = "in"'
FOLDER, CUPS = 'backend = "folder"\nfolder = "out"', 'backend = "cups"\nqueue = "photo"'
TODAY = date(2026, 11, 25)


def settings(tmp_path, booth="", camera=SIM, printer=FOLDER, paper=""):
    text = BOOTH.format(booth=booth, camera=camera, printer=printer, paper=paper)
    return settings_from(text, tmp_path / "booth.toml")


def test_old_settings_ask_nothing_and_take_three_stills(tmp_path):
    config = booth_config(settings(tmp_path), TODAY)
    assert (config.sheets, config.papers, config.burst, config.lying_deg) == ((1,), {}, 3, None)


@pytest.mark.parametrize(
    ("booth", "camera", "stills"),
    [("", FOLDER_CAMERA, 1), ("burst = 2", FOLDER_CAMERA, 2), ("burst = 1", SIM, 1), ("burst = 5", SIM, 5)],
)
def test_how_many_stills_a_shot_has(tmp_path, booth, camera, stills):
    assert booth_config(settings(tmp_path, booth, camera), TODAY).burst == stills


def test_papers_are_offered_for_the_documents_that_fit_them(tmp_path):
    """A card of 85.6 x 54 mm with 3 mm margins holds 35 x 45 mm, and not 2 x 2 in."""
    more = '[{ medium = "5x7in", extra = 2.25 }, { medium = "card" }]'
    config = booth_config(settings(tmp_path, paper=f"sheets = [2, 1]\nmore = {more}"), TODAY)
    assert config.sheets == (2, 1)
    assert config.papers["gb-passport-print"] == ("4x6in", "5x7in", "card")
    assert config.papers["us-passport-print"] == ("4x6in", "5x7in")
    assert config.extras == {"5x7in": Decimal("2.25"), "card": Decimal(0)}
    assert config.prices["gb-passport-print"] == Price(Decimal("9.5"), "GBP")


@pytest.mark.parametrize(
    ("printer", "more", "why"),
    [
        (FOLDER, '[{ medium = "na_index-4x6_4x6in" }]', "4x6in is named twice"),
        (FOLDER, '[{ medium = "5x7in" }, { medium = "5x7in" }]', "5x7in is named twice"),
        (CUPS, '[{ medium = "5x7in" }]', "a queue of its own"),
        (CUPS, '[{ medium = "5x7in", queue = "photo" }]', "a queue of its own"),
    ],
)
def test_papers_that_cannot_be_told_apart_are_refused(tmp_path, printer, more, why):
    with pytest.raises(SettingsRefused, match=why):
        layouts_of(settings(tmp_path, printer=printer, paper=f"more = {more}"))


@pytest.mark.parametrize(
    ("booth", "paper"),
    [("lying_deg = 45", ""), ("burst = 0", ""), ("", "sheets = []"), ("", "sheets = [0]"), ("", "sheets = [99]")],
)
def test_what_makes_no_sense_is_refused(tmp_path, booth, paper):
    with pytest.raises(SettingsRefused):
        settings(tmp_path, booth, paper=paper)
