"""One request to the terminal and its answer: to one private address, within a time, without redirect or proxy."""

from __future__ import annotations

import http.client
import json
import socket
import ssl
import threading
import urllib.parse
from dataclasses import dataclass, field
from typing import Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError

LIMIT_S = 5.0
"""How long a request may take altogether, on a network of one building (this project's own choice)."""
MOST_BYTES = 16_384
"""How long an answer may be; a right one has some hundred bytes."""


class NoAnswer(Exception):
    """The terminal may or may not have got the request; `is_unsent` where it surely has not."""

    def __init__(self, detail: str, *, is_unsent: bool = False) -> None:
        super().__init__(detail)
        self.is_unsent = is_unsent


class Refused(Exception):
    """The terminal has answered that it does not do what was asked."""


class Reply(BaseModel):
    """What the terminal says of a payment; whatever else it says is ignored and kept nowhere."""

    model_config = ConfigDict(extra="ignore", frozen=True, strict=True)

    key: str
    state: Literal["pending", "approved", "declined", "cancelled"]
    paid: int = Field(default=0, ge=0, le=10**12)
    refunded: int = Field(default=0, ge=0, le=10**12)


class Standing(BaseModel):
    """Whether the terminal could take a payment now."""

    model_config = ConfigDict(extra="ignore", frozen=True, strict=True)

    ready: bool


Answer = TypeVar("Answer", bound=BaseModel)


@dataclass(frozen=True)
class Wire:
    """The one address that the settings name.

    Attributes
    ----------
    address
        `http` or `https`, a private IP address, and perhaps a port and a path.
    certificate
        A file with the certificate that the terminal must show; empty trusts those that the machine trusts.
    token
        What the booth proves itself with; empty for nothing.
    """

    address: str
    certificate: str = ""
    token: str = field(default="", repr=False)
    limit_s: float = LIMIT_S

    def standing(self) -> Standing:
        """Ask whether a payment could be taken; errors as `payment`."""
        return _valid(Standing, self._ask("GET", "/", None))

    def payment(self, method: Literal["GET", "PUT", "DELETE"], path: str, body: dict[str, object] | None) -> Reply:
        """Ask about a payment.

        Raises
        ------
        NoAnswer
            No answer came in time, or none of the protocol.
        Refused
            The terminal has refused.
        """
        return _valid(Reply, self._ask(method, f"/payments/{path}", body))

    def _ask(self, method: str, path: str, body: dict[str, object] | None) -> bytes:
        where = urllib.parse.urlsplit(self.address)
        headers = {"Connection": "close", "Accept": "application/json"}
        if self.token:
            headers["Authorization"] = f"Bearer {self.token}"
        content = None if body is None else json.dumps(body).encode()
        if content is not None:
            headers["Content-Type"] = "application/json"
        try:
            connection = self._connection(where)
            connection.connect()
        except (OSError, http.client.HTTPException) as error:
            raise NoAnswer(f"it cannot be reached: {_reason(error)}", is_unsent=True) from error
        silence = threading.Timer(self.limit_s, _hang_up, (connection.sock,))
        silence.start()
        try:
            connection.request(method, f"{where.path.rstrip('/')}{path}", content, headers)
            response = connection.getresponse()
            answer = response.read(MOST_BYTES + 1)
        except (OSError, http.client.HTTPException) as error:
            raise NoAnswer(f"it does not answer: {_reason(error)}") from error
        finally:
            silence.cancel()
            connection.close()
        return _checked(response.status, answer)

    def _connection(self, where: urllib.parse.SplitResult) -> http.client.HTTPConnection:
        host = where.hostname or ""
        if where.scheme == "http":
            return http.client.HTTPConnection(host, where.port, timeout=self.limit_s)
        trusted = ssl.create_default_context(cafile=self.certificate or None)
        return http.client.HTTPSConnection(host, where.port, timeout=self.limit_s, context=trusted)


def _valid(kind: type[Answer], answer: bytes) -> Answer:
    try:
        return kind.model_validate_json(answer)
    except ValidationError as error:
        raise NoAnswer("its answer is none of the protocol's") from error


def _checked(status: int, answer: bytes) -> bytes:
    """Return an answer of success; one that leads elsewhere is none."""
    if 400 <= status < 500 or status == http.HTTPStatus.SERVICE_UNAVAILABLE:
        raise Refused(f"it refuses with HTTP status {status}")
    if status not in (http.HTTPStatus.OK, http.HTTPStatus.CREATED):
        raise NoAnswer(f"it answers with HTTP status {status}")
    if len(answer) > MOST_BYTES:
        raise NoAnswer(f"its answer has more than {MOST_BYTES} bytes")
    return answer


def _hang_up(connected: socket.socket) -> None:
    """End a connection on which answers come too slowly."""
    try:
        connected.shutdown(socket.SHUT_RDWR)
    except OSError:
        return


def _reason(error: Exception) -> str:
    return str(getattr(error, "strerror", None) or error or type(error).__name__).lower()
