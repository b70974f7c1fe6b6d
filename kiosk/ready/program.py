"""Check the program's own parts: typefaces, languages, and dependencies in versions that are known to fail."""

from __future__ import annotations

import platform
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from typing import get_args

from fontTools.ttLib import TTFont, TTLibError

from kiosk.core.view.finding import Finding
from kiosk.fonts import FontName, font_path
from kiosk.i18n import available, is_reviewed, native_name


@dataclass(frozen=True, slots=True)
class KnownFault:
    """Versions of a part that fail, from `first_bad` up to but not including `first_good`."""

    part: str
    first_bad: tuple[int, ...]
    first_good: tuple[int, ...] | None
    fault: str

    def has(self, found: tuple[int, ...]) -> bool:
        """Return whether a version has the fault."""
        return found >= self.first_bad and (self.first_good is None or found < self.first_good)


KNOWN_FAULTS = (
    KnownFault("mediapipe", (0, 10, 22), None, "carries no face models, or opens a connection to its maker"),
    KnownFault("mediapipe", (0,), (0, 10, 21), "was not measured with this program"),
    KnownFault("numpy", (2,), None, "does not go with the face models' library"),
    KnownFault("python", (3, 13), None, "has no build of the face models' library"),
)
"""DEVELOPERS.md, section Dependencies, has the reasons."""

PARTS = ("mediapipe", "numpy", "opencv-python", "pillow", "pygame-ce", "gphoto2", "pydantic")


def program_findings(languages: Sequence[str], installed: Mapping[str, str] | None = None) -> list[Finding]:
    """Return the findings on typefaces, languages and installed versions."""
    found = installed_versions() if installed is None else installed
    return [_typefaces(), *_languages(languages), *_versions(found)]


def installed_versions() -> dict[str, str]:
    """Return the version of Python and of each installed part."""
    found = {"python": platform.python_version()}
    for part in PARTS:
        try:
            found[part] = version(part)
        except PackageNotFoundError:
            continue
    return found


def _typefaces() -> Finding:
    names: tuple[FontName, ...] = get_args(FontName)
    damaged = [name for name in names if not _opens(name)]
    return Finding(
        "typefaces",
        len(names) - len(damaged),
        "count",
        not damaged,
        f"{len(names) - len(damaged)} of {len(names)} typefaces can be opened"
        + (f"; not {', '.join(damaged)}." if damaged else "."),
        "Install the program again.",
        "program",
        stops=bool(damaged),
    )


def _opens(name: FontName) -> bool:
    try:
        with font_path(name).open("rb") as file, TTFont(file, lazy=True) as font:
            return "cmap" in font and ("glyf" in font or "CFF " in font)
    except (OSError, TTLibError):
        return False


def _languages(tags: Sequence[str]) -> Iterator[Finding]:
    known = [tag for tag in tags if tag in available()]
    for tag in tags:
        if tag not in known:
            advice = f"Correct booth.languages in the settings: there are {', '.join(available())}."
            sentence = f"There is no translation for the language {tag!r}."
            yield Finding("language", tag, "", False, sentence, advice, "program", stops=True)
    unread = [native_name(tag) for tag in known if not is_reviewed(tag)]
    review = f"no native speaker has reviewed {', '.join(unread)}" if unread else "native speakers have reviewed all"
    sentence = f"Languages offered: {len(known)}; {review}."
    yield Finding("languages", len(known), "count", True, sentence, subject="program")


def _versions(found: Mapping[str, str]) -> Iterator[Finding]:
    listed = ", ".join(f"{part} {number}" for part, number in found.items())
    yield Finding("versions", listed, "", True, f"Installed: {listed}.", subject="program")
    for fault in KNOWN_FAULTS:
        number = found.get(fault.part, "")
        if number and fault.has(_numbers(number)):
            yield Finding(
                "known_fault",
                f"{fault.part} {number}",
                "",
                False,
                f"{fault.part} {number} {fault.fault}.",
                "Run hardware/os/install again: it installs the tested versions.",
                "program",
            )


def _numbers(text: str) -> tuple[int, ...]:
    """Return the release segment of a version (PEP 440), such as (0, 10, 21) for `0.10.21rc1`."""
    release = re.match(r"\d+(?:\.\d+)*", text)
    return tuple(int(number) for number in release.group().split(".")) if release else ()
