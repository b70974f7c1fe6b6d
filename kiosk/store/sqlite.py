"""SQLite as the store uses it: a transaction that was committed survives a power cut."""

from __future__ import annotations

import sqlite3

from sqlalchemy import Connection, Engine, event


def make_durable(engine: Engine) -> None:
    """Set up every connection of an SQLite engine for durable transactions.

    A write-ahead log with FULL synchronisation keeps committed transactions over a power cut
    (https://www.sqlite.org/pragma.html#pragma_synchronous). Each transaction takes the write lock when it begins, so
    that nothing it has read can change before it writes. It is begun by hand, because sqlite3's own way of beginning
    transactions leaves changes of tables outside.
    """
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin_immediate)


def _prepare(connection: sqlite3.Connection, _record: object) -> None:
    connection.isolation_level = None
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON"):
        connection.execute(f"PRAGMA {pragma}")


def _begin_immediate(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")
