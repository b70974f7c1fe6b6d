"""35 x 45 mm as the printer received it; `tests/bench/scale_table` measures every paper and margin."""

import pytest

from tests.support.printer_lab import EVEN, INDEX, NO_MARGINS, TEN_FIFTEEN, UNEVEN, printer_lab
from tests.support.true_scale import station

TARGET_MM = 0.05
PLACE_MM = 0.2
"""CUPS's filters round the height of a page to whole points, which moves a sheet by up to half a point, 0.18 mm."""
CASES = [
    (INDEX, EVEN, "image/pwg-raster"),
    (TEN_FIFTEEN, UNEVEN, "image/pwg-raster"),
    (INDEX, NO_MARGINS, "application/pdf"),
]


@pytest.fixture(scope="module")
def lab():
    with printer_lab() as running:
        yield running


@pytest.mark.parametrize(("name", "margins", "kind"), CASES)
def test_a_photo_arrives_at_its_size_and_place(lab, tmp_path, name, margins, kind):
    with station(lab, tmp_path, name, margins, kind) as at:
        received = at.print_true()
    assert received.size_off_mm <= TARGET_MM
    assert received.place_off_mm <= PLACE_MM


def test_the_chain_left_to_itself_shrinks_the_photo_on_a_printer_with_margins(lab, tmp_path):
    """What this would not notice, it could not promise: `fit` is 6 % off on this printer."""
    with station(lab, tmp_path, INDEX, EVEN, "image/pwg-raster") as at:
        assert at.print_plain("fit").size_off_mm > 1.0
