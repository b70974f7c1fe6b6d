"""A zip file with what support needs from a faulty booth: no picture, no secret, no person's name.

Every part is text generated here. The settings are written from the parsed values, without comments, in which somebody
may have noted a PIN.
"""

from __future__ import annotations

import io
import json
import platform
import zipfile
from collections.abc import Sequence
from typing import Any

import tomlkit

from kiosk import __version__
from kiosk.core.view.finding import Finding
from kiosk.ready.program import installed_versions
from kiosk.ready.table import table
from kiosk.settings import Settings
from kiosk.system.json_log import JsonRecord, last_lines

LINES = 2000
FAULTS = 200
LEFT_OUT = "(left out)"
_FAULT_LEVELS = ("warning", "error", "critical")


def packed(settings: Settings, findings: Sequence[Finding]) -> bytes:
    """Return the zip file for a booth.

    Parameters
    ----------
    findings
        The findings of the booth's checks.
    """
    log = last_lines(settings.path(settings.logs.folder), LINES) if settings.logs.folder else []
    faults = [line for line in log if line.get("level") in _FAULT_LEVELS][-FAULTS:]
    return _zipped(
        {
            "versions.json": _text(versions()),
            "settings.toml": f"# from {settings.file.name}\n{tomlkit.dumps(without_secrets(settings))}",
            "ready.txt": table(findings) + "\n",
            "faults.jsonl": _lines(faults),
            "log.jsonl": _lines(log),
        }
    )


def packed_without_settings(why: str) -> bytes:
    """Return the zip file for a booth whose settings cannot be read."""
    return _zipped({"versions.json": _text(versions()), "settings.txt": why + "\n"})


def versions() -> dict[str, object]:
    """Return the versions of the program, its dependencies and the operating system."""
    try:
        system = platform.freedesktop_os_release().get("PRETTY_NAME", "")
    except OSError:
        system = platform.system()
    return {
        "holdstill": __version__,
        "system": system,
        "kernel": platform.release(),
        "machine": platform.machine(),
        **installed_versions(),
    }


def without_secrets(settings: Settings) -> dict[str, Any]:
    """Return the settings without hashes of secrets, confirming people, databases' addresses and passwords."""
    kept: dict[str, Any] = settings.model_dump(mode="json", exclude_none=True, exclude={"file"})
    kept["attendant"]["pin_hash"] = LEFT_OUT
    if kept["attendant"].get("page", {}).get("metrics_hash"):
        kept["attendant"]["page"]["metrics_hash"] = LEFT_OUT
    for confirmation in kept["confirmations"]:
        confirmation["by"] = LEFT_OUT
    kept["camera"] |= {key: LEFT_OUT for key in ("user", "password") if kept["camera"].get(key)}
    stream, equals, _ = kept["camera"].get("address", "").partition("=")
    if equals:
        kept["camera"]["address"] = f"{stream}={LEFT_OUT}"  # many cameras have their password in the stream's name
    if "://" in kept.get("event", {}).get("roster", ""):
        kept["event"]["roster"] = LEFT_OUT
    if kept["ledger"]["database"]:
        kept["ledger"]["database"] = LEFT_OUT
    return kept


def _text(facts: dict[str, object]) -> str:
    return json.dumps(facts, indent=2, ensure_ascii=False) + "\n"


def _lines(lines: list[JsonRecord]) -> str:
    return "".join(json.dumps(line, ensure_ascii=False) + "\n" for line in lines)


def _zipped(parts: dict[str, str]) -> bytes:
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return content.getvalue()
