"""A walk through `holdstill setup` on answers given beforehand, by the names of its questions."""

import io

from kiosk.setup.ask import Terminal
from kiosk.setup.file import SettingsFile
from kiosk.setup.walk import walk

PIN = "730195"
NEW = {
    "profile": "staffed",
    "name": "till 2",
    "camera": "uvc",
    "device": "0",
    "pixels": "1920x1080",
    "printer": "folder",
    "folder": "prints",
    "paper": "10x15cm",
    "margins": "4",
    "gutter": "2.5",
    "more": "-",
    "own": "-",
    "country": "gb",
    "documents": "gb-passport-print schengen-visa",
    "languages": "en, de",
    "price": "9,50",
    "currency": "gbp",
    "payment": "none",
    "pin": "",
    "again": "",
    "release": "yes",
    "doubt": "yes",
    "reprint": "0",
    "office": "-",
    "write": "yes",
}


def lines(*taken_out, **changes):
    """Return the answers of a booth without an event in the order of their questions, some left out or changed."""
    given = {**NEW, **changes}
    return [
        answer
        for name, answer in given.items()
        if name not in taken_out and (name not in ("again", "release", "doubt", "reprint") or given["pin"])
    ]


def walked(path, answers, system=None):
    """Return whether the file at `path` was written, and what the terminal showed."""
    shown = io.StringIO()
    file = SettingsFile(path, system) if system else SettingsFile(path)
    return walk(file, Terminal(io.StringIO("".join(f"{answer}\n" for answer in answers)), shown)), shown.getvalue()
