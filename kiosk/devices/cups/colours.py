"""The colours of one queue with its paper: the ICC profile through which everything on a sheet goes.

Pictures and drawings of a sheet are in sRGB. With a profile they are turned into the printer's own red, green and blue
here, and the filters on the way are asked to leave them as they are; without one the sheet says that it is in sRGB.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import numpy.typing as npt
import pikepdf
from pikepdf import ContentStreamInstruction, Name
from PIL import Image, ImageCms

from kiosk.errors import PrinterFault

INTENTS: Mapping[str, ImageCms.Intent] = {
    "perceptual": ImageCms.Intent.PERCEPTUAL,
    "relative": ImageCms.Intent.RELATIVE_COLORIMETRIC,
    "saturation": ImageCms.Intent.SATURATION,
    "absolute": ImageCms.Intent.ABSOLUTE_COLORIMETRIC,
}
"""The rendering intents of ICC.1:2010, 6.2."""
UNMANAGED = {"cm-calibration": "true"}
"""The option that keeps cups-filters from converting colours by a profile of its own (cups-filters 1.28,
colormanager.h)."""

_PRINTER, _RGB = "prtr", "RGB"
_KINDS = {"mntr": "a monitor", "scnr": "a scanner or a camera", "spac": "a colour space", "link": "two linked devices"}
"""Profile and device classes of ICC.1:2010, 7.2.5, from which a shop's profiles come."""
_FILL, _STROKE = "rg", "RG"
_OTHER = {"g", "G", "k", "K", "cs", "CS", "sc", "SC", "scn", "SCN", "sh"}
"""The other operators that set a colour (ISO 32000-1, table 74)."""
_PAINTED = (Name.Image, Name.Form)
_BITS = 8
_REMAPPED = {"/SMask", "/Mask", "/Decode"}
_FOREIGN = "the sheet's colours are not given as this program gives them; write it with `holdstill sheet`"
_ABSOLUTE = "absolute"
_WHITE = 255

Codes = npt.NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class QueueColours:
    """A profile, and how colours are fitted into what its printer can print.

    Attributes
    ----------
    profile
        The content of the ICC file.
    intent
        One of `INTENTS`.
    black_point
        Whether the black of sRGB is put on the printer's black, with the tones between them.
    """

    profile: bytes = field(repr=False)
    intent: str
    black_point: bool

    @property
    def digest(self) -> str:
        """A fingerprint of all that decides on the colours."""
        return hashlib.sha256(f"{self.intent} {self.black_point} ".encode() + self.profile).hexdigest()[:16]


def fault_of(profile: bytes, intent: str) -> str:
    """Return why a profile cannot be a printer's with an intent, or nothing where it can."""
    try:
        opened = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    except OSError:
        return "it is no ICC profile"
    kind, space = opened.profile.device_class.strip(), opened.profile.xcolor_space.strip()
    if kind != _PRINTER:
        return f"it is the profile of {_KINDS.get(kind, f'something else ({kind})')}, not of a printer"
    if space != _RGB:
        return f"it is for {space}, and the print server gets red, green and blue; use the printer's RGB profile"
    if ImageCms.isIntentSupported(opened, INTENTS[intent], ImageCms.Direction.OUTPUT) != 1:
        return f"it has no table for the intent {intent}"
    try:
        _transform(QueueColours(profile, intent, black_point=False))
    except ImageCms.PyCMSError:
        return "it is damaged"
    return ""


def in_colours(pdf: bytes, colours: QueueColours) -> bytes:
    """Return a sheet in the printer's own colours, with nothing in it that says sRGB.

    Parameters
    ----------
    pdf
        A sheet of this program: pictures of 8-bit sRGB, and drawings whose colours are set by `rg` and `RG` alone.

    Raises
    ------
    PrinterFault
        Its colours are given in another way; half of them would be turned and half of them not.
    """
    with pikepdf.open(io.BytesIO(pdf)) as file:
        for found in file.objects:
            if isinstance(found, pikepdf.Stream) and found.get("/Subtype") in _PAINTED:
                _turn_picture(found, colours)
        for page in file.pages:
            page.Contents = file.make_stream(pikepdf.unparse_content_stream(_drawn(page, colours)))
            if "/ColorSpace" in page.resources:
                del page.resources.ColorSpace
        if "/OutputIntents" in file.Root:
            del file.Root.OutputIntents
        out = io.BytesIO()
        file.save(out, deterministic_id=True)
    return out.getvalue()


def _turn_picture(stream: pikepdf.Stream, colours: QueueColours) -> None:
    try:
        shape = (int(stream.Height), int(stream.Width), 3)
        rgb = np.frombuffer(stream.read_bytes(), np.uint8).reshape(shape)
    except (pikepdf.PdfError, AttributeError, ValueError) as error:
        raise PrinterFault(printer="", detail=_FOREIGN) from error
    if stream.get("/BitsPerComponent") != _BITS or _REMAPPED & set(stream.keys()):
        raise PrinterFault(printer="", detail=_FOREIGN)
    stream.write(_turned(rgb, colours).tobytes())
    stream.ColorSpace = Name.DeviceRGB


def _drawn(page: pikepdf.Page, colours: QueueColours) -> list[ContentStreamInstruction]:
    drawn = []
    for found in pikepdf.parse_content_stream(page):
        if not isinstance(found, ContentStreamInstruction) or str(found.operator) in _OTHER:
            raise PrinterFault(printer="", detail=_FOREIGN)
        if str(found.operator) not in {_FILL, _STROKE}:
            drawn.append(found)
            continue
        channels = [255 * float(channel) for channel in found.operands]
        code = np.array([[channels]]).round().clip(0, 255).astype(np.uint8)
        drawn.append(ContentStreamInstruction((_turned(code, colours)[0, 0] / 255).tolist(), found.operator))
    return drawn


def _turned(rgb: Codes, colours: QueueColours) -> Codes:
    """Return a picture of shape (height, width, 3) in the printer's codes.

    The white of sRGB is bare paper, unless an absolute intent asks for its tint: tables alone may leave a dot on it.
    """
    turned = ImageCms.applyTransform(Image.fromarray(rgb), _transform(colours))
    assert turned is not None
    codes = np.array(turned)
    if colours.intent != _ABSOLUTE:
        codes[(rgb == _WHITE).all(axis=2)] = _WHITE
    return codes


@lru_cache(maxsize=4)
def _transform(colours: QueueColours) -> ImageCms.ImageCmsTransform:
    """Return the engine's transform; a booth has few queues."""
    # Tables computed beforehand are five times as fast, and up to 4 units of CIEDE2000 off at the edge of the gamut.
    flags = ImageCms.Flags.NOOPTIMIZE
    if colours.black_point:
        flags |= ImageCms.Flags.BLACKPOINTCOMPENSATION
    target = ImageCms.ImageCmsProfile(io.BytesIO(colours.profile))
    return ImageCms.buildTransform(ImageCms.createProfile("sRGB"), target, "RGB", "RGB", INTENTS[colours.intent], flags)
