"""The statements that upgrade a ledger's file from each version to the next; `PRAGMA user_version` is its version.

A version that booths may have is never edited; every change of the tables is a new version at the end.
"""

from __future__ import annotations

from sqlalchemy import Connection

APPLICATION_ID = 0x484C5354
"""`PRAGMA application_id` of a ledger: the letters HLST."""

VERSIONS: tuple[tuple[str, ...], ...] = (
    (
        """CREATE TABLE session (
            id INTEGER NOT NULL PRIMARY KEY, day DATE NOT NULL, began_at DATETIME NOT NULL, ended_at DATETIME,
            duration_s FLOAT, ending VARCHAR, language VARCHAR NOT NULL, document VARCHAR, consented_at DATETIME)""",
        "CREATE INDEX session_day ON session (day)",
        """CREATE TABLE shot (
            id INTEGER NOT NULL PRIMARY KEY, session_id INTEGER NOT NULL REFERENCES session (id),
            number INTEGER NOT NULL, judged_at DATETIME NOT NULL, verdict VARCHAR NOT NULL)""",
        "CREATE INDEX shot_session ON shot (session_id)",
        """CREATE TABLE finding (
            shot_id INTEGER NOT NULL REFERENCES shot (id), requirement VARCHAR NOT NULL, word VARCHAR NOT NULL,
            PRIMARY KEY (shot_id, requirement)) WITHOUT ROWID""",
        """CREATE TABLE sheet (
            "key" VARCHAR NOT NULL PRIMARY KEY, session_id INTEGER REFERENCES session (id), day DATE NOT NULL,
            begun_at DATETIME NOT NULL, ended_at DATETIME, document VARCHAR NOT NULL, medium VARCHAR NOT NULL,
            photos INTEGER NOT NULL, sheets INTEGER NOT NULL, ended VARCHAR)""",
        "CREATE INDEX sheet_day ON sheet (day)",
        """CREATE TABLE fault (
            id INTEGER NOT NULL PRIMARY KEY, day DATE NOT NULL, began_at DATETIME NOT NULL, mended_at DATETIME,
            "key" VARCHAR NOT NULL)""",
        "CREATE INDEX fault_day ON fault (day)",
    ),
    (
        """CREATE TABLE override (
            id INTEGER NOT NULL PRIMARY KEY, session_id INTEGER REFERENCES session (id), day DATE NOT NULL,
            "at" DATETIME NOT NULL, reason VARCHAR NOT NULL)""",
        "CREATE INDEX override_day ON override (day)",
        """CREATE TABLE attended (
            id INTEGER NOT NULL PRIMARY KEY, session_id INTEGER REFERENCES session (id), day DATE NOT NULL,
            "at" DATETIME NOT NULL, act VARCHAR NOT NULL)""",
        "CREATE INDEX attended_day ON attended (day)",
    ),
    ("ALTER TABLE sheet ADD COLUMN reprint_of VARCHAR",),
    ("ALTER TABLE sheet ADD COLUMN not_certain VARCHAR",),
    (
        """CREATE TABLE outbox (
            number INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, generation VARCHAR NOT NULL, "at" DATETIME NOT NULL,
            fact VARCHAR NOT NULL)""",
    ),
    (
        "ALTER TABLE sheet ADD COLUMN bill VARCHAR",
        "ALTER TABLE sheet ADD COLUMN price INTEGER",
        """CREATE TABLE payment (
            "key" VARCHAR NOT NULL PRIMARY KEY, bill VARCHAR NOT NULL, session_id INTEGER REFERENCES session (id),
            day DATE NOT NULL, asked_at DATETIME NOT NULL, ended_at DATETIME, currency VARCHAR NOT NULL,
            asked INTEGER NOT NULL, paid INTEGER NOT NULL, refunded INTEGER NOT NULL, settled INTEGER NOT NULL,
            ended VARCHAR)""",
        "CREATE INDEX payment_day ON payment (day)",
        "CREATE INDEX payment_bill ON payment (bill)",
    ),
    (
        """CREATE TABLE handed (
            id INTEGER NOT NULL PRIMARY KEY, session_id INTEGER REFERENCES session (id), day DATE NOT NULL,
            "at" DATETIME NOT NULL, document VARCHAR NOT NULL, way VARCHAR NOT NULL)""",
        "CREATE INDEX handed_day ON handed (day)",
    ),
)


def version_of(connection: Connection) -> int:
    """Return the version of a ledger, 0 for an empty file."""
    return int(connection.exec_driver_sql("PRAGMA user_version").scalar_one())


def bring_up_to_date(connection: Connection, last: int = len(VERSIONS)) -> None:
    """Upgrade a ledger to version `last`; the caller's transaction makes the upgrade atomic."""
    for statements in VERSIONS[version_of(connection) : last]:
        for statement in statements:
            connection.exec_driver_sql(statement)
    connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.exec_driver_sql(f"PRAGMA user_version = {last}")
