"""The attendant's PIN: what may be one, its hash, and the check.

Argon2id with the second recommended parameters of RFC 9106, 4 (64 MiB, three passes, four lanes), through argon2-cffi.
A check takes tens of milliseconds on purpose; it is never made in the frame loop's thread.
"""

from __future__ import annotations

import argon2

from kiosk.errors import PinRefused

LEAST_DIGITS, MOST_DIGITS = 6, 12
"""NIST SP 800-63B, 5.1.1.2: a memorized secret of digits alone has at least six."""

_HASHER = argon2.PasswordHasher.from_parameters(argon2.profiles.RFC_9106_LOW_MEMORY)
_STEPS = ("0123456789", "9876543210")


def hash_pin(pin: str) -> str:
    """Return the hash to keep in the settings file, `attendant.pin_hash`.

    Raises
    ------
    PinRefused
        It is too short, too long, not of digits, or among the first that anybody tries.
    """
    if not (pin.isascii() and pin.isdecimal() and LEAST_DIGITS <= len(pin) <= MOST_DIGITS):
        raise PinRefused(detail=f"it needs {LEAST_DIGITS} to {MOST_DIGITS} digits and nothing else")
    if len(set(pin)) == 1:
        raise PinRefused(detail="it is one digit over and over")
    if any(pin in steps * 2 for steps in _STEPS):
        raise PinRefused(detail="its digits follow each other in order")
    return _HASHER.hash(pin)


def is_pin(pin: str, pin_hash: str) -> bool:
    """Return whether the PIN is the one that was hashed; False for a hash that cannot be read."""
    try:
        return _HASHER.verify(pin_hash, pin)
    except (argon2.exceptions.VerificationError, argon2.exceptions.InvalidHashError):
        return False
