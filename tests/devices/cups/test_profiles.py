"""Every profile of printers that ships is opened, and agrees with what its driver says of itself.

`tests/data/gutenprint.json` holds facts out of the descriptions that Debian 12's Gutenprint writes; how is said there.
"""

from __future__ import annotations

import json
import tempfile
from pathlib import Path

import pytest

from kiosk.core.base.geometry import Size
from kiosk.core.base.units import MM_PER_INCH, POINTS_PER_INCH
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.devices.cups.connection import Queue
from kiosk.devices.cups.media import choose_medium, read_driver
from kiosk.devices.cups.profile import (
    KEEP_OFF_MM,
    DriverPage,
    PrinterProfile,
    make_and_model_in,
    printer_profile_of,
    printers_folder,
    shipped_printers,
)
from kiosk.devices.cups.set_up import Printing, read_set_up
from kiosk.devices.profile_file import read_profile_file
from kiosk.errors import SettingsRefused
from tests.support.printer_lab import printer_lab

KNOWN = shipped_printers()
PROFILES = dict(zip(sorted(path.stem for path in printers_folder().glob("*.toml")), KNOWN, strict=True))
WITH_A_DRIVER = [stem for stem in PROFILES if stem != "driverless"]
MODELS = json.loads((Path(__file__).parents[2] / "data" / "gutenprint.json").read_text("utf-8"))["models"]
MINE = ["medium", "PageSize", "media", "print-scaling", "scaling", "print-quality", "sides", "Duplex", "Resolution"]
"""What the booth says itself, and no profile may."""


def millimetres(points):
    return points / POINTS_PER_INCH * MM_PER_INCH


def description(model):
    """Return a description as far as the booth reads one (PPD 4.3), out of the facts about a model."""
    lines = ['*PPD-Adobe: "4.3"', "*DefaultResolution: 300dpi"]
    for keyword, (size, area) in model["media"].items():
        lines.append(f'*PaperDimension {keyword}/{keyword}: "{size[0]} {size[1]}"')
        lines.append(f'*ImageableArea {keyword}/{keyword}: "{area[0]} {area[1]} {area[2]} {area[3]}"')
    return "\n".join(lines)


def models_of(profile):
    return [model for model in MODELS.values() if printer_profile_of(model["model"], KNOWN) is profile]


def test_there_are_families_of_every_kind():
    kinds = {"driverless", "dnp_ds", "canon_selphy_cp", "epson_inkjet", "hp_laser", "magicard_card"}
    assert kinds <= set(PROFILES)
    assert len(PROFILES) >= 12


@pytest.mark.parametrize("stem", PROFILES)
def test_every_profile_that_ships_is_sound(stem):
    profile = PROFILES[stem]
    assert profile.media
    assert all(fault.source for fault in profile.faults)
    assert set(profile.options) & set(MINE) == set()
    assert set(profile.proven_on) <= {"virtual printer", "driver's output"}
    assert len({page.paper for page in profile.media}) == len(profile.media)


@pytest.mark.parametrize("stem", WITH_A_DRIVER)
def test_the_driver_has_each_page_and_option_of_its_profile(stem):
    profile = PROFILES[stem]
    models = models_of(profile)
    assert models, "no facts about this family"
    for model in models:
        for page in profile.media:
            if page.keyword in model["media"]:
                size, (left, bottom, right, top) = model["media"][page.keyword]
                unprinted = (left, size[1] - top, size[0] - right, bottom)
                assert page.page_mm == pytest.approx([millimetres(side) for side in size], abs=0.3)
                assert page.unprinted_mm == pytest.approx([millimetres(side) for side in unprinted], abs=0.06)
        for name, value in profile.options.items():
            assert value in model["options"].get(name, [value])
    first = models[0]
    assert any({page.keyword for page in profile.media} <= set(model["media"]) for model in models), first["model"]
    assert any(set(profile.options) <= set(model["options"]) for model in models), first["model"]


