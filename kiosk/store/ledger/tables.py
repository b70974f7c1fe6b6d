"""The ledger's tables as the program reads and writes them; `versions` creates and upgrades them in a file.

Times are UTC; `day` is the local day of the booth when the row was created, so that a report still counts the shop's
own days if it is read elsewhere or after a change of the time zone.
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
"""One sitter's session; `duration_s` is by the monotonic clock, and missing if the power was cut."""

SHOT = Table(
    "shot",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("session_id", Integer, ForeignKey("session.id"), nullable=False),
    Column("number", Integer, nullable=False),
    Column("judged_at", DateTime, nullable=False),
    Column("verdict", String, nullable=False),
)
"""One still; the verdict is pass, fail, refer, unmeasurable, or lost if the still did not arrive."""

FINDING = Table(
    "finding",
    METADATA,
    Column("shot_id", Integer, ForeignKey("shot.id"), primary_key=True),
    Column("requirement", String, primary_key=True),
    Column("word", String, nullable=False),
)
"""The outcome of one requirement for a still, without its value."""

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
    Column("bill", String),
    Column("price", Integer),
)
"""One print job by its key; `ended` is printed, not_printed or unknown, and NULL while the printer has it. `reprint_of`
is the key of the sheet that an attendant had printed again, `not_certain` the space-separated requirements that the
sitter accepted as doubtful. A sheet that was paid for has the key of its bill, and its price in minor units."""

PAYMENT = Table(
    "payment",
    METADATA,
    Column("key", String, primary_key=True),
    Column("bill", String, nullable=False),
    Column("session_id", Integer, ForeignKey("session.id")),
    Column("day", Date, nullable=False),
    Column("asked_at", DateTime, nullable=False),
    Column("ended_at", DateTime),
    Column("currency", String, nullable=False),
    Column("asked", Integer, nullable=False),
    Column("paid", Integer, nullable=False),
    Column("refunded", Integer, nullable=False),
    Column("settled", Integer, nullable=False),
    Column("ended", String),
)
"""One request to the payment unit by its key; amounts are minor units of the currency (ISO 4217). `bill` is the key of
the sitter's first payment, whose row has what the attendant `settled`. `ended` is approved, declined or cancelled, and
NULL while nobody knows. What a bill still owes is the sum of `paid` less `refunded` and `settled`, less the price of
its printed sheets."""

HANDED = Table(
    "handed",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("session_id", Integer, ForeignKey("session.id")),
    Column("day", Date, nullable=False),
    Column("at", DateTime, nullable=False),
    Column("document", String, nullable=False),
    Column("way", String, nullable=False),
)
"""A photo that was taken away as a file: for which document, and whether on a phone or a stick. The session is over by
then, and is not named."""

FAULT = Table(
    "fault",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("day", Date, nullable=False),
    Column("began_at", DateTime, nullable=False),
    Column("mended_at", DateTime),
    Column("key", String, nullable=False),
)
"""A fault by the key of its error, with its beginning and end."""

OVERRIDE = Table(
    "override",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("session_id", Integer, ForeignKey("session.id")),
    Column("day", Date, nullable=False),
    Column("at", DateTime, nullable=False),
    Column("reason", String, nullable=False),
)
"""A shot that an attendant passed, with the reason."""

ATTENDED = Table(
    "attended",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("session_id", Integer, ForeignKey("session.id")),
    Column("day", Date, nullable=False),
    Column("at", DateTime, nullable=False),
    Column("act", String, nullable=False),
)
"""Any other action of an attendant."""

OUTBOX = Table(
    "outbox",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=True),
    Column("generation", String, nullable=False),
    Column("at", DateTime, nullable=False),
    Column("fact", String, nullable=False),
    sqlite_autoincrement=True,
)
"""A fact that is still to be sent to an office's database, as JSON; `kiosk.store.ledger.outbox`."""
