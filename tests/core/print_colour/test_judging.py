"""What typed readings say of a page, against closed forms; and the proof that comes of it."""

import math
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest

from kiosk.core.base.geometry import Size
from kiosk.core.print_colour.chart import SAMPLES, WEDGE_L, chart_for
from kiosk.core.print_colour.colours import difference, lab_of_xyz, xyz_of_lab
from kiosk.core.print_colour.judging import Deviation, PageErrors, aim, judged
from kiosk.core.print_colour.proof import (
    DUE_DAYS,
    LARGEST_CAST,
    LIGHTEST_BLACK,
    STALE_DAYS,
    ColourPage,
    ColourProof,
    is_due,
    prove,
    refusal,
)
from kiosk.core.print_colour.reading import typed_readings
from kiosk.core.sheet.imposition import Margins
from kiosk.errors import UnreadableColours

CHART = chart_for(Size(101.6, 152.4), Margins(), 3)
PAPER = (94.0, 0.5, -4.0)
BLACK_Y = 0.01
TODAY = date(2026, 11, 29)


def lab_table(patches, seen=lambda lab: lab, black=BLACK_Y):
    """Return what an instrument reads, paper and all, where the page is as it should be but for `seen`."""
    paper = xyz_of_lab(PAPER)
    lines = ["patch,L,a,b", "paper,{},{},{}".format(*PAPER)]
    for patch in patches:
        relative = xyz_of_lab(seen(aim(patch, black)))
        lab = lab_of_xyz(tuple(one * white for one, white in zip(relative, paper, strict=True)))
        lines.append("{},{:.6f},{:.6f},{:.6f}".format(patch.name, *lab))
    return "\n".join(lines)


def density_table(density_of, row="D", paper=(0.07, 0.06, 0.09)):
    lines = ["patch,R,G,B", "paper,{},{},{}".format(*paper)]
    for patch in CHART.patches:
        if patch.row == row:
            over = density_of(CHART.step_of(patch))
            lines.append(",".join([patch.name, *(f"{a + b:.9f}" for a, b in zip(over, paper, strict=True))]))
    return "\n".join(lines)


def aim_density(step):
    """Return the density of a step's aim over the paper."""
    wedge = [patch for patch in CHART.patches if patch.row == "A"]
    return -math.log10(xyz_of_lab(aim(wedge[step], BLACK_Y))[1])


def test_a_page_as_it_should_be_is_found_so_though_its_paper_is_blue():
    found = judged(CHART, typed_readings(lab_table(CHART.patches)))
    assert found.cast.value == pytest.approx(0, abs=1e-4)
    assert found.tone.value == pytest.approx(0, abs=1e-4)
    assert found.colours == pytest.approx(0, abs=1e-4)
    assert found.skins == pytest.approx(0, abs=1e-4)
    assert found.cast.uncertainty == pytest.approx(0.5)
    assert found.steps[0][0] == pytest.approx(90.0, abs=0.5)
    assert found.black_l == pytest.approx(116 * math.cbrt(BLACK_Y) - 16)


def test_a_cast_and_a_tone_are_found_as_large_as_they_are():
    moved = judged(CHART, typed_readings(lab_table(CHART.patches, lambda lab: (lab[0], lab[1] + 3.0, lab[2] - 4.0))))
    assert moved.cast.value == pytest.approx(5.0, abs=1e-4)
    assert moved.tone.value == pytest.approx(0, abs=1e-4)
    middle = judged(
        CHART, typed_readings(lab_table(CHART.patches, lambda lab: (lab[0] - 4 * (45 < lab[0] < 55), lab[1], lab[2])))
    )
    assert middle.tone.value == pytest.approx(4.0, abs=1e-3)


