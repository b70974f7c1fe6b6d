"""What a sheet costs: eight photos of 35 x 45 mm on 4 x 6 in at 600 px per inch, out of a still of 24 megapixels.

The bare work is one resampling of the same frame with the same filter, and one JPEG of it; from the file, its decoding
as well. ImageMagick's montage makes the same eight photos out of the same file, without marks, words and colour
profile; its time to start is taken off. It writes a deflated TIFF, because Debian forbids it to write PDF.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from datetime import date
from pathlib import Path

import cv2
import numpy as np
import simplejpeg
from PIL import Image

from kiosk.catalogue.documents import Catalogue
from kiosk.core.judging.conformance import judge
from kiosk.core.sheet.imposition import Margins, impose
from kiosk.core.sheet.media import medium
from kiosk.pipeline.photo import make_sheet
from kiosk.render.sheet.strip import SheetStrip
from kiosk.system.atomic_files import write_whole
from kiosk.vision.pictures.photo_file import read_photo
from kiosk.vision.still import StillVision
from tests.bench.prepared import ROOT
from tests.bench.timing import in_turns_s, median_s

TARGETS = {"sheet_over_bare_ratio": 1.5, "sheet_over_montage_ratio": 1.0}
STILL_PX = (4000, 6000)
RUNS = 9
SITTER = ROOT / "demo" / "sitter" / "yaw+00_pitch+00.jpg"
DOCUMENT = "gb-passport-print"


def write_still(path: Path) -> None:
    """Write a still of a sitter at a camera's size, with the noise of a sensor, as real ones have it."""
    picture = cv2.resize(cv2.imread(str(SITTER)), STILL_PX, interpolation=cv2.INTER_CUBIC).astype(np.int16)
    picture += np.random.default_rng(0).integers(-4, 5, picture.shape, dtype=np.int16)
    path.write_bytes(simplejpeg.encode_jpeg(picture.clip(0, 255).astype(np.uint8), quality=92, colorspace="BGR"))


def measure() -> dict[str, float]:
    """Return the numbers by name."""
    document, strip = Catalogue.load().get(DOCUMENT), SheetStrip((DOCUMENT,), date(2026, 11, 25))
    with tempfile.TemporaryDirectory() as folder, StillVision() as vision:
        still, target = Path(folder, "still.jpg"), Path(folder, "sheet.pdf")
        write_still(still)
        rgb = read_photo(still).rgb
        plan = judge(vision.measure(rgb), document).plan
        assert plan is not None
        frame = plan.rect_px
        left, top, right, foot = (round(edge) for edge in (frame.x, frame.y, frame.right, frame.bottom))

        def sheet(pixels: np.ndarray) -> bytes:
            laid = impose(medium("4x6in"), document.size_mm, Margins(), 2.0, 8)
            return make_sheet(pixels, plan, document, laid, strip, path=str(still))

        def bare(pixels: np.ndarray) -> bytes:
            crop = Image.fromarray(np.ascontiguousarray(pixels[top:foot, left:right]))
            photo = np.asarray(crop.resize((827, 1063), Image.Resampling.LANCZOS))
            return simplejpeg.encode_jpeg(photo, quality=95, colorspace="RGB")

        calls = {
            "sheet": lambda: sheet(rgb),
            "bare": lambda: bare(rgb),
            "sheet_from_file": lambda: write_whole(target, sheet(read_photo(still).rgb)),
            "bare_from_file": lambda: target.write_bytes(
                bare(simplejpeg.decode_jpeg(still.read_bytes(), colorspace="RGB"))
            ),
        }
        if shutil.which("montage"):
            geometry = f"{right - left}x{foot - top}+{left}+{top}"
            calls["montage_from_file"] = lambda: montage(still, geometry, Path(folder, "sheet.tif"))
        else:
            print("montage is not installed: apt-get install imagemagick, for its row", file=sys.stderr)
        spans = in_turns_s(calls, RUNS)
    numbers = {f"{name}_ms": 1e3 * span for name, span in spans.items()}
    numbers["sheet_over_bare_ratio"] = spans["sheet"] / spans["bare"]
    numbers["sheet_from_file_over_bare_ratio"] = spans["sheet_from_file"] / spans["bare_from_file"]
    if "montage_from_file" in spans:
        start_s = median_s(lambda: subprocess.run(["montage", "-version"], check=True, capture_output=True), RUNS)
        numbers["montage_start_ms"] = 1e3 * start_s
        numbers["sheet_over_montage_ratio"] = spans["sheet_from_file"] / (spans["montage_from_file"] - start_s)
    return numbers


def montage(still: Path, geometry: str, target: Path) -> None:
    """Lay eight copies of a crop, turned, in two columns of four."""
    photo = f"( {still} -crop {geometry} +repage -filter Lanczos -resize 827x1063! -rotate 90 -duplicate 7 )"
    sheet = "-tile 2x4 -geometry 1063x827+25+25 -density 600 -units PixelsPerInch -compress Zip"
    subprocess.run(["montage", *photo.split(), *sheet.split(), str(target)], check=True)
