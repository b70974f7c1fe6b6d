"""Typefaces inside a PDF file: of each, the letters in use, and the characters that they stand for.

They are composite fonts (ISO 32000-1, 9.7) whose codes are the glyph numbers of the typeface, so that every page of a
file may use the same one. ToUnicode (9.10.3) gives the text back to whoever selects, searches or reads it aloud.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import pikepdf
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import Glyph
from pikepdf import Array, Dictionary, Name, Stream, String

from kiosk.fonts import FontName
from kiosk.render.drawing.outline import face_of

HIDDEN: Literal["Hidden"] = "Hidden"
"""A font without any ink, of one width, whose codes are UTF-16: it lies under text that is drawn as outlines."""
HIDDEN_ADVANCE_EM = 0.5
_PER_EM = 1000
"""The units of widths in a PDF font (ISO 32000-1, 9.2.4)."""
_SYMBOLIC = 4
"""The flag of a font with characters outside the standard Latin ones (ISO 32000-1, table 123)."""
_LONGEST_MAPPING = 100
"""The most rows that one `bfchar` operator takes (Adobe Technical Note 5014, from memory)."""

_KEPT = 32
"""The number of subsets kept in memory, 10 to 30 kB each: a booth writes the same words on every sheet."""

PdfFont = FontName | Literal["Hidden"]

Letters = Mapping[int, str]
"""The characters by the codes that are in use."""


def codes(text: str, font: FontName) -> dict[int, str]:
    """Return the glyph numbers of a text's characters, in order of first use; a missing letter has number 0."""
    return {_code(letter, font): letter for letter in text}


def shown_by(text: str, font: FontName) -> str:
    """Return a text as the operand of a PDF operator that shows it."""
    return f"<{''.join(f'{_code(letter, font):04x}' for letter in text)}>"


def hidden_codes(text: str) -> dict[int, str]:
    """Return the codes of a text in the hidden font; characters beyond the Basic Multilingual Plane have none."""
    return {ord(letter): letter for letter in text if ord(letter) <= 0xFFFF}


def font_object(pdf: pikepdf.Pdf, name: PdfFont, letters: Letters) -> pikepdf.Object:
    """Return a font for a file with the letters in use."""
    used = tuple(sorted(letters))
    program = _hidden(used) if name == HIDDEN else _subset(name, used)
    tagged = Name(f"/{_tag(name, used)}+{name}")
    descriptor = Dictionary(
        Type=Name.FontDescriptor,
        FontName=tagged,
        Flags=_SYMBOLIC,
        FontBBox=Array(program.box),
        ItalicAngle=0,
        Ascent=program.ascent,
        Descent=program.descent,
        CapHeight=program.ascent,
        StemV=0,
        FontFile2=Stream(pdf, program.file, Length1=len(program.file)),
    )
    descendant = Dictionary(
        Type=Name.Font,
        Subtype=Name.CIDFontType2,
        BaseFont=tagged,
        CIDSystemInfo=Dictionary(Registry=String("Adobe"), Ordering=String("Identity"), Supplement=0),
        FontDescriptor=pdf.make_indirect(descriptor),
        CIDToGIDMap=Stream(pdf, _places(program.places)),
        W=Array([part for code, width in program.widths.items() for part in (code, Array([_real(width)]))]),
    )
    font = Dictionary(
        Type=Name.Font,
        Subtype=Name.Type0,
        BaseFont=tagged,
        Encoding=Name("/Identity-H"),
        DescendantFonts=Array([pdf.make_indirect(descendant)]),
        ToUnicode=Stream(pdf, _to_unicode(letters)),
    )
    return pdf.make_indirect(font)


@dataclass(frozen=True, slots=True)
class _Program:
    """A font's TrueType file, and by code its widths and the places of its glyphs in the file."""

    file: bytes
    widths: Mapping[int, float]
    places: Mapping[int, int]
    ascent: int
    descent: int
    box: tuple[int, ...]