def test_colours_and_skins_are_told_by_their_mean_difference_where_all_of_them_were_read():
    def redder(lab):
        return lab[0], lab[1] + 2.0, lab[2]

    found = judged(CHART, typed_readings(lab_table(CHART.patches, redder)))
    row = [patch for patch in CHART.patches if patch.row == "B"]
    wanted = [difference(redder(aim(patch, BLACK_Y)), aim(patch, BLACK_Y)) for patch in row]
    assert found.colours == pytest.approx(sum(wanted) / len(SAMPLES), abs=1e-3)
    some = judged(CHART, typed_readings(lab_table([patch for patch in CHART.patches if patch.name != "C4"])))
    assert (some.colours is None, some.skins) == (False, None)


def test_densities_of_a_neutral_wedge_are_neutral_and_their_doubt_is_propagated():
    found = judged(CHART, typed_readings(density_table(lambda step: (aim_density(step),) * 3)))
    assert found.cast.value == pytest.approx(0, abs=1e-4)
    assert found.tone.value == pytest.approx(0, abs=1e-4)
    # 0.01 in each density of the lightest step, as a closed form: dL* = 116/3 Y^(1/3) ln 10 * 0.01 * |weights|.
    y = xyz_of_lab(found.steps[0])[1]
    weights = math.hypot(0.2225045, 0.7168786, 0.0606169)
    assert found.tone.uncertainty == pytest.approx(116 / 3 * y ** (1 / 3) * math.log(10) * 0.01 * weights, rel=0.02)


def test_a_red_density_too_low_is_a_red_cast():
    found = judged(
        CHART, typed_readings(density_table(lambda step: (0.95 * aim_density(step), *[aim_density(step)] * 2)))
    )
    assert found.cast.value > 2
    assert all(a > 0 for _, a, _ in found.steps)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "the first line"),
        ("patch,x,y,z\npaper,1,2,3", "the first line"),
        ("patch,L,a,b\nD1,50,0,0", "no line 'paper'"),
        ("patch,L,a,b\npaper,94,0,0\nD11,50,0,0", "no new patch"),
        ("patch,L,a,b\npaper,94,0,0\nE1,50,0,0", "no new patch"),
        ("patch,L,a,b\npaper,94,0,0\nD1,50,0", "no new patch"),
        ("patch,L,a,b\npaper,94,0,0\nD1,50,0,0\nD1,50,0,0", "no new patch"),
        ("patch,L,a,b\npaper,94,0,0\nD1,fifty,0,0", "no number"),
        ("patch,L,a,b\npaper,94,0,0\nD1,nan,0,0", "no number"),
        ("patch,L,a,b\npaper,94,0,0\nD1,101,0,0", "not between 0 and 100"),
        ("patch,L,a,b\npaper,30,0,0\nD1,10,0,0", "no paper"),
        ("patch,R,G,B\npaper,0.1,0.1,0.1\nD1,-0.2,0,0", "not between 0 and 4"),
        ("patch,R,G,B\npaper,0.1,0.1,0.1\nD1,12,0,0", "not between 0 and 4"),
    ],
)
def test_a_table_that_is_none_is_refused_with_its_fault(text, words):
    with pytest.raises(UnreadableColours, match=words):
        judged(CHART, typed_readings(text))


def test_a_grey_that_is_missing_and_the_readings_of_another_page_are_refused():
    with pytest.raises(UnreadableColours, match="the grey D4 was not read"):
        judged(CHART, typed_readings(lab_table([patch for patch in CHART.patches if patch.name != "D4"])))
    text = lab_table(CHART.patches)
    for number in range(4, 60):
        with pytest.raises(UnreadableColours, match="not in the order of page"):
            judged(chart_for(CHART.page_mm, Margins(), number), typed_readings(text))


def test_the_same_page_of_another_printer_is_refused():
    orders = {chart_for(CHART.page_mm, Margins(), 3, name).order for name in ("", "photo", "spare", "photo2", "wide")}
    assert len(orders) == 5
    with pytest.raises(UnreadableColours, match="of this printer"):
        judged(chart_for(CHART.page_mm, Margins(), CHART.number, "spare"), typed_readings(lab_table(CHART.patches)))


