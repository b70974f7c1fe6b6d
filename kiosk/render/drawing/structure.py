"""The logical structure of a PDF file, by which it is read aloud in order (ISO 32000-1, 14.7 and 14.8)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import pikepdf
from pikepdf import Array, Dictionary, Name, String

Kind = Literal["H1", "H2", "P", "Figure", "Table", "TR", "TH", "TD"]
"""Standard structure types (ISO 32000-1, 14.8.4)."""


@dataclass
class Part:
    """A paragraph, a figure or the like: its parts and the numbers of its pieces on the page, in reading order.

    Attributes
    ----------
    alternative
        What is read instead of a figure.
    spoken
        What is read instead of the letters, which lie as they are seen.
    """

    kind: Kind
    alternative: str = ""
    spoken: str = ""
    children: list[Part | int] = field(default_factory=list)


def add_structure(pdf: pikepdf.Pdf, pages: Sequence[tuple[pikepdf.Object, Sequence[Part]]]) -> None:
    """Give a file the structure of its pages, each with its parts in reading order."""
    root = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))
    document = pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Document, P=root))
    children, owners_of_pages = Array(), Array()
    for number, (page, parts) in enumerate(pages):
        owners: dict[int, pikepdf.Object] = {}
        for part in parts:
            children.append(_element(pdf, part, document, page, owners))
        page.StructParents, page.Tabs = number, Name.S
        owners_of_pages.append(number)
        owners_of_pages.append(pdf.make_indirect(Array([owners[piece] for piece in sorted(owners)])))
    document.K, root.K = children, document
    root.ParentTree = pdf.make_indirect(Dictionary(Nums=owners_of_pages))
    root.ParentTreeNextKey = len(pages)
    pdf.Root.StructTreeRoot = root
    pdf.Root.MarkInfo = Dictionary(Marked=True)


def _element(
    pdf: pikepdf.Pdf, part: Part, parent: pikepdf.Object, page: pikepdf.Object, owners: dict[int, pikepdf.Object]
) -> pikepdf.Object:
    element = pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name(f"/{part.kind}"), P=parent, Pg=page))
    if part.alternative:
        element.Alt = String(part.alternative)
    if part.spoken:
        element.ActualText = String(part.spoken)
    kids = Array()
    for child in part.children:
        if isinstance(child, Part):
            kids.append(_element(pdf, child, element, page, owners))
        else:
            owners[child] = element
            kids.append(child)
    element.K = kids
    return element
