"""The outbox: what an office's database has not confirmed yet, in the order in which it became a fact.

An entry is written in the transaction of the rows it describes, and removed once the office has it. Its number is
unique within its generation, and a generation is one opening of a file: whatever becomes of the file afterwards, such
as a copy of last week put in its place, no two different facts ever have the same generation and number, and an entry
that was sent before keeps both.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select

from kiosk.store.ledger.tables import OUTBOX

SentFact = dict[str, Any]
"""A fact as the office has it, by the names of its columns: all of them but the booth's name."""


@dataclass(frozen=True, slots=True)
class Unsent:
    """How many facts wait for the office, and the moment of the oldest one."""

    count: int = 0
    since: datetime | None = None


@dataclass(frozen=True, slots=True)
class Outbox:
    """The outbox of a ledger that was opened; `generation` is new each time."""

    generation: str = field(default_factory=lambda: str(uuid.uuid4()))

    def put(self, connection: Connection, kind: str, at: datetime, day: date, **columns: object) -> None:
        """Enter a fact.

        Parameters
        ----------
        connection
            In the transaction that writes the fact to the ledger.
        kind
            Which fact it is.
        at
            When it became one, in UTC without a zone, as the ledger's tables have it.
        day
            The day of its row in the ledger, by which reports count it.
        columns
            Everything else about it; None and empty texts are left out.
        """
        said = {name: value for name, value in columns.items() if value not in (None, "")}
        fact = {"kind": kind, "at": at.replace(tzinfo=UTC).isoformat(), "day": day.isoformat(), **said}
        entry = {"generation": self.generation, "at": at, "fact": json.dumps(fact)}
        connection.execute(insert(OUTBOX).values(entry))


def enter(connection: Connection, outbox: Outbox | None, kind: str, at: datetime, day: date, **columns: object) -> None:
    """Enter a fact, as `Outbox.put` does, where there is an outbox."""
    if outbox is not None:
        outbox.put(connection, kind, at, day, **columns)


def oldest(connection: Connection, count: int) -> Iterator[SentFact]:
    """Yield up to `count` facts in order."""
    for number, generation, fact in connection.execute(
        select(OUTBOX.c.number, OUTBOX.c.generation, OUTBOX.c.fact).order_by(OUTBOX.c.number).limit(count)
    ):
        yield {"generation": generation, "number": number, **json.loads(fact)}


def remove(connection: Connection, facts: Sequence[SentFact]) -> None:
    """Remove facts that `oldest` returned; where the file is another one by now, it has none of their generations."""
    of_these = OUTBOX.c.number.between(facts[0]["number"], facts[-1]["number"])
    generations = {fact["generation"] for fact in facts}
    connection.execute(delete(OUTBOX).where(of_these, OUTBOX.c.generation.in_(generations)))


def unsent(connection: Connection) -> Unsent:
    """Return how many facts there are, and since when: their numbers have no gap, so that none of them is counted."""
    by_number = select(OUTBOX.c.number, OUTBOX.c.at).order_by(OUTBOX.c.number)
    first = connection.execute(by_number.limit(1)).one_or_none()
    if first is None:
        return Unsent()
    last = connection.execute(select(func.max(OUTBOX.c.number))).scalar_one()
    return Unsent(last - first.number + 1, first.at.replace(tzinfo=UTC))