def test_pages_in_a_row_have_other_orders_and_none_comes_twice():
    orders = [chart_for(CHART.page_mm, Margins(), number).order for number in range(1, 2000)]
    assert len(set(orders)) == len(orders)
    for first in range(200):
        for later in orders[first + 1 : first + 20]:
            assert sum(abs(a - b) for a, b in zip(orders[first], later, strict=True)) >= 1.7 * len(WEDGE_L)


def test_a_small_paper_has_no_page_and_patches_stay_apart_and_clear_of_the_marks():
    assert chart_for(Size(40.0, 152.0), Margins(), 1) is None
    assert chart_for(Size(152.0, 40.0), Margins(), 1) is None
    for size in (Size(54.0, 86.0), Size(101.6, 152.4), Size(210.0, 297.0)):
        chart = chart_for(size, Margins(3.0, 3.0, 3.0, 3.0), 1)
        places = [patch.place_mm for patch in chart.patches]
        for place in places:
            assert chart.ruler.frame_mm.contains(place)
            assert all(
                math.hypot(max(place.x - m.x, m.x - place.right, 0), max(place.y - m.y, m.y - place.bottom, 0)) > 2.5
                for m in chart.ruler.marks
            )
        assert all(a.right < b.x or a.bottom < b.y for a, b in pairwise(places))


FOUND = PageErrors(
    Deviation(1.0, 1.5), Deviation(2.0, 1.6), tuple((float(lightness), 0.0, 0.0) for lightness in WEDGE_L)
)
PAGE = ColourPage(CHART, "c0ffee", TODAY)


def proof(found=FOUND, **changes):
    return replace(prove(PAGE, found, None), **changes)


@pytest.mark.parametrize(
    ("proof", "words"),
    [
        (None, "never measured"),
        (proof(set_up="tea"), "profile have changed since"),
        (proof(replace(FOUND, cast=Deviation(LARGEST_CAST - 1.4, 1.5))), "3.6 (± 1.5) off neutral"),
        (proof(replace(FOUND, tone=Deviation(4.0, 1.1))), "L* was 4.0 (± 1.1) off"),
        (proof(replace(FOUND, tone=Deviation(math.nan, 1.1))), "L* was nan"),
        (proof(replace(FOUND, steps=(*FOUND.steps[:-1], (LIGHTEST_BLACK + 6, 0, 0)))), "black had an L* of 31"),
        (proof(printed_on=TODAY + timedelta(days=1)), "after today"),
        (proof(printed_on=TODAY - timedelta(days=STALE_DAYS + 1)), "more than 60 days ago"),
        (proof(printed_on=TODAY - timedelta(days=STALE_DAYS)), ""),
        (proof(), ""),
    ],
)
def test_a_colour_is_proven_by_a_page_that_is_right_recent_and_of_the_same_set_up(proof, words):
    why = refusal(proof, "c0ffee", TODAY)
    assert words in why
    assert bool(words) == bool(why)


def test_a_page_that_is_measured_again_renews_no_proof():
    old = replace(PAGE, printed_on=TODAY - timedelta(days=STALE_DAYS + 1))
    again = prove(old, FOUND, prove(old, FOUND, None))
    assert "more than 60 days ago" in refusal(again, "c0ffee", TODAY)


def test_a_proof_tells_how_far_a_grey_has_moved_since_the_page_before():
    first = prove(PAGE, FOUND, None)
    assert first.drift is None
    moved = replace(FOUND, steps=((93.0, 4.0, 0.0), *FOUND.steps[1:]))
    second = prove(replace(PAGE, chart=replace(CHART, number=4)), moved, first)
    assert second.drift == pytest.approx(5.0)
    again = prove(replace(PAGE, chart=replace(CHART, number=4)), FOUND, second)
    assert again.drift == second.drift
    assert prove(replace(PAGE, set_up="tea"), moved, first).drift is None
    assert isinstance(second, ColourProof)
    assert not is_due(replace(first, printed_on=TODAY - timedelta(days=DUE_DAYS - 1)), TODAY)
    assert is_due(replace(first, printed_on=TODAY - timedelta(days=DUE_DAYS)), TODAY)
