"""The documents as a table for the counter: what a clerk asks first of each, in two lines."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from kiosk.core.base.geometry import Size
from kiosk.core.document.confirmation import Confirmation, is_trusted, latest, settled, weakest_evidence
from kiosk.core.document.document import Document
from kiosk.core.document.limits import Evidence, range_words
from kiosk.core.document.requirements import SpectaclesRule
from kiosk.render.report.rule_words import CHANNEL_WORDS, size_words

NOT_READ = "not read"
"""Stands for what no page that was read says; a reader must not take it for leave."""

NARROWED = "*"
_LEGEND = f"{NARROWED} narrowed: two sources contradict each other, and the stricter binds until confirmed"
_HEADINGS = ("PHOTO", "HEAD", "TO", "BACKGROUND", "SPECTACLES", "PRINTS", "FROM A BOOTH", "KNOWN")
_GAP, _INDENT = "  ", "    "
_COLOUR_LETTERS = 20
_KNOWN: dict[Evidence, str] = {
    "primary": "authority",
    "quoted": "quoted",
    "memory": "memory",
    "practice": "practice",
    "computed": "computed",
    "measured": "measured",
}


def table(documents: Sequence[Document], confirmations: Sequence[Confirmation] = ()) -> str:
    """Return two lines per document: its id and title, and below them what a clerk asks first.

    The last column says how the sizes are known at worst, or when a person confirmed them.
    """
    shown = [(document, settled(document, confirmations)) for document in documents]
    rows = [_HEADINGS, *(_row(document, binding, confirmations) for document, binding in shown)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = [(_INDENT + _GAP.join(map(str.ljust, row, widths))).rstrip() for row in rows]
    titles = ["DOCUMENT", *(f"{document.id}: {document.title}" for document in documents)]
    paired = [line for pair in zip(titles, lines, strict=True) for line in pair]
    legend = ["", _LEGEND] if any(NARROWED in line for line in lines) else []
    return "\n".join([*paired, *legend])


def _row(document: Document, binding: Document, confirmations: Sequence[Confirmation]) -> tuple[str, ...]:
    mark = NARROWED if binding.head_height.is_narrowed(binding.frame_mm) else ""
    names = ", ".join(colour.name for colour in binding.backdrop_colours)
    colours = textwrap.shorten(names, _COLOUR_LETTERS, placeholder=" …")
    return (
        _photo(binding),
        _head(binding) + mark,
        binding.head_top.value,
        colours + (NARROWED if binding.background.is_narrowed else ""),
        _spectacles(binding.spectacles),
        str(binding.prints.count) if binding.prints else "" if binding.size is None else NOT_READ,
        CHANNEL_WORDS[binding.channel.value],
        _known(document, confirmations),
    )


def _photo(document: Document) -> str:
    if document.size is not None:
        return size_words(Size(document.size.width, document.size.height), document.size.unit)
    return size_words(document.upload.pixels.smallest, "px") if document.upload else ""


def _head(document: Document) -> str:
    if document.size is not None:
        return range_words(document.head_height_mm, "mm").replace(" to ", "–")
    return range_words(document.head_height_mm.scaled(100 / document.frame_mm.height), "%").replace(" to ", "–")


def _spectacles(rule: SpectaclesRule | None) -> str:
    if rule is None:
        return NOT_READ
    return "better off" if rule.better_off else "allowed" if rule.allowed else "no"


def _known(document: Document, confirmations: Sequence[Confirmation]) -> str:
    confirmation = latest(document, confirmations)
    if confirmation is not None:
        return f"confirmed {confirmation.on}"
    hidden = "" if is_trusted(document, confirmations) else ", hidden"
    return f"{_KNOWN[weakest_evidence(document)]}{hidden}"