@pytest.mark.parametrize("stem", PROFILES)
def test_each_match_stands_for_a_printer_that_is_known(stem):
    profile = PROFILES[stem]
    names = [model["model"] for model in MODELS.values()] if stem != "driverless" else ["A B - IPP Everywhere"]
    lone = {match for match in profile.matches if not any(name.startswith(match) for name in names)}
    assert lone <= {"Mitsubishi CP-D707DW "}, "the driver gives it the same pages as the CP-D70DW"


@pytest.mark.parametrize("stem", WITH_A_DRIVER)
def test_the_queue_has_the_paper_under_the_name_that_goes_into_the_settings(stem):
    """The page that setup writes is found by its size; with the name on the box it is found by the profile, below."""
    profile = PROFILES[stem]
    model = next(
        model for model in models_of(profile) if {page.keyword for page in profile.media} <= set(model["media"])
    )
    media = read_driver(description(model)).media
    for page in profile.media:
        size = medium(page.setting).size_mm
        found = choose_medium(media, size, borderless=True)
        assert found is not None, page.setting
        assert max(abs(found.size_mm.width - size.width), abs(found.size_mm.height - size.height)) <= 0.3
        if page.setting.startswith("custom_"):
            assert choose_medium(media, medium(page.paper).size_mm, borderless=True) is None
        left, top, right, bottom = page.margins_mm
        paper = medium(page.paper).size_mm
        assert size.width - left - right <= paper.width - 2 * KEEP_OFF_MM + 0.2
        assert size.height - top - bottom <= paper.height - 2 * KEEP_OFF_MM + 0.2


def set_up_of(model, paper, margins_mm):
    """Return the set-up of a queue with a driver's description, which a private print server gives out."""
    with tempfile.NamedTemporaryFile("w", suffix=".ppd") as file, printer_lab() as lab:
        name = f'*NickName: "{model["model"]}"\n*ModelName: "Dye"\n*Manufacturer: "Dye"\n'
        file.write(f"{description(model)}\n{name}")
        file.flush()
        lab.lpadmin("-p", "dye", "-E", "-v", "ipp://127.0.0.1:9/", "-P", file.name)
        how = Printing(medium(paper), Margins(*margins_mm), borderless=True)
        return read_set_up(Queue("dye", port=lab.port), how)


@pytest.mark.parametrize(("stem", "paper"), [("canon_selphy_cp", "jpn_hagaki_100x148mm"), ("dnp_ds", "4x6in")])
def test_a_dye_sublimation_queue_is_found_by_the_name_on_the_box_of_its_paper(stem, paper):
    page = PROFILES[stem].page_for(paper)
    model = next(model for model in models_of(PROFILES[stem]) if page.keyword in model["media"])
    size = medium(paper).size_mm
    off_mm = tuple(round(lost + KEEP_OFF_MM, 1) for lost in page.lost_mm)
    found = set_up_of(model, paper, off_mm)
    assert (found.medium.keyword, found.sheet_mm) == (page.keyword, size)
    assert found.medium.size_mm.width > size.width
    by_page = set_up_of(model, page.setting, page.margins_mm)
    assert (by_page.medium, by_page.digest) == (found.medium, found.digest), "one proof of scale for both names"


@pytest.mark.parametrize(("margin_mm", "edge_mm"), [(2.0, 0.2), (1.5, -0.3), (4.0, 2.2)])
def test_a_distance_counts_from_the_papers_edge_under_the_drivers_page(margin_mm, edge_mm):
    """105 x 156.1 mm lie over 101.6 x 152.4 mm: 1.7 mm across and 1.9 mm down are beside the paper."""
    profile = PROFILES["sinfonia_s2245"]
    page, paper = profile.page_for("4x6in"), medium("4x6in")
    found = set_up_of(models_of(profile)[0], page.setting, [margin_mm] * 4)
    assert found.is_borderless
    assert (found.sheet_mm.width, found.paper_mm) == (pytest.approx(105.0, abs=0.1), paper.size_mm)
    assert found.from_edge_mm(Margins(*[margin_mm] * 4)) == pytest.approx(edge_mm, abs=0.1)
    named = set_up_of(models_of(profile)[0], "4x6in", [margin_mm] * 4)
    assert named.from_edge_mm(Margins(*[margin_mm] * 4)) == margin_mm


