"""The documents as they stand on the list."""

from __future__ import annotations

from kiosk.core.base.units import px_from_mm
from kiosk.core.document.document import Document
from kiosk.core.view.choice import DocumentOffer, Price


def offer(document: Document, price: Price | None = None) -> DocumentOffer:
    """Return a document as it stands on the list."""
    glasses = document.spectacles
    return DocumentOffer(
        id=document.id,
        title=document.title,
        country=document.country,
        size_text=_size_text(document),
        channel=document.channel.value,
        kinds=document.kinds,
        is_upload=document.size is None,
        glasses=None if glasses is None else glasses.allowed and not glasses.better_off,
        asks_of_face="all"
        if "mouth_closed" in document.capture
        else "eyes"
        if "eyes_open" in document.capture
        else "nothing",
        ages=document.ages,
        price=price,
    )


def _size_text(document: Document) -> str:
    if document.size is None:
        frame = document.frame_mm
        return f"{px_from_mm(frame.width, 300):.0f} × {px_from_mm(frame.height, 300):.0f} px"
    return f"{document.size.width:g} × {document.size.height:g} {document.size.unit}"
