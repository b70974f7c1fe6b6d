"""What is typed as an answer, read: each function returns the value for the settings, or raises `InvalidAnswer`."""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from pathlib import Path

from babel.numbers import is_currency

from kiosk.catalogue.documents import Catalogue
from kiosk.core.view.kept_sheet import MOST_MINUTES
from kiosk.settings.cameras import rtsp_address
from kiosk.setup.ask import InvalidAnswer


def minutes(text: str) -> int:
    """Return whole minutes for which a sheet is kept."""
    if not text.isdecimal() or int(text) > MOST_MINUTES:
        raise InvalidAnswer(f"give whole minutes from 0 to {MOST_MINUTES}")
    return int(text)


def or_none(text: str) -> str:
    """Return an answer, or nothing for a dash."""
    return "" if text == "-" else text


def booth_name(text: str) -> str:
    """Return a booth's name, or nothing for a dash."""
    if not re.fullmatch(r"-|[A-Za-z0-9][A-Za-z0-9 ._-]{0,39}", text):
        raise InvalidAnswer("use letters, digits, spaces, dots and dashes")
    return or_none(text)


def device(text: str) -> int | str:
    """Return a webcam's number, or its path."""
    return int(text) if text.isdecimal() else text


def stream(text: str) -> str:
    """Return an address of RTSP."""
    try:
        return rtsp_address(text)
    except ValueError as error:
        raise InvalidAnswer(str(error)) from None


def pixels(text: str) -> list[int]:
    """Return a width and a height in pixels."""
    found = re.fullmatch(r"(\d{3,5})\s*[x×, ]\s*(\d{3,5})", text)
    if found is None:
        raise InvalidAnswer("give width x height, such as 4000 x 6000")
    return [int(found[1]), int(found[2])]


def own_folder(folder: Path, base: Path) -> Callable[[str], str]:
    """Return a reader of a folder of documents, relative to `folder`, whose documents must be right beside `base`."""

    def read(text: str) -> str:
        if text != "-" and not (folder / text).is_dir():
            raise InvalidAnswer(f"{folder / text} is not a folder")
        if text != "-":
            Catalogue.beside(folder / text, base)
        return or_none(text)

    return read


def country(text: str) -> str:
    """Return a country's two letters (ISO 3166-1), a dash for none."""
    if text != "-" and not re.fullmatch(r"[A-Za-z]{2}", text):
        raise InvalidAnswer("give the two letters of ISO 3166, such as GB, DE or US")
    return or_none(text.upper())


def price(text: str) -> float | None:
    """Return a price, None for a dash."""
    if text == "-":
        return None
    try:
        amount = Decimal(text.replace(",", "."))
    except InvalidOperation:
        raise InvalidAnswer("give a number, such as 9.50") from None
    if not 0 <= amount < 10**6:
        raise InvalidAnswer("give a number from 0 to 999999")
    return float(amount)


def currency(text: str) -> str:
    """Return a currency's three letters (ISO 4217)."""
    if not is_currency(text.upper()):
        raise InvalidAnswer("give the three letters of ISO 4217, such as EUR or GBP")
    return text.upper()
