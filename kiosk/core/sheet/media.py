"""Papers: the media of PWG 5101.1 that photo printers take, and their trade names.

4 x 6 in, 10 x 15 cm, the postcard and A6 are four different sizes, though the first two are sold as one: rely on the
size that the printer reports, never on the box.
"""

from __future__ import annotations

import re

from kiosk.core.base.geometry import Size
from kiosk.core.base.units import mm_from_inches
from kiosk.core.sheet.imposition import Medium
from kiosk.errors import UnknownPaper

THIN = "\N{NARROW NO-BREAK SPACE}"
LARGEST_MM = 1189.0
"""The long side of A0, larger than any photo printer takes."""


def _inch(name: str, short: str, width_in: float, height_in: float) -> Medium:
    return Medium(name, short, Size(mm_from_inches(width_in), mm_from_inches(height_in)))


def _metric(name: str, short: str, width_mm: float, height_mm: float) -> Medium:
    return Medium(name, short, Size(width_mm, height_mm))


MEDIA: tuple[Medium, ...] = (
    _inch("oe_photo-l_3.5x5in", "3.5x5in", 3.5, 5),
    _inch("na_index-4x6_4x6in", "4x6in", 4, 6),
    _metric("om_small-photo_100x150mm", "10x15cm", 100, 150),
    _metric("jpn_hagaki_100x148mm", "hagaki", 100, 148),
    _metric("iso_a6_105x148mm", "a6", 105, 148),
    _inch("oe_square-photo_5x5in", "5x5in", 5, 5),
    _inch("na_5x7_5x7in", "5x7in", 5, 7),
    _metric("om_medium-photo_130x180mm", "13x18cm", 130, 180),
    _metric("iso_a5_148x210mm", "a5", 148, 210),
    _inch("na_index-4x6-ext_6x8in", "6x8in", 6, 8),
    _inch("na_govt-letter_8x10in", "8x10in", 8, 10),
    _metric("iso_a4_210x297mm", "a4", 210, 297),
    _inch("na_letter_8.5x11in", "letter", 8.5, 11),
    _metric("om_card_54x86mm", "card", 54, 86),
)
"""Names and sizes of the PWG 5101.1 register, from small to large, then the card (ISO/IEC 7810 ID-1, rounded up)."""

_ALSO = {"l": "3.5x5in", "2l": "5x7in", "kg": "4x6in", "postcard": "hagaki", "usletter": "letter", "cr80": "card"}
"""Names of the trade (from memory): L, 2L and KG of Japanese prints, CR80 of card printers."""
_BY_NAME = {key: medium for medium in MEDIA for key in (medium.name, medium.short)}
_ROUNDED_MM = 0.5
"""Half of the millimetre to which the trade rounds the sizes of papers: 102x152mm is 4 x 6 in."""
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_SIZE = re.compile(rf"(?P<width>{_NUMBER})x(?P<height>{_NUMBER})(?P<unit>in|cm|mm)")
_SELF_DESCRIBING = re.compile(
    r"(?:asme|custom|disc|iso|jis|jpn|na|oe|om|prc|roc)_[a-z0-9.-]+_"
    r"(?P<width>[0-9]+(?:\.[0-9]+)?)x(?P<height>[0-9]+(?:\.[0-9]+)?)(?P<unit>in|mm)"
)


def medium(name: str) -> Medium:
    """Return the paper with a PWG 5101.1 name, a short name or a size; case and spaces are ignored.

    A size is that of the same paper whichever side comes first: `6x4in`, `100x150mm`, `15x10cm`; one that is on no
    list is a custom paper, upright. A self-describing name outside the register, such as a printer's own
    `om_photo-10x15_100x150mm`, is accepted with the size that it states.

    Raises
    ------
    UnknownPaper
        No paper has that name.
    """
    key = _plain(name)
    found = _BY_NAME.get(_ALSO.get(key, key)) or _of_size(key) or _self_described(key)
    if found is None:
        raise UnknownPaper(paper=name, known=", ".join(paper.short for paper in MEDIA))
    return found


def written(short: str) -> str:
    """Return a paper's short name as people write it, such as `10×15 cm` or `A4`, without a line break in it."""
    size = _SIZE.fullmatch(short)
    if size is None:
        return short.upper() if short[1:].isdigit() else short.capitalize()
    return f"{size['width']}×{size['height']}{THIN}{size['unit']}"


def _plain(name: str) -> str:
    """Return a name without case and spaces, with the letter x between its sizes, and with the unit spelled `in`."""
    key = "".join(name.lower().split()).replace("\N{MULTIPLICATION SIGN}", "x").replace(",", ".")
    return re.sub(r"(?<=[0-9])(?:inches|inch|\"|\N{DOUBLE PRIME})(?=x|$)", "in", key).replace("inx", "x")


def _of_size(key: str) -> Medium | None:
    match = _SIZE.fullmatch(key)
    if match is None:
        return None
    unit_mm = {"mm": 1.0, "cm": 10.0, "in": mm_from_inches(1.0)}[match["unit"]]
    (short_mm, short), (long_mm, long) = sorted(
        (float(side) * unit_mm, side) for side in match.group("width", "height")
    )
    for paper in MEDIA:
        sides_mm = sorted((paper.size_mm.width, paper.size_mm.height))
        if max(abs(short_mm - sides_mm[0]), abs(long_mm - sides_mm[1])) <= _ROUNDED_MM:
            return paper
    if not 0 < short_mm <= long_mm <= LARGEST_MM:
        return None
    size = f"{short}x{long}in" if match["unit"] == "in" else f"{short_mm:g}x{long_mm:g}mm"
    return Medium(f"custom_{size}_{size}", f"{short}x{long}{match['unit']}", Size(short_mm, long_mm))


def _self_described(name: str) -> Medium | None:
    match = _SELF_DESCRIBING.fullmatch(name)
    if match is None:
        return None
    width, height = float(match["width"]), float(match["height"])
    size_mm = Size(width, height) if match["unit"] == "mm" else Size(mm_from_inches(width), mm_from_inches(height))
    if not (0 < size_mm.width <= LARGEST_MM and 0 < size_mm.height <= LARGEST_MM):
        return None
    return Medium(name, f"{match['width']}x{match['height']}{match['unit']}", size_mm)
