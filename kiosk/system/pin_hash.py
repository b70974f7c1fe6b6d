"""The attendant's PIN: which PINs are acceptable, how they are hashed, and how one is verified.

The hash is Argon2id with the second recommended parameter set of RFC 9106, 4 (64 MiB, three passes, four lanes), by
argon2-cffi. Verifying takes tens of milliseconds on purpose, so it must not run in the frame loop's thread.
"""

from __future__ import annotations

import argon2

from kiosk.errors import PinRefused

LEAST_DIGITS, MOST_DIGITS = 6, 12
"""NIST SP 800-63B, 5.1.1.2: a memorized secret of digits alone has at least six."""

_HASHER = argon2.PasswordHasher.from_parameters(argon2.profiles.RFC_9106_LOW_MEMORY)
_STEPS = ("0123456789", "9876543210")


def hash_pin(pin: str) -> str:
    """Return the hash of a PIN for the settings file, key `attendant.pin_hash`.

    Raises
    ------
    PinRefused
        The PIN is too short, too long, not made of digits, or among the first that anybody would try.
    """
    if not (pin.isascii() and pin.isdecimal() and LEAST_DIGITS <= len(pin) <= MOST_DIGITS):
        raise PinRefused(detail=f"it needs {LEAST_DIGITS} to {MOST_DIGITS} digits and nothing else")
    if len(set(pin)) == 1:
        raise PinRefused(detail="it repeats a single digit")
    if any(pin in steps * 2 for steps in _STEPS):
        raise PinRefused(detail="its digits are in ascending or descending order")
    return _HASHER.hash(pin)


def is_pin(pin: str, pin_hash: str) -> bool:
    """Return whether the PIN matches the hash; a malformed hash matches none."""
    try:
        return _HASHER.verify(pin_hash, pin)
    except (argon2.exceptions.VerificationError, argon2.exceptions.InvalidHashError):
        return False
