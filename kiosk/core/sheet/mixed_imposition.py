"""Imposition of several photos on one sheet: of several people, for several documents, so many of each.

Photos of one size lie as `kiosk.core.sheet.imposition` lays them. Photos of several sizes lie in strips: each is a row
below or a column beside all that lie there already, so that one stroke parts it from them (guillotine shelves).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import count, islice, permutations, product
from math import prod

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.imposition import (
    GUTTER_MM,
    Margins,
    Medium,
    Placement,
    Sheet,
    best_cut,
    centred,
    check_lengths,
    impose,
    printable_area,
)
from kiosk.core.sheet.pixel_grid import PixelGrid, steps_for
from kiosk.errors import PhotosDoNotFit, SheetDoesNotFit

_KEPT = 24
"""Shapes kept for the same photos; keeping all changed none of 250 random sheets, neither fit nor strokes."""

_STATES = 500
"""Numbers of each kind laid, above which the kinds are laid one after the other: four sizes or more, or very many."""
_SEQUENCES = 6
"""Sequences of kinds tried then, the largest first."""


@dataclass(frozen=True, slots=True)
class PhotoCopies:
    """So many copies of one photo."""

    photo_mm: Size
    count: int


@dataclass(frozen=True, slots=True)
class _Strip:
    """Photos of one size in a row or a column, in whole steps."""

    kind: int
    turned: bool
    x: int
    y: int
    across: int
    down: int


@dataclass(frozen=True, slots=True)
class _Shape:
    """Strips and the area they take, the last gutters included."""

    width: int
    height: int
    strips: tuple[_Strip, ...]

    def dominates(self, other: _Shape) -> bool:
        """Return whether it takes no more room and no more strips than another."""
        strips = len(self.strips) <= len(other.strips)
        return strips and self.width <= other.width and self.height <= other.height


@dataclass(frozen=True, slots=True)
class _Shelves:
    """The printable area in whole steps, the last gutter included, and the kinds of photos that lie on it."""

    printable_mm: Rect
    sizes_mm: tuple[Size, ...]
    gutter_mm: float
    steps: PixelGrid

    def shapes(self, counts: Sequence[int]) -> list[_Shape]:
        """Return the shapes that hold exactly so many of each kind; of all sequences, or of those kind by kind."""
        kinds = sorted(range(len(counts)), key=lambda kind: -self.sizes_mm[kind].width * self.sizes_mm[kind].height)
        if prod(count + 1 for count in counts) <= _STATES:
            return self._search(counts, kinds)
        found: list[_Shape] = []
        for sequence in islice(permutations(kinds), _SEQUENCES):
            found += self._search(counts, sequence, in_turn=True)
        return _undominated(found)

    def _search(self, counts: Sequence[int], kinds: Sequence[int], in_turn: bool = False) -> list[_Shape]:
        """Search by dynamic programming over the photos laid so far, from the fewest on; `in_turn` kind by kind.

        Each state keeps the shapes that none other dominates. What follows lies outside a shape, so one that leaves
        less area than the photos to come need is dropped.
        """
        width = self.steps.down(self.printable_mm.width) + self.steps.down(self.gutter_mm)
        height = self.steps.down(self.printable_mm.height) + self.steps.down(self.gutter_mm)
        needs = [across * down for across, down in (self._cell(kind, False) for kind in range(len(counts)))]
        found: dict[tuple[int, ...], list[_Shape]] = {tuple(0 for _ in counts): [_Shape(0, 0, ())]}
        states = list(found)
        while states:
            laid = heappop(states)
            shapes = _undominated(found.pop(laid))
            if laid == tuple(counts):
                return shapes
            free = width * height - sum(need * (n - m) for need, n, m in zip(needs, counts, laid, strict=True))
            waiting = [kind for kind in kinds if laid[kind] < counts[kind]]
            for shape, kind in product(shapes, waiting[:1] if in_turn else waiting):
                for longer, photos in self._longer(shape, kind, counts[kind] - laid[kind], width, height):
                    if longer.width * longer.height > free + photos * needs[kind]:
                        continue
                    after = (*laid[:kind], laid[kind] + photos, *laid[kind + 1 :])
                    if after not in found:
                        found[after] = []
                        heappush(states, after)
                    found[after].append(longer)
        return []

    def placed(self, shape: _Shape) -> tuple[tuple[Placement, ...], tuple[int, ...]]:
        """Return the photos of a shape in the middle of the printable area, and the kind of each."""
        photos = [photo for strip in shape.strips for photo in self._photos(strip)]
        kinds = (strip.kind for strip in shape.strips for _ in range(strip.across * strip.down))
        return centred(photos, self.printable_mm, self.steps), tuple(kinds)

    def _longer(self, shape: _Shape, kind: int, left: int, width: int, height: int) -> Iterator[tuple[_Shape, int]]:
        """Yield the shape with one more strip of a kind, a row below or a column beside it, and the strip's count."""
        size = self.sizes_mm[kind]
        for turned in (False, True) if size.width != size.height else (False,):
            across, down = self._cell(kind, turned)
            for photos in _lengths(left, shape.width // across, width // across):
                row = _Strip(kind, turned, 0, shape.height, photos, 1)
                longer = _Shape(max(shape.width, photos * across), shape.height + down, (*shape.strips, row))
                if longer.height <= height:
                    yield longer, photos
            for photos in _lengths(left, shape.height // down, height // down):
                column = _Strip(kind, turned, shape.width, 0, 1, photos)
                longer = _Shape(shape.width + across, max(shape.height, photos * down), (*shape.strips, column))
                if longer.width <= width:
                    yield longer, photos

    def _photos(self, strip: _Strip) -> Iterator[Placement]:
        size = self.sizes_mm[strip.kind].turned() if strip.turned else self.sizes_mm[strip.kind]
        across, down = self._cell(strip.kind, strip.turned)
        for row, column in product(range(strip.down), range(strip.across)):
            x_mm, y_mm = (strip.x + column * across) * self.steps.mm, (strip.y + row * down) * self.steps.mm
            yield Placement(x_mm, y_mm, size.width, size.height, strip.turned)

    def _cell(self, kind: int, turned: bool) -> tuple[int, int]:
        """Return the sides of a photo with the gutters to its right and below."""
        size = self.sizes_mm[kind].turned() if turned else self.sizes_mm[kind]
        return self.steps.up(size.width + self.gutter_mm), self.steps.up(size.height + self.gutter_mm)


def impose_several(
    medium: Medium, orders: Sequence[PhotoCopies], margins: Margins, gutter_mm: float = GUTTER_MM
) -> Sheet:
    """Lay several photos on one sheet, exactly as many of each as ordered; `Placement.item` tells whose place it is.

    Of the layouts found the one cut with the fewest strokes is taken. Photos begin on whole pixels as those of
    `kiosk.core.sheet.imposition.impose` do.

    Raises
    ------
    SheetDoesNotFit, PhotosDoNotFit
        The printable area holds fewer, of one size or of several.
    ValueError
        No order, or a size, margin, gutter or count that is not one.
    """
    if not orders or any(order.count < 1 for order in orders):
        raise ValueError("give one order or more, each of 1 or more")
    wanted: Counter[Size] = Counter()
    for order in orders:
        check_lengths(order.photo_mm, margins, gutter_mm)
        wanted[order.photo_mm] += order.count
    if len(wanted) == 1:
        ((photo_mm, photos),) = wanted.items()
        sheet = impose(medium, photo_mm, margins, gutter_mm, photos)
        sizes_mm: Sequence[Size] = [photo_mm] * photos
    else:
        sheet, sizes_mm = _on_shelves(medium, wanted, margins, gutter_mm)
    return replace(sheet, photos=_shared_out(sheet.photos, sizes_mm, orders))


def impose_equally(medium: Medium, photos_mm: Sequence[Size], margins: Margins, gutter_mm: float = GUTTER_MM) -> Sheet:
    """Lay several photos on one sheet, as many as fit with equally many of each; errors as `impose_several`."""
    sheet = impose_several(medium, [PhotoCopies(photo_mm, 1) for photo_mm in photos_mm], margins, gutter_mm)
    for each in count(2):
        try:
            sheet = impose_several(medium, [PhotoCopies(photo_mm, each) for photo_mm in photos_mm], margins, gutter_mm)
        except (SheetDoesNotFit, PhotosDoNotFit):
            break
    return sheet


def _on_shelves(
    medium: Medium, wanted: Counter[Size], margins: Margins, gutter_mm: float
) -> tuple[Sheet, Sequence[Size]]:
    """Return the sheet of photos of several sizes, and the size that each place was ordered in."""
    printable = printable_area(medium, margins)
    sizes_mm, counts = tuple(wanted), list(wanted.values())
    area_mm2 = sum(size.width * size.height * photos for size, photos in wanted.items())
    if min(printable.width, printable.height) > 0 and area_mm2 <= printable.width * printable.height:
        for steps in steps_for(gutter_mm):
            shelves = _Shelves(printable, sizes_mm, gutter_mm, steps)
            layouts = dict(shelves.placed(shape) for shape in shelves.shapes(counts))
            if layouts:
                sheet = best_cut(medium, printable, list(layouts))
                return sheet, [sizes_mm[kind] for kind in layouts[sheet.photos]]
    photos = " and ".join(f"{many} of {size.width:g} x {size.height:g} mm" for size, many in wanted.items())
    raise PhotosDoNotFit(photos=photos, paper=medium.short)


def _shared_out(
    photos: Sequence[Placement], sizes_mm: Sequence[Size], orders: Sequence[PhotoCopies]
) -> tuple[Placement, ...]:
    """Return the photos with the order of each, those of one size shared out in the sequence of the orders."""
    waiting = {
        photo_mm: iter([i for i, order in enumerate(orders) if order.photo_mm == photo_mm for _ in range(order.count)])
        for photo_mm in set(sizes_mm)
    }
    return tuple(replace(photo, item=next(waiting[photo_mm])) for photo, photo_mm in zip(photos, sizes_mm, strict=True))


def _lengths(left: int, within: int, most: int) -> set[int]:
    """Return how many photos a strip may hold: all that lie within the shape, or within the area, or even strips."""
    longest = min(left, most)
    if longest == 0:
        return set()
    even = -(-left // -(-left // longest))
    return {longest, even, min(left, within)} - {0}


def _undominated(shapes: Sequence[_Shape]) -> list[_Shape]:
    kept: list[_Shape] = []
    for shape in sorted(shapes, key=lambda shape: (shape.width * shape.height, len(shape.strips))):
        if not any(other.dominates(shape) for other in kept):
            kept.append(shape)
            if len(kept) == _KEPT:
                break
    return kept
