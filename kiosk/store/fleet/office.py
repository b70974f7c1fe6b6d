"""The office's database: what a booth writes there, and nothing beside it."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import SQLAlchemyError

from kiosk.errors import MissingPart, OfficeUnreachable
from kiosk.store.server import ANSWER_S, AT_SIGN, CONNECTING, deadline, engine_of, reason

COLUMNS = (
    "booth",
    "generation",
    "number",
    "at",
    "day",
    "kind",
    "session",
    "language",
    "document",
    "shot",
    "verdict",
    "words",
    "sheet",
    "medium",
    "photos",
    "sheets",
    "reprint_of",
    "not_certain",
    "ended",
    "reason",
    "act",
    "fault",
    "ending",
    "duration_s",
    "amount",
    "price",
    "currency",
)
"""Everything that a booth can say of a fact: no picture, no name and no measurement of a face has a place in it."""

_NAMES = ", ".join(COLUMNS)
_TAKE = sa.text(
    f"INSERT INTO fact ({_NAMES}) SELECT {_NAMES} "
    "FROM jsonb_populate_recordset(CAST(NULL AS fact), CAST(:facts AS jsonb)) ON CONFLICT DO NOTHING"
)
_GREET = sa.text(
    "INSERT INTO booth (name, region, heard_at, sheets_left, few_sheets, supplies) "
    "VALUES (:booth, :region, now(), :sheets_left, :few_sheets, CAST(:supplies AS jsonb)) "
    "ON CONFLICT (name) DO UPDATE SET region = EXCLUDED.region, heard_at = EXCLUDED.heard_at, "
    "sheets_left = EXCLUDED.sheets_left, few_sheets = EXCLUDED.few_sheets, supplies = EXCLUDED.supplies"
)


@dataclass(frozen=True, slots=True)
class SupplyLeft:
    """What a booth's printer has left of a ribbon or an ink, and from where on that is little, in percent."""

    name: str
    percent: int
    few_percent: int


@dataclass(frozen=True, slots=True)
class BoothStanding:
    """How a booth stands now, which is no fact of the past.

    Attributes
    ----------
    region
        The part of the chain to which it belongs.
    sheets_left, few_sheets
        The attendant's count of sheets, None where nobody has counted them, and from where on they are few.
    supplies
        What its printers have left; nothing where they do not say.
    """

    region: str = ""
    sheets_left: int | None = None
    few_sheets: int = 0
    supplies: tuple[SupplyLeft, ...] = ()


class Office:
    """The office's database; a connection is open only while it is used, so that it may have very many booths.

    Parameters
    ----------
    url
        An SQLAlchemy URL, `postgresql+psycopg://…`.

    Raises
    ------
    OfficeUnreachable
        Here and in every transaction: the database does not respond or refuses, or the URL is none.
    MissingPart
        The driver is not installed.
    """

    def __init__(self, url: str) -> None:
        try:
            self._engine = engine_of(url, connect_args=CONNECTING, poolclass=sa.NullPool)
        except (sa.exc.ArgumentError, ValueError):
            detail = f"its address is none; {AT_SIGN}"  # it is left out, for its password
            raise OfficeUnreachable(detail=detail) from None
        except ModuleNotFoundError as error:
            raise MissingPart(part=error.name, detail="the driver of that database is not installed") from error

    @contextmanager
    def transaction(self, within_s: float = ANSWER_S) -> Iterator[sa.Connection]:
        """Do all of what is inside, or nothing of it.

        Nobody knows whether the last transaction of a server that is lost was done.
        """
        try:
            with self._engine.connect() as connection, deadline(connection, within_s), connection.begin():
                yield connection
        except SQLAlchemyError as error:
            raise OfficeUnreachable(detail=reason(error)) from error

    def take(self, booth: str, facts: Sequence[dict[str, Any]], standing: BoothStanding | None = None) -> None:
        """Take a booth's facts; those that the database already has are left as they are.

        Parameters
        ----------
        booth
            The booth's name.
        facts
            By the names of `COLUMNS`, without the booth.
        standing
            How the booth stands, if it says so.

        Raises
        ------
        OfficeUnreachable
            Whether the facts were taken is unknown, and they must be sent again.
        """
        said = json.dumps([{"booth": booth, **fact} for fact in facts])
        with self.transaction() as transaction:
            if standing is not None:
                transaction.execute(_GREET, _greeting(booth, standing))
            if facts:
                transaction.execute(_TAKE, {"facts": said})

    def check(self, booth: str) -> None:
        """Find out whether this address could send a booth's facts; nothing is left in the database.

        Parameters
        ----------
        booth
            The booth's name, which must be the role's.

        Raises
        ------
        OfficeUnreachable
            It could not, and why.
        """
        with self.transaction() as transaction:
            transaction.execute(_TAKE, {"facts": "[]"})
            with transaction.begin_nested() as tried:
                transaction.execute(_GREET, _greeting(booth, BoothStanding()))
                tried.rollback()


def _greeting(booth: str, standing: BoothStanding) -> dict[str, Any]:
    supplies = json.dumps([asdict(supply) for supply in standing.supplies])
    return {"booth": booth, **asdict(standing), "supplies": supplies}
