"""Sign-ins on the page, the token of a monitoring server, and rate limits, all in memory and gone with the program."""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import math
import secrets
from collections.abc import Callable
from dataclasses import dataclass, field

IDLE_S, LONGEST_S = 900.0, 12 * 3600.0
"""A sign-in ends after this time without activity, and after this time in any case. NIST SP 800-63B, 4.2.3 has 30 min
and 12 h at AAL2 (from memory); because a phone is carried about, it gets half of the first."""
MOST_SIGNED_IN = 8
BURST, PER_S = 30, 2.0
"""Requests an address may make at once, and a second in the long run; the page asks every two seconds by itself."""
READINGS, READINGS_PER_S = 10, 0.5
"""The same for the metrics, which a monitoring server reads every 15 s or so."""
LEAST_TOKEN = 32
"""The fewest characters of a token: 128 bits as hexadecimal digits, too many to be guessed from its hash."""
IPV6_HOST_BITS = 64
"""Of an IPv6 address, which a device may choose as it likes (RFC 4291, 2.5.1); the rest counts as the address."""
MOST_ADDRESSES = 1000
"""How many are remembered; beyond them all begin anew."""


@dataclass
class SignedIn:
    """One signed-in phone or till."""

    host: str
    since_s: float
    touched_s: float
    form_token: str = field(default_factory=lambda: secrets.token_urlsafe(32), repr=False)

    def takes(self, token: str) -> bool:
        """Return whether a form carries this sign-in's own token."""
        return hmac.compare_digest(self.form_token.encode(), token.encode())


class Allowance:
    """What each address may still do: a bucket of `burst` that fills at `per_s` a second."""

    def __init__(self, now_s: Callable[[], float], burst: int, per_s: float) -> None:
        self._now_s = now_s
        self._burst = float(burst)
        self._per_s = per_s
        self._left: dict[str, tuple[float, float]] = {}

    def takes(self, address: str) -> bool:
        """Count one act of an address; return whether it may be done."""
        now_s = self._now_s()
        if len(self._left) > MOST_ADDRESSES:
            self._left.clear()
        left, last_s = self._left.get(address, (self._burst, now_s))
        left = min(left + (now_s - last_s) * self._per_s, self._burst)
        self._left[address] = (max(left - 1.0, 0.0), now_s)
        return left >= 1.0


class Guard:
    """Sign-ins by the token in their cookie, and how many requests each address may still make.

    Parameters
    ----------
    now_s
        Monotonic seconds.
    token_hash
        SHA-256 of a monitoring server's token in hexadecimal digits; nothing where no server may read the metrics.
    """

    def __init__(self, now_s: Callable[[], float], token_hash: str = "") -> None:
        self._now_s = now_s
        self._token_hash = token_hash
        self._signed_in: dict[str, SignedIn] = {}
        self._readers: dict[str, float] = {}
        self._requests = Allowance(now_s, BURST, PER_S)
        self._readings = Allowance(now_s, READINGS, READINGS_PER_S)

    def sign_in(self, host: str) -> str:
        """Return the token of a new sign-in from an address; if there are too many, the longest inactive one ends."""
        now_s = self._now_s()
        while len(self._signed_in) >= MOST_SIGNED_IN:
            del self._signed_in[min(self._signed_in, key=lambda token: self._signed_in[token].touched_s)]
        token = secrets.token_urlsafe(32)
        self._signed_in[token] = SignedIn(host, now_s, now_s)
        return token

    def sign_out(self, token: str) -> None:
        """Forget a sign-in."""
        self._signed_in.pop(token, None)

    def who(self, token: str, *, touch: bool = True) -> SignedIn | None:
        """Return the sign-in of a token, or None; `touch` marks activity by a person rather than the page's script."""
        found, now_s = self._signed_in.get(token), self._now_s()
        if found is None:
            return None
        if now_s - found.touched_s > IDLE_S or now_s - found.since_s > LONGEST_S:
            self.sign_out(token)
            return None
        if touch:
            found.touched_s = now_s
        return found

    def knows(self, host: str) -> bool:
        """Return whether somebody who gave the PIN is signed in from an address, or a token came from there of late."""
        if self._now_s() - self._readers.get(host, -math.inf) < IDLE_S:
            return True
        return any(self.who(token, touch=False) and of.host == host for token, of in list(self._signed_in.items()))

    def may_ask(self, address: str, *, metrics: bool = False) -> bool:
        """Count a request of an address, one for `metrics` by itself; return whether it is answered."""
        return (self._readings if metrics else self._requests).takes(counted(address))

    def may_read(self, token: str, host: str) -> bool:
        """Return whether a token is the monitoring server's."""
        digest = hashlib.sha256(token.encode()).hexdigest()
        may = hmac.compare_digest(digest, self._token_hash) and len(token) >= LEAST_TOKEN
        if may:
            if len(self._readers) > MOST_ADDRESSES:
                self._readers.clear()
            self._readers[host] = self._now_s()
        return may


def counted(host: str) -> str:
    """Return what a device cannot choose of its address; nothing of none."""
    if not host:
        return ""
    address = ipaddress.ip_address(host.partition("%")[0])
    if isinstance(address, ipaddress.IPv6Address) and address.ipv4_mapped is None and not address.is_loopback:
        return str(ipaddress.ip_network((address, IPV6_HOST_BITS), strict=False))
    return str(address)
