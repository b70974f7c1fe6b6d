"""The questions on an event: the badge's design, the roster, and the photos shared with the organiser."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from kiosk.catalogue.badge_designs import read_design
from kiosk.catalogue.documents import shipped_folder
from kiosk.setup.ask import InvalidAnswer, Terminal

Section = dict[str, Any]
DESIGNS = shipped_folder() / "badges"
"""The designs shipped with the program."""


def event(ask: Terminal, now: Section, folder: Path) -> Section:
    """Ask for the badge's design, the roster and the photos' folder."""
    ask.heading("The event")
    known = sorted(path.stem for path in DESIGNS.glob("*.toml"))
    ask.say(f"Designs shipped with the program: {', '.join(known)}. specs/badges/README.md explains how to make one.")
    design = ask.value("The badge's design, or the file of your own", _design(folder), now.get("design", known[0]))
    shared = "The roster: a file of this desk, or the address of a PostgreSQL server that several share"
    roster = ask.value(shared, _roster(folder), now.get("roster", "event.db"))
    if "://" not in roster and not (folder / roster).exists():
        ask.say(f"It does not exist yet. Import the list: `holdstill roster import LIST --roster {folder / roster}`.")
    photos = ask.text("A folder for photos that guests share with the organiser; - for none", _photos_folder(now))
    if photos == "-":
        return {"design": design, "roster": roster, "photos_folder": None, "photos_until": None}
    until = ask.value("The day on which all of them are deleted, such as 2027-01-31", _day, str(_until(now)))
    return {"design": design, "roster": roster, "photos_folder": photos, "photos_until": until}


def _photos_folder(now: Section) -> str:
    return now.get("photos_folder") or "-"


def _until(now: Section) -> date | str:
    return now.get("photos_until") or "?"


def _design(folder: Path) -> Callable[[str], str]:
    def read(text: str) -> str:
        own, supplied = folder / text, DESIGNS / f"{text}.toml"
        path = supplied if supplied.is_file() else own
        if not path.is_file():
            raise InvalidAnswer(f"{own} does not exist; give one of the designs above, or a file")
        read_design(path)
        return str(supplied) if path == supplied else text

    return read


def _roster(folder: Path) -> Callable[[str], str]:
    def read(text: str) -> str:
        if "://" in text:
            if not text.startswith("postgresql+psycopg://"):
                raise InvalidAnswer("an address begins with postgresql+psycopg://")
        elif not (folder / text).parent.is_dir():
            raise InvalidAnswer(f"{(folder / text).parent} is not a folder")
        return text

    return read


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise InvalidAnswer("give a day as 2027-01-31") from None
