"""A picture inside a PDF file, stored once at its own resolution, with the bleed around its trim."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
import pikepdf
from pikepdf import Array, Dictionary, Name, Stream

from kiosk.core.base.geometry import Rect
from kiosk.core.sheet.bleed import Edges, reach_mm
from kiosk.render.drawing.canvas import Pixels


@dataclass(frozen=True, slots=True, eq=False)
class StoredPicture:
    """A stored picture, and how many of its pixels are bleed."""

    pixels: Pixels
    bleed_px: Edges

    def reach_mm(self, place_mm: Rect, turned: bool) -> tuple[float, ...]:
        """Return how far the bleed reaches beyond each side of the trim at a place."""
        edges, (height, width) = self.bleed_px, self.pixels.shape[:2]
        trimmed_px = (width - edges.left - edges.right, height - edges.top - edges.bottom)
        return reach_mm(place_mm, *trimmed_px, edges, turned)

    def added_to(self, pdf: pikepdf.Pdf, profile: pikepdf.Object) -> pikepdf.Object:
        """Store it losslessly: each pixel minus its left neighbour (TIFF predictor 2), then deflated.

        The differences in a photo contain few repetitions; Huffman coding alone is three times as fast and no larger.
        """
        pixels = self.pixels
        height, width = pixels.shape[:2]
        steps = pixels.copy()
        np.subtract(pixels[:, 1:], pixels[:, :-1], out=steps[:, 1:])
        deflate = zlib.compressobj(strategy=zlib.Z_HUFFMAN_ONLY)
        stream = Stream(pdf, deflate.compress(steps.tobytes()) + deflate.flush())
        stream.stream_dict = Dictionary(
            Type=Name.XObject,
            Subtype=Name.Image,
            Width=width,
            Height=height,
            BitsPerComponent=8,
            ColorSpace=Array([Name.ICCBased, profile]),
            Interpolate=False,
            Filter=Name.FlateDecode,
            DecodeParms=Dictionary(Predictor=2, Colors=3, BitsPerComponent=8, Columns=width),
        )
        return pdf.make_indirect(stream)