@lru_cache(maxsize=_KEPT)
def _subset(font: FontName, used: tuple[int, ...]) -> _Program:
    """Return these glyphs, after the one that stands for a missing letter, without hints."""
    face = face_of(font)
    order, head, hhea, advances = face.getGlyphOrder(), face["head"], face["hhea"], face["hmtx"]
    places = (0, *(code for code in used if code))
    names = [order[code] for code in places]
    scale = _PER_EM / head.unitsPerEm
    glyphs = {name: _glyph(face, name) for name in names}
    file = _built(glyphs, {name: advances[name][0] for name in names}, head.unitsPerEm, hhea.ascent, hhea.descent)
    return _Program(
        file,
        {code: advances[order[code]][0] * scale for code in used},
        {code: place for place, code in enumerate(places)},
        round(hhea.ascent * scale),
        round(hhea.descent * scale),
        tuple(round(side * scale) for side in (head.xMin, head.yMin, head.xMax, head.yMax)),
    )


def _hidden(used: tuple[int, ...]) -> _Program:
    width = round(HIDDEN_ADVANCE_EM * _PER_EM)
    file = _built({".notdef": TTGlyphPen(None).glyph()}, {".notdef": width}, _PER_EM, _PER_EM, 0)
    return _Program(file, dict.fromkeys(used, width), dict.fromkeys(used, 0), _PER_EM, 0, (0, 0, width, _PER_EM))


def _code(letter: str, font: FontName) -> int:
    face = face_of(font)
    name = face.getBestCmap().get(ord(letter))
    return 0 if name is None else int(face.getGlyphID(name))


def _glyph(face: TTFont, name: str) -> Glyph:
    glyphs = face.getGlyphSet()
    recording, pen = DecomposingRecordingPen(glyphs), TTGlyphPen(None)
    glyphs[name].draw(recording)
    recording.replay(pen)
    return pen.glyph()


def _built(glyphs: Mapping[str, Glyph], advances: Mapping[str, int], per_em: int, ascent: int, descent: int) -> bytes:
    """Return a file with the tables that a PDF needs (ISO 32000-1, 9.9); equal glyphs give equal bytes."""
    builder = FontBuilder(per_em, isTTF=True)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupGlyf(dict(glyphs))
    table = builder.font["glyf"]
    builder.setupHorizontalMetrics({name: (advances[name], getattr(table[name], "xMin", 0)) for name in glyphs})
    builder.setupHorizontalHeader(ascent=ascent, descent=descent)
    builder.setupMaxp()
    builder.font["head"].created = builder.font["head"].modified = 0
    file = io.BytesIO()
    builder.save(file)
    return file.getvalue()


def _places(places: Mapping[int, int]) -> bytes:
    """Return the table from codes to the glyphs of the embedded file (ISO 32000-1, table 117, CIDToGIDMap)."""
    table = bytearray(2 * (max(places, default=0) + 1))
    for code, place in places.items():
        table[2 * code : 2 * code + 2] = place.to_bytes(2, "big")
    return bytes(table)


def _real(width: float) -> pikepdf.Object:
    return pikepdf.Object.parse(f"{width:.3f}".rstrip("0").rstrip(".").encode())


def _tag(name: str, used: Iterable[int]) -> str:
    """Return the six letters that mark a subset (ISO 32000-1, 9.6.4), the same for the same letters."""
    digest = hashlib.sha256(f"{name} {list(used)}".encode()).digest()
    return "".join(chr(ord("A") + byte % 26) for byte in digest[:6])


def _to_unicode(letters: Letters) -> bytes:
    rows = [f"<{code:04x}> <{letter.encode('utf-16-be').hex()}>" for code, letter in sorted(letters.items())]
    blocks = [rows[start : start + _LONGEST_MAPPING] for start in range(0, len(rows), _LONGEST_MAPPING)]
    mapping = "\n".join(part for block in blocks for part in (f"{len(block)} beginbfchar", *block, "endbfchar"))
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        f"1 begincodespacerange\n<0000> <ffff>\nendcodespacerange\n{mapping}\n"
        "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"
    ).encode("ascii")
