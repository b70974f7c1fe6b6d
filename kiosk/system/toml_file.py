"""Read TOML files of rules or designs, and report the first fault in one as a sentence."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from kiosk.core.document.limits import RuleError
from kiosk.errors import RulesRefused, os_reason
from kiosk.system.plain_file import read_plain


def parse_toml(text: str) -> dict[str, Any]:
    """Return what a text holds, as `tomllib.loads`, which has no bound of its own for brackets in brackets.

    Raises
    ------
    tomllib.TOMLDecodeError
        It is no TOML.
    """
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise tomllib.TOMLDecodeError("brackets stand too deep within brackets") from None


def read_table(path: Path) -> dict[str, Any]:
    """Return the content of a TOML file.

    Raises
    ------
    RulesRefused
        The file cannot be read, or is not TOML.
    """
    try:
        return parse_toml(read_plain(path).decode("utf-8"))
    except OSError as error:
        raise RulesRefused(path=path, where="file", detail=os_reason(error)) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise RulesRefused(path=path, where="TOML", detail=str(error)) from error


def refusal(path: Path, error: ValidationError) -> RulesRefused:
    """Return the first validation error of a file, with its key, as this program's error."""
    first = error.errors(include_url=False)[0]
    cause = first.get("ctx", {}).get("error")
    keys = [str(part + 1 if isinstance(part, int) else part) for part in first["loc"]]
    if isinstance(cause, RuleError):
        keys.append(cause.key)
    reason = str(cause) if isinstance(cause, ValueError) else first["msg"]
    if first["type"] == "extra_forbidden":
        reason = "unknown key"
    return RulesRefused(path=path, where=".".join(keys) or "file", detail=reason[:1].lower() + reason[1:])
