"""The documents known to this booth: a folder of TOML files, in which every limit has a source.

Besides one file per document, a folder holds `sources.toml` (the texts that were read), `colours.toml` (regions of CIE
L*a*b* that stand for the authorities' wording) and `capture.toml` (limits of pose, eyes, lighting and so on that all
documents share). A shop's own folder may omit these or add to them; the shipped ones always apply.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, TypeVar

from pydantic import TypeAdapter, ValidationError

from kiosk.catalogue.names import check_limits, check_measurements, check_sources, check_variants
from kiosk.core.document.background import ColourRegion
from kiosk.core.document.document import Document
from kiosk.core.document.limits import CaptureLimit, Model
from kiosk.errors import RulesRefused, UnknownDocument
from kiosk.system.toml_file import read_table, refusal

BUNDLE = "bundle.toml"
"""The file that makes a folder whole, with the version of its rules: the shipped one, or a bundle that replaces it."""

_TABLES = ("sources.toml", "colours.toml", "capture.toml")
SHARED = (*_TABLES, BUNDLE)


class Source(Model):
    """A text from which rules were taken; `url` is given only for a public authority's or publisher's own page."""

    publisher: str = ""
    title: str
    url: str = ""
    kind: Literal["primary", "quoted", "memory", "practice", "measured", "computed"]
    note: str = ""


_T = TypeVar("_T")

_SOURCES = TypeAdapter(dict[str, Source])
_COLOURS = TypeAdapter(dict[str, ColourRegion])
_CAPTURE = TypeAdapter(dict[str, CaptureLimit])


@dataclass(frozen=True)
class _Shared:
    """The tables that all documents of a folder share."""

    sources: dict[str, Source]
    palette: dict[str, ColourRegion]
    capture: dict[str, CaptureLimit]

    @classmethod
    def read(cls, own: Path, base: Path | None = None) -> _Shared:
        layers = dict.fromkeys((shipped_folder(), base or own, own))
        tables = {name: _shared_table(name, layers) for name in _TABLES}
        colours = {
            name: {"name": name, **region} if isinstance(region, dict) else region
            for name, region in tables["colours.toml"].items()
        }
        shared = cls(
            _validated(_SOURCES, tables["sources.toml"], own / "sources.toml"),
            _validated(_COLOURS, colours, own / "colours.toml"),
            _validated(_CAPTURE, tables["capture.toml"], own / "capture.toml"),
        )
        for name, limit in shared.capture.items():
            check_sources(own / "capture.toml", name, limit, shared.sources)
        if own != shipped_folder():
            known = _validated(_CAPTURE, read_table(shipped_folder() / "capture.toml"), shipped_folder())
            check_limits(own / "capture.toml", "", shared.capture, known)
        return shared

    def document(self, path: Path) -> Document:
        """Read one file, check its names against the shared tables, and merge in the shared capture limits."""
        document = read_document(path, self.palette)
        for key, rule in document.rules():
            check_sources(path, key, rule, self.sources)
        check_measurements(path, document, self.capture)
        return document.model_copy(update={"capture": {**self._shared_capture(document), **document.capture}})

    def _shared_capture(self, document: Document) -> dict[str, CaptureLimit]:
        """Return the shared limits; what the document expressly allows is only advised against."""
        permitted = {
            "expression_neutrality": document.smile is not None and document.smile.allowed,
            "in_colour": document.monochrome is not None and document.monochrome.allowed,
        }
        return {
            name: limit.model_copy(update={"consequence": "advise"}) if permitted.get(name) else limit
            for name, limit in self.capture.items()
        }


@dataclass(frozen=True)
class Catalogue:
    """All documents, the sources of their rules, and the limits of capture that all share unless their own differ."""

    documents: Mapping[str, Document]
    sources: Mapping[str, Source]
    common: Mapping[str, CaptureLimit]

    @classmethod
    def load(cls, folder: Path | None = None, base: Path | None = None, only: Collection[str] = ()) -> Catalogue:
        """Read and check every file of a folder, by default the one shipped with the program.

        The shared tables of the shipped folder and of `base` apply to it as well. With `only`, the documents of these
        ids are read, as far as there are any, and nothing else.

        Raises
        ------
        RulesRefused
            A file is not TOML, has an unknown key, a wrong unit, an empty range, an unknown source, colour or
            measurement, or limits that no head can meet.
        """
        own = folder or shipped_folder()
        shared = _Shared.read(own, base)
        files = [path for path in _document_files(own) if not only or path.stem in only]
        documents = {path.stem: shared.document(path) for path in files}
        if (own / BUNDLE).exists() and not only:
            check_variants(own, documents, documents)
        return cls(documents, shared.sources, shared.capture)

    @classmethod
    def beside(cls, own: Path | None, base: Path | None = None) -> Catalogue:
        """Return the documents of `base`, by default the shipped ones, and the shop's own from folder `own`.

        Raises
        ------
        RulesRefused
            As by `load`, or one of the shop's ids is also one of `base`.
        """
        shipped = cls.load(base)
        if own is None:
            return shipped
        added = cls.load(own, base)
        for name in added.documents:
            if name in shipped.documents:
                detail = f"{name!r} comes with the program; give your own document another id"
                raise RulesRefused(path=own / f"{name}.toml", where="id", detail=detail)
        documents = {**shipped.documents, **added.documents}
        check_variants(own, added.documents, documents)
        return cls(documents, {**shipped.sources, **added.sources}, shipped.common)

    def get(self, document_id: str) -> Document:
        """Return one document.

        Raises
        ------
        UnknownDocument
            No document has that id; the error names the closest ones.
        """
        if document_id not in self.documents:
            raise UnknownDocument(document=document_id, nearest=", ".join(self._nearest(document_id)) or "none")
        return self.documents[document_id]

    def _nearest(self, wanted: str) -> list[str]:
        """Return up to three ids, ranked by words shared with id or title, and then by similarity of letters."""
        words = _words(wanted)

        def likeness(document: Document) -> tuple[int, float]:
            shared = len(words & (_words(document.id) | _words(document.title)))
            return shared, difflib.SequenceMatcher(None, wanted.lower(), document.id).ratio()

        likely = [document for document in self.all() if likeness(document) > (0, 0.5)]
        return [document.id for document in sorted(likely, key=likeness, reverse=True)[:3]]

    def variants(self, document: Document) -> tuple[Document, ...]:
        """Return the other versions of a document: that of which it is one, and those of the same."""
        root = document.variant_of or document.id
        return tuple(one for one in self.all() if root in (one.id, one.variant_of) and one.id != document.id)

    def all(self) -> tuple[Document, ...]:
        """Return the documents, sorted by id."""
        return tuple(self.documents[name] for name in sorted(self.documents))


def _words(text: str) -> set[str]:
    return set(re.findall(r"[a-z0-9]+", text.lower()))


def shipped_folder() -> Path:
    """Return the shipped folder of documents: inside the installed package, or beside it in a checkout."""
    installed = Path(__file__).parents[1] / "data" / "specs"
    return installed if installed.is_dir() else Path(__file__).parents[2] / "specs"


def check(folder: Path) -> tuple[RulesRefused, ...]:
    """Return the first fault of each file in a folder of documents; empty if there is none."""
    refusals = []
    try:
        shared, files = _Shared.read(folder), _document_files(folder)
    except RulesRefused as refusal:
        return (refusal,)
    for path in files:
        try:
            shared.document(path)
        except RulesRefused as refusal:
            refusals.append(refusal)
    return tuple(refusals)


def read_document(path: Path, palette: Mapping[str, ColourRegion]) -> Document:
    """Read one file, before the shared capture limits are merged in.

    Raises
    ------
    RulesRefused
        The document has a fault; the error names the file, the key and the reason of the first one.
    """
    try:
        document = Document.model_validate(read_table(path), context={"palette": palette})
    except ValidationError as error:
        raise refusal(path, error) from error
    if document.id != path.stem:
        raise RulesRefused(path=path, where="id", detail=f"{document.id!r} is not the file's name")
    return document


def _document_files(own: Path) -> list[Path]:
    files = [path for path in sorted(own.glob("*.toml")) if path.name not in SHARED]
    if not files:
        raise RulesRefused(path=own, where="*.toml", detail="the folder has no document")
    return files


def _shared_table(name: str, layers: Iterable[Path]) -> dict[str, Any]:
    """Return a shared file's table: the shipped entries, overridden by those of the other folders in turn."""
    merged: dict[str, Any] = {}
    for folder in layers:
        if (folder / name).exists() or folder == shipped_folder():
            merged |= read_table(folder / name)
    return merged


def _validated(adapter: TypeAdapter[_T], table: dict[str, Any], path: Path) -> _T:
    try:
        return adapter.validate_python(table)
    except ValidationError as error:
        raise refusal(path, error) from error
