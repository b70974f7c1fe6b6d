"""Imposition of different photos on one sheet: several people or documents, each with its own number of copies.

Photos of one size are laid out as by `kiosk.core.sheet.imposition`. Photos of several sizes are laid out in strips
(guillotine shelves): each strip is a row below, or a column beside, everything laid out before it, so that one stroke
cuts it off.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import islice, permutations, product
from math import prod

from kiosk.core.base.geometry import Rect, Size
from kiosk.core.sheet.imposition import (
    GUTTER_MM,
    Margins,
    Medium,
    PhotoCopies,
    Placement,
    Sheet,
    best_cut,
    centred,
    check_lengths,
    impose,
    printable_area,
)
from kiosk.core.sheet.pixel_grid import PixelGrid, steps_for
from kiosk.errors import PhotosDoNotFit

_BEAM_WIDTH = 24
"""The number of shapes retained for the same photos. Retaining all of them changed neither fit nor strokes on any of
250 random sheets."""

_STATES = 500
"""The number of search states above which each size is laid out completely before the next: with four sizes or more, or
very many photos."""
_SEQUENCES = 6
"""How many orders of sizes are then tried, the largest size first."""


@dataclass(frozen=True, slots=True)
class _Strip:
    """Photos of one size in a row or a column, in steps of the pixel grid."""

    kind: int
    turned: bool
    x: int
    y: int
    across: int
    down: int


@dataclass(frozen=True, slots=True)
class _Shape:
    """Strips and the area they take, including the last gutters."""

    width: int
    height: int
    strips: tuple[_Strip, ...]

    def dominates(self, other: _Shape) -> bool:
        """Return whether the shape takes neither more room nor more strips than another."""
        strips = len(self.strips) <= len(other.strips)
        return strips and self.width <= other.width and self.height <= other.height


@dataclass(frozen=True, slots=True)
class _Shelves:
    """The printable area in steps of the pixel grid, and the sizes ("kinds") of photos to lay out on it."""

    printable_mm: Rect
    sizes_mm: tuple[Size, ...]
    gutter_mm: float
    steps: PixelGrid

    def shapes(self, counts: Sequence[int]) -> list[_Shape]:
        """Return shapes that hold exactly `counts` photos of each kind.

        All sequences of strips are searched, unless that would take too many states; then the kinds are laid out one
        after the other.
        """
        kinds = sorted(range(len(counts)), key=lambda kind: -self.sizes_mm[kind].width * self.sizes_mm[kind].height)
        if prod(count + 1 for count in counts) <= _STATES:
            return self._search(counts, kinds)
        found: list[_Shape] = []
        for sequence in islice(permutations(kinds), _SEQUENCES):
            found += self._search(counts, sequence, in_turn=True)
        return _undominated(found)

    def _search(self, counts: Sequence[int], kinds: Sequence[int], in_turn: bool = False) -> list[_Shape]:
        """Search by dynamic programming over the number of photos laid out so far; `in_turn` lays out kind by kind.

        Each state keeps its undominated shapes. The remaining photos all lie outside a shape, so a shape that leaves
        less area than they need is dropped.
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
        """Return the photos of a shape, centred in the printable area, and the kind of each."""
        photos = [photo for strip in shape.strips for photo in self._photos(strip)]
        kinds = (strip.kind for strip in shape.strips for _ in range(strip.across * strip.down))
        return centred(photos, self.printable_mm, self.steps), tuple(kinds)

    def _longer(self, shape: _Shape, kind: int, left: int, width: int, height: int) -> Iterator[tuple[_Shape, int]]:
        """Yield the shape with one more strip of a kind, below or beside it, and the number of photos in the strip."""
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
    """Lay different photos on one sheet, in exactly the ordered numbers; `Placement.item` is the index of the order.

    Of the layouts found, the one with the fewest strokes wins. Photos start on whole pixels, as with
    `kiosk.core.sheet.imposition.impose`.

    Raises
    ------
    SheetDoesNotFit, PhotosDoNotFit
        The printable area holds fewer photos, of one size or of several.
    ValueError
        There is no order, or a size, margin, gutter or count is out of range.
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
    return replace(sheet, photos=_assigned(sheet.photos, sizes_mm, orders))


def _on_shelves(
    medium: Medium, wanted: Counter[Size], margins: Margins, gutter_mm: float
) -> tuple[Sheet, Sequence[Size]]:
    """Return the sheet of photos of several sizes, and the ordered size of each placement."""
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


def _assigned(
    photos: Sequence[Placement], sizes_mm: Sequence[Size], orders: Sequence[PhotoCopies]
) -> tuple[Placement, ...]:
    """Return the photos with their `item` set, assigning those of one size to its orders in sequence."""
    waiting = {
        photo_mm: iter([i for i, order in enumerate(orders) if order.photo_mm == photo_mm for _ in range(order.count)])
        for photo_mm in set(sizes_mm)
    }
    return tuple(replace(photo, item=next(waiting[photo_mm])) for photo, photo_mm in zip(photos, sizes_mm, strict=True))


def _lengths(left: int, within: int, most: int) -> set[int]:
    """Return the strip lengths worth trying: as long as the shape, as long as the area, or evenly long strips."""
    longest = min(left, most)
    if longest == 0:
        return set()
    even = -(-left // -(-left // longest))
    return {longest, even, min(left, within)} - {0}


def _undominated(shapes: Sequence[_Shape]) -> list[_Shape]:
    undominated: list[_Shape] = []
    for shape in sorted(shapes, key=lambda shape: (shape.width * shape.height, len(shape.strips))):
        if not any(other.dominates(shape) for other in undominated):
            undominated.append(shape)
            if len(undominated) == _BEAM_WIDTH:
                break
    return undominated
