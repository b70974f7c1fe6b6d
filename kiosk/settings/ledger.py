"""Where the booth sends its facts, beside its own ledger."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from kiosk.settings.section import Section

ADDRESS = "postgresql+psycopg://"
"""How the address of an office's database begins."""


def _address(url: str) -> str:
    if url and not url.startswith(ADDRESS):
        raise ValueError(f"an address begins with {ADDRESS}")  # without what was written, for its password
    return url


class LedgerSettings(Section):
    """The office's database, to which a booth of several sends its facts; without one nothing leaves the booth.

    Attributes
    ----------
    database
        An address of a PostgreSQL server, `postgresql+psycopg://…`; `booth.name` is the booth's name there.
    region
        The part of the chain to which the booth belongs, by which the office can ask.
    """

    database: Annotated[str, AfterValidator(_address)] = ""
    region: str = Field(default="", max_length=40)
