"""The tables of the ledger as the program reads and writes them; `versions` is how a file came to have them.

Times are UTC; `day` is the day in the zone of the booth when the row was begun, so that a report read elsewhere, or
after the zone's clock has changed, still counts the shop's own days.
"""

from __future__ import annotations

from sqlalchemy import Column, Date, DateTime, Float, ForeignKey, Integer, MetaData, String, Table

METADATA = MetaData()

SESSION = Table(
    "session",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("day", Date, nullable=False),
    Column("began_at", DateTime, nullable=False),
    Column("ended_at", DateTime),
    Column("duration_s", Float),
    Column("ending", String),
    Column("language", String, nullable=False),
    Column("document", String),
    Column("consented_at", DateTime),
)
"""One sitter's way; `duration_s` is by the monotonic clock, and absent where the power was cut."""

SHOT = Table(
    "shot",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("session_id", Integer, ForeignKey("session.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("judged_at", DateTime, nullable=False),
    Column("verdict", String, nullable=False),
)
"""One still; the verdict is pass, fail, refer, unmeasurable, or lost where it did not arrive."""

FINDING = Table(
    "finding",
    METADATA,
    Column("shot_id", Integer, ForeignKey("shot.id"), primary_key=True),
    Column("requirement", String, primary_key=True),
    Column("word", String, nullable=False),
)
"""How a still stood with one requirement: the word and no number."""

SHEET = Table(
    "sheet",
    METADATA,
    Column("key", String, primary_key=True),
    Column("session_id", Integer, ForeignKey("session.id")),
    Column("day", Date, nullable=False),
    Column("begun_at", DateTime, nullable=False),
    Column("ended_at", DateTime),
    Column("document", String, nullable=False),
    Column("medium", String, nullable=False),
    Column("photos", Integer, nullable=False),
    Column("sheets", Integer, nullable=False),
    Column("ended", String),
    Column("reprint_of", String),
    Column("not_certain", String),
)
"""One print job by its key: printed, not_printed, unknown, or nothing while it is with the printer; `reprint_of` is the
key of the sheet that an attendant had printed again, `not_certain` the requirements that the sitter accepted as
doubtful, with a space between two."""

FAULT = Table(
    "fault",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("day", Date, nullable=False),
    Column("began_at", DateTime, nullable=False),
    Column("mended_at", DateTime),
    Column("key", String, nullable=False),
)
"""Something that failed, by the key of its error, until it was mended."""

OVERRIDE = Table(
    "override",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("session_id", Integer, ForeignKey("session.id")),
    Column("day", Date, nullable=False),
    Column("at", DateTime, nullable=False),
    Column("reason", String, nullable=False),
)
"""A shot that an attendant passed, and why."""

ATTENDED = Table(
    "attended",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("session_id", Integer, ForeignKey("session.id")),
    Column("day", Date, nullable=False),
    Column("at", DateTime, nullable=False),
    Column("act", String, nullable=False),
)
"""Something else that an attendant did."""
