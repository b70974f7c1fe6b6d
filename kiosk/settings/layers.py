"""Settings in layers: a booth's file names the files of its shop and its chain, and overrides what they say.

    layers = ["chain.toml", "shop.toml"]

Each file overrides the ones before it, key by key, and the booth's own file overrides all of them. A section with
another `backend` replaces the whole section, whose other keys belong to the other device. Confirmations of documents
are added up.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kiosk.errors import SettingsRefused, os_reason
from kiosk.system.plain_file import read_plain
from kiosk.system.toml_file import parse_toml

Table = dict[str, Any]

LAYERS = "layers"
"""The key under which a booth's file names its layers, the widest first; paths start at that file's folder."""
_SUMMED = "confirmations"


@dataclass(frozen=True, slots=True)
class Layer:
    """One file of settings, and what it says."""

    file: Path
    table: Table


def layers_of(text: str, path: Path) -> tuple[Layer, ...]:
    """Return the layers of the settings in `text`, the widest first and the booth's own last.

    Parameters
    ----------
    path
        The booth's file, from which `text` was read or to which it is about to be written.

    Raises
    ------
    SettingsRefused
        A file is missing, unreadable or not TOML, or a layer names layers of its own.
    """
    own = _parsed(text, path)
    names = own.pop(LAYERS, [])
    if not isinstance(names, list) or not all(isinstance(name, str) and name for name in names):
        raise SettingsRefused(path=path, where=LAYERS, detail='name files, as in layers = ["chain.toml"]')
    wider = []
    for name in names:
        file = (path.parent / name).resolve()
        table = _parsed(_text(file, path), file)
        if LAYERS in table:
            raise SettingsRefused(path=file, where=LAYERS, detail="only a booth's own file names layers")
        wider.append(Layer(file, table))
    return (*wider, Layer(path, own))


def merged(layers: Sequence[Layer]) -> Table:
    """Return what all layers say together."""
    result: Table = {}
    for layer in layers:
        result = _merged(result, layer.table)
    confirmations = [entry for layer in layers for entry in layer.table.get(_SUMMED, [])]
    return {**result, _SUMMED: confirmations} if confirmations else result


def origin(layers: Sequence[Layer], keys: Sequence[str]) -> Path | None:
    """Return the file whose value is in force under `keys`, such as `("camera", "iso")`, or None if none has one."""
    found: Path | None = None
    section: Table = {}
    for layer in layers:
        narrow = layer.table.get(keys[0])
        if isinstance(narrow, dict):
            found = None if _is_other_device(section, narrow) else found
            section = _merged(section, narrow)
        value: Any = layer.table
        for key in keys:
            value = value.get(key) if isinstance(value, dict) else value
        if value is not None:
            found = layer.file
    return found


def origins(layers: Sequence[Layer], keys: Sequence[str]) -> tuple[Path, ...]:
    """Return the files from which the value in force under `keys` comes: one, or all of what is added up."""
    if keys[0] == _SUMMED:
        return tuple(layer.file for layer in layers if layer.table.get(_SUMMED))
    found = origin(layers, keys)
    return () if found is None else (found,)


def _merged(wide: Table, narrow: Table) -> Table:
    """Return a table with its keys overridden by those of a narrower one."""
    if _is_other_device(wide, narrow):
        return narrow
    tables = [key for key in narrow if isinstance(narrow[key], dict) and isinstance(wide.get(key), dict)]
    return {**wide, **narrow, **{key: _merged(wide[key], narrow[key]) for key in tables}}


def _is_other_device(wide: Table, narrow: Table) -> bool:
    return "backend" in wide and "backend" in narrow and wide["backend"] != narrow["backend"]


def _text(file: Path, path: Path) -> str:
    try:
        return read_plain(file).decode("utf-8")
    except OSError as error:
        raise SettingsRefused(path=path, where=LAYERS, detail=f"{file}: {os_reason(error)}") from error
    except UnicodeDecodeError as error:
        raise SettingsRefused(path=file, where="file", detail=f"not TOML: {error}") from error


def _parsed(text: str, path: Path) -> Table:
    try:
        return parse_toml(text)
    except tomllib.TOMLDecodeError as error:
        raise SettingsRefused(path=path, where="file", detail=f"not TOML: {error}") from error