def test_what_is_lost_is_the_worse_of_the_edge_and_the_unprinted():
    page = DriverPage("na_index-4x6_4x6in", "w288h432", (105.6, 162.4), (0.0, 3.2, 0.0, 9.0))
    assert page.lost_mm == pytest.approx((2.0, 5.0, 2.0, 9.0))
    assert page.margins_mm == (5.0, 8.0, 5.0, 12.0)
    assert page.setting == "custom_w288h432_105.6x162.4mm"
    assert medium(page.setting).size_mm == Size(105.6, 162.4)


@pytest.mark.parametrize(
    ("name", "family"),
    [
        ("Dai Nippon Printing DS620 - CUPS+Gutenprint v5.3.4", "DNP DS40, DS620 and DS-RX1, Citizen CX-02"),
        ("Citizen CX-02W - CUPS+Gutenprint v5.3.4", None),
        ("Canon SELPHY CP910 - CUPS+Gutenprint v5.3.4", "Canon SELPHY CP from the CP820 on, postcard"),
        ("Canon SELPHY CP1500 - IPP Everywhere", "Driverless, IPP over USB"),
        ("Canon SELPHY CP1300", None),
        ("Canon SELPHY CP800 - CUPS+Gutenprint v5.3.4", None),
        ("", None),
    ],
)
def test_a_queue_is_known_by_its_drivers_name(name, family):
    found = printer_profile_of(name, KNOWN)
    assert (found and found.family) == family


@pytest.mark.parametrize(
    ("listing", "name"),
    [
        (
            "copies=1 printer-make-and-model='Canon SELPHY CP1300 - CUPS+Gutenprint v5.3.4' printer-type=4",
            "Canon SELPHY",
        ),
        ("printer-make-and-model=Photo printer-state=3", "Photo"),
        (r"printer-make-and-model='The maker\'s own' x=1", "The maker's own"),
        ("printer-info='printer-make-and-model'", ""),
        ("", ""),
    ],
)
def test_the_drivers_name_is_read_from_the_print_servers_listing(listing, name):
    found = make_and_model_in(listing)
    assert found.startswith(name)
    assert bool(found) == bool(name)


WHOLE = {
    "family": '"A"',
    "driver": '"D"',
    "matches": '["A"]',
    "media": "[]",
    "sources": '{matches = "a"}',
    "proven_on": "[]",
}


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("colour = 1", "unknown key"),
        ('driver = ""', "driver"),
        ('media = [{paper = "5x9", keyword = "a", page_mm = [1, 2]}]', "5x9"),
        ('media = [{paper = "na_index-4x6_4x6in", keyword = "a", page_mm = [152.4, 101.6]}]', "upright"),
        ('media = [{paper = "na_index-4x6_4x6in", keyword = "a", page_mm = [101.6, 150.0]}]', "smaller"),
        ('media = [{paper = "a4", keyword = "a", page_mm = [210, 297], unprinted_mm = [-1, 0, 0, 0]}]', "length"),
        ('seconds = {"a4" = 8}\nsources = {matches = "a", seconds = "from memory"}', "not among the media"),
        ('options = {StpBorderless = "True"}', "options has no source"),
    ],
)
def test_a_profile_with_a_fault_is_refused_with_its_reason(tmp_path, line, said):
    table = WHOLE | dict(part.split(" = ", 1) for part in line.split("\n"))
    path = tmp_path / "a.toml"
    path.write_text("\n".join(f"{key} = {value}" for key, value in table.items()))
    with pytest.raises(SettingsRefused) as refused:
        read_profile_file(path, PrinterProfile)
    assert said in str(refused.value)


@pytest.mark.parametrize("key", WHOLE)
def test_a_profile_that_leaves_a_key_out_is_refused_with_it(tmp_path, key):
    path = tmp_path / "a.toml"
    path.write_text("\n".join(f"{name} = {value}" for name, value in WHOLE.items() if name != key))
    with pytest.raises(SettingsRefused) as refused:
        read_profile_file(path, PrinterProfile)
    assert refused.value.params["where"] == key
