"""The sheet fitted to one printer: moved against its scale, and its pictures laid on whole pixels.

A rasteriser paints every pixel that an edge touches, so that a picture between pixels grows by one. A picture that
covers whole pixels arrives as it is.
"""

from __future__ import annotations

import io
from itertools import zip_longest

import pikepdf
from pikepdf import ContentStreamInstruction, Operator

from kiosk.core.base.geometry import Size
from kiosk.core.base.units import MM_PER_INCH, POINTS_PER_INCH
from kiosk.core.print_scale.scale import Counter
from kiosk.errors import PrinterFault

PAGE_TOLERANCE_MM = 0.5
"""Many drivers round a medium to whole points (`media.SIZE_TOLERANCE_MM`); the page is then trimmed or widened."""
_INSIDE_PX = 0.02
"""A picture's edges stay this far inside their pixels, so that rounding on the way touches no further one."""

Matrix = tuple[float, float, float, float, float, float]
"""a b c d e f of `x' = a x + c y + e`, `y' = b x + d y + f` (ISO 32000-1, 8.3.3)."""


def fit_sheet(
    pdf: bytes, size_mm: Size, counter: Counter, dpi: tuple[int, int], *, sheet_mm: Size | None = None
) -> bytes:
    """Return a sheet for one printer.

    Parameters
    ----------
    pdf
        One page, or a second one for the back, whose MediaBox is the paper.
    size_mm
        The medium, in the page's orientation.
    counter
        The move against the printer's scale.
    dpi
        The printer's pixels per inch, across and down.
    sheet_mm
        The paper in the middle of a larger medium, over whose edges the printer prints; None where they are one.

    Raises
    ------
    PrinterFault
        The file is not one or two pages of the medium's size; nothing is scaled to fit.
    """
    try:
        file = pikepdf.open(io.BytesIO(pdf))
    except pikepdf.PdfError as error:
        raise PrinterFault(printer="", detail="the sheet is no PDF") from error
    with file:
        if len(file.pages) not in (1, 2):
            raise PrinterFault(printer="", detail=f"the sheet has {len(file.pages)} pages instead of one or two")
        box = pikepdf.Array([0, 0, *(_points(side) for side in (size_mm.width, size_mm.height))])
        for page in file.pages:
            move = _times(_centred(page, size_mm, sheet_mm or size_mm), _move(counter, size_mm))
            page.MediaBox = page.TrimBox = box
            parsed = pikepdf.parse_content_stream(page)
            instructions = [each for each in parsed if isinstance(each, ContentStreamInstruction)]
            fitted = _snapped(instructions, move, size_mm, dpi)
            page.Contents = file.make_stream(pikepdf.unparse_content_stream(fitted))
        out = io.BytesIO()
        file.save(out, deterministic_id=True)
    return out.getvalue()


def pages_in(pdf: bytes) -> int:
    """Return how many pages a sheet has: one, or a second for its back."""
    with pikepdf.open(io.BytesIO(pdf)) as file:
        return len(file.pages)


def _centred(page: pikepdf.Page, size_mm: Size, sheet_mm: Size) -> Matrix:
    """Return the move of the page to the middle of the medium, in points."""
    left, bottom, right, top = (float(edge) * MM_PER_INCH / POINTS_PER_INCH for edge in page.mediabox)
    off_mm = max(abs(right - left - sheet_mm.width), abs(top - bottom - sheet_mm.height))
    if off_mm > PAGE_TOLERANCE_MM:
        detail = (
            f"the sheet is {right - left:.1f} x {top - bottom:.1f} mm and the paper {sheet_mm.width:.1f} x "
            f"{sheet_mm.height:.1f} mm"
        )
        raise PrinterFault(printer="", detail=detail)
    across_mm, up_mm = (size_mm.width - right - left) / 2, (size_mm.height - top - bottom) / 2
    return (1.0, 0.0, 0.0, 1.0, _points(across_mm), _points(up_mm))


def _move(counter: Counter, size_mm: Size) -> Matrix:
    """Return the counter-move in points, y up."""
    up_mm = size_mm.height * (1 - counter.y_scale) - counter.y_shift_mm
    return (counter.x_scale, 0.0, 0.0, counter.y_scale, _points(counter.x_shift_mm), _points(up_mm))


def _snapped(
    instructions: list[ContentStreamInstruction], move: Matrix, size_mm: Size, dpi: tuple[int, int]
) -> list[ContentStreamInstruction]:
    """Move everything, and lay each upright or turned picture on whole pixels by the matrix right before it."""
    current, stack = move, []
    fitted = [_cm(move)]
    for instruction, following in zip_longest(instructions, instructions[1:]):
        operator = str(instruction.operator)
        if operator == "q":
            stack.append(current)
        elif operator == "Q":
            current = stack.pop() if stack else move
        elif operator == "cm":
            own = tuple(float(number) for number in instruction.operands)
            placed = _times(own, current)  # type: ignore[arg-type]
            if following is not None and str(following.operator) == "Do":
                on_pixels = _on_pixels(placed, size_mm, dpi)
                fitted.append(_cm(_times(on_pixels, _inverse(current))))
                current = on_pixels
                continue
            current = placed
        fitted.append(instruction)
    return fitted


def _on_pixels(placed: Matrix, size_mm: Size, dpi: tuple[int, int]) -> Matrix:
    """Return a picture's matrix with its edges on pixels: its size to the nearest whole one, then its place."""
    a, b, c, d, e, f = placed
    across, down = (each / POINTS_PER_INCH for each in dpi)
    height_px = size_mm.height / MM_PER_INCH * dpi[1]
    left_px, right_px = sorted((e * across, (e + a + c) * across))
    top_px, bottom_px = sorted((height_px - f * down, height_px - (f + b + d) * down))
    new_left, new_top = round(left_px), round(top_px)
    new_right, new_bottom = new_left + round(right_px - left_px), new_top + round(bottom_px - top_px)
    width, height = (new_right - new_left - 2 * _INSIDE_PX) / across, (new_bottom - new_top - 2 * _INSIDE_PX) / down
    x, y = (new_left + _INSIDE_PX) / across, (height_px - new_bottom + _INSIDE_PX) / down
    turned = abs(a) + abs(d) < abs(b) + abs(c)
    new_a, new_b = (0.0, height * _sign(b)) if turned else (width * _sign(a), 0.0)
    new_c, new_d = (width * _sign(c), 0.0) if turned else (0.0, height * _sign(d))
    return (new_a, new_b, new_c, new_d, x if new_a + new_c > 0 else x + width, y if new_b + new_d > 0 else y + height)


def _points(length_mm: float) -> float:
    return length_mm / MM_PER_INCH * POINTS_PER_INCH


def _sign(number: float) -> float:
    return -1.0 if number < 0 else 1.0


def _times(first: Matrix, second: Matrix) -> Matrix:
    """Return the matrix that does the first, then the second."""
    a, b, c, d, e, f = first
    p, q, r, s, t, u = second
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def _inverse(matrix: Matrix) -> Matrix:
    a, b, c, d, e, f = matrix
    size = a * d - b * c
    return (d / size, -b / size, -c / size, a / size, (c * f - d * e) / size, (b * e - a * f) / size)


def _cm(matrix: Matrix) -> ContentStreamInstruction:
    return ContentStreamInstruction([round(number, 9) for number in matrix], Operator("cm"))
