"""Show the settings in force, and the file from which each of them comes.

A booth's file may name those of its shop and its chain under `layers`. What no file says is the program's default.
Secrets are left out.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import tomlkit

from kiosk.commands.output import SETTINGS, json_text
from kiosk.errors import EXIT_DONE, shown

WIDEST = 60
"""Characters that a value may take before the origins stand in a column of their own."""
DEFAULT = "default"
"""The origin of a value that no file names."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")
    parser.add_argument("--json", action="store_true", help="print them as JSON")


def run(options: argparse.Namespace) -> int:
    """Print a line per value, which is TOML, or all as JSON."""
    from kiosk.commands.support_bundle import without_secrets
    from kiosk.settings import read_settings
    from kiosk.settings.layers import layers_of, origins

    settings = read_settings(options.settings)
    layers = layers_of(options.settings.read_text(encoding="utf-8"), options.settings)
    rows = [
        (keys, value, ", ".join(map(str, origins(layers, keys))) or DEFAULT)
        for keys, value in _values(without_secrets(settings), ())
    ]
    if options.json:
        print(json_text([{"key": ".".join(keys), "value": value, "origin": where} for keys, value, where in rows]))
        return EXIT_DONE
    lines = [(f"{_dotted(keys)} = {tomlkit.item(_inline(value)).as_string()}", where) for keys, value, where in rows]
    width = min(max(len(line) for line, _ in lines), WIDEST)
    for line, where in lines:
        print(shown(f"{line:<{width}}  # {where}"))
    return EXIT_DONE


def _values(table: dict[str, Any], within: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Any]]:
    """Yield the values of a table and of those in it, each with its keys."""
    for key, value in table.items():
        if isinstance(value, dict) and value:
            yield from _values(value, (*within, key))
        else:
            yield (*within, key), value


def _dotted(keys: tuple[str, ...]) -> str:
    return tomlkit.key(list(keys)).as_string()


def _inline(value: Any) -> Any:
    """Return a value as it is written on one line: tables within a list in braces."""
    if isinstance(value, dict):
        table = tomlkit.inline_table()
        table.update(value)
        return table
    if isinstance(value, list):
        array = tomlkit.array()
        array.extend(_inline(one) for one in value)
        return array
    return value
