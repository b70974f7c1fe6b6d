"""A PostgreSQL server as the store uses it: every wait for it ends, whichever way it falls silent."""

from __future__ import annotations

import os
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

AT_SIGN = "an @ in a password is written as %40"
"""Otherwise the rest of the password counts as the name of a host, which errors name (RFC 3986, 3.2.2)."""
ANSWER_S = 3
"""How long a connection or a transaction may take before it is given up and the booth goes on alone."""
_LEFT_OPEN_S = 10
"""After which the server drops a transaction of a booth that is gone, with the locks that others wait for."""
_ON_SERVER = {
    "statement_timeout": f"{ANSWER_S}s",
    "idle_in_transaction_session_timeout": f"{_LEFT_OPEN_S}s",
    "tcp_keepalives_idle": ANSWER_S,
    "tcp_keepalives_interval": 1,
    "tcp_keepalives_count": 2,
    "tcp_user_timeout": 1000 * ANSWER_S,
}
CONNECTING = {
    "connect_timeout": ANSWER_S,
    "tcp_user_timeout": 1000 * ANSWER_S,
    "keepalives_idle": ANSWER_S,
    "keepalives_interval": 1,
    "keepalives_count": 2,
    "options": " ".join(f"-c {name}={value}" for name, value in _ON_SERVER.items()),
}
"""The same at both ends of the link (PostgreSQL, libpq's connection parameters and the server's); none of these ends
the wait for a server whose machine still answers and whose process does not, which `deadline` does."""


@contextmanager
def deadline(connection: sa.Connection, within_s: float = ANSWER_S) -> Iterator[None]:
    """Break a connection off when what is inside takes too long; psycopg waits for ever otherwise."""
    driver = connection.connection.driver_connection
    assert driver is not None
    with socket.socket(fileno=os.dup(driver.fileno())) as wire:
        timer = threading.Timer(within_s, _break_off, [wire])
        timer.start()
        try:
            yield
        finally:
            timer.cancel()
            timer.join()


def engine_of(url: str, **options: Any) -> sa.Engine:
    """Return an engine for an address.

    Raises
    ------
    sa.exc.ArgumentError, ValueError
        It is none.
    ModuleNotFoundError
        The driver is not installed.
    """
    address = sa.make_url(url)
    if address.host and "@" in address.host:
        raise ValueError(AT_SIGN)
    return sa.create_engine(address, **options)


def reason(error: SQLAlchemyError) -> str:
    """Return why a database was not reached, or refused, on one line and without what it was asked or its address."""
    cause = error.orig if isinstance(error, DBAPIError) else error
    return str(cause).partition("\n")[0] or type(cause).__name__


def _break_off(wire: socket.socket) -> None:
    with suppress(OSError):
        wire.shutdown(socket.SHUT_RDWR)
