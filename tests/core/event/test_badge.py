"""A badge design is refused where it could not be printed or read; contrast against WCAG 2.2's own examples."""

import copy
import tomllib
from pathlib import Path

import pytest
from pydantic import ValidationError

from kiosk.catalogue.badge_designs import PHOTO_RULES, photo_document, read_design
from kiosk.core.base.contrast import contrast_ratio
from kiosk.core.event.badge import BadgeDesign
from kiosk.errors import RulesRefused
from tests.support.shipped import CATALOGUE

DESIGNS = Path(__file__).parents[3] / "specs" / "badges"
CARD = tomllib.loads((DESIGNS / "card-photo-left.toml").read_text())

ID1_MM = (85.60, 53.98)
"""ISO/IEC 7810:2019, 5.1: width and height of an unused ID-1 card."""
A6_MM = (105.0, 148.0)
"""ISO 216:2007, table 1."""


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_design_is_whole(path):
    assert read_design(path).columns


@pytest.mark.parametrize(("name", "size_mm"), [("card-photo-left", ID1_MM), ("lanyard-a6", A6_MM)])
def test_a_standard_size_is_exact(name, size_mm):
    design = read_design(DESIGNS / f"{name}.toml")
    assert (design.width_mm, design.height_mm) == size_mm


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ((0, 0, 0), (255, 255, 255), 21.0),  # WCAG 2.2, "contrast ratio": from 1 to 21
        ((0x76, 0x76, 0x76), (255, 255, 255), 4.54),  # the lightest grey that passes on white, W3C technique G18
        ((255, 0, 0), (255, 255, 255), 4.0),  # pure red on white, worked from the definition: luminance 0.2126
    ],
)
def test_contrast_is_wcags(one, other, ratio):
    assert contrast_ratio(one, other) == pytest.approx(ratio, abs=0.005)


def changed(**changes):
    """Return the card's table with values replaced; keys are paths with double underscores."""
    table = copy.deepcopy(CARD)
    for path, value in changes.items():
        *parents, key = path.split("__")
        place = table
        for parent in parents:
            place = place[int(parent)] if isinstance(place, list) else place[parent]
        place[key] = value
    return table


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"front__photo__x_mm": 1.0}, "nearer than 3 mm to the trim"),
        ({"front__areas__0__width_mm": 90.0}, "reaches beyond 85.6 x 53.98 mm"),
        ({"front__photo__width_mm": 30.0}, "overlaps"),
        ({"front__texts__0__colour": "#333333"}, "contrast is"),
        ({"front__texts__0__height_mm": 11.0}, "across the edge of an area"),
        ({"front__texts__0__least_pt": 40.0}, "above largest_pt"),
        ({"front__photo__head_height": [0.8, 0.5]}, "not below the most"),
        ({"front__shape": "round"}, "Extra inputs"),
    ],
)
def test_a_design_that_cannot_be_read_is_refused(changes, words):
    with pytest.raises(ValidationError, match=words):
        BadgeDesign.model_validate(changed(**changes))


def test_the_contrast_of_every_role_is_checked():
    with pytest.raises(ValidationError, match="for the role 'press'"):
        BadgeDesign.model_validate(changed(roles__press="#ffee00"))


def test_a_refusal_names_file_and_key(tmp_path):
    path = tmp_path / "card-photo-left.toml"
    path.write_text((DESIGNS / path.name).read_text().replace("x_mm = 4.0\ny_mm = 16.0", "x_mm = 1.0\ny_mm = 16.0"))
    with pytest.raises(RulesRefused, match=r"card-photo-left\.toml: front\.photo: it is nearer than 3 mm to the trim"):
        read_design(path)


def test_an_empty_column_leaves_no_gap():
    design = BadgeDesign.model_validate(changed(front__texts__1__text="{title} {name}"))
    assert design.front.texts[1].words({"name": "Ada"}) == "Ada"


def test_a_person_of_an_unlisted_role_gets_the_first_colour():
    design = BadgeDesign.model_validate(CARD)
    assert design.colour("role", "juggler") == design.colour("role", "visitor") == (0x1F, 0x4E, 0x79)


@pytest.mark.parametrize("background", PHOTO_RULES)
def test_the_window_is_a_document_that_the_booth_can_photograph(background):
    design = BadgeDesign.model_validate(changed(front__photo__background=background))
    rules = CATALOGUE.get(PHOTO_RULES[background])
    document = photo_document(design, design.photo, rules)
    assert (document.size_mm.width, document.size_mm.height) == (25.0, 32.0)
    assert (document.head_height_mm.low, document.head_height_mm.high) == (16.0, 24.0)
    assert [colour.name for colour in document.background.colours] == [c.name for c in rules.background.colours]
