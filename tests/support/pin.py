"""An attendant's PIN and a hash of it that is checked at once."""

import argon2

PIN = "480217"
CHEAP_HASH = argon2.PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PIN)
"""As `kiosk.system.pin_hash` makes it, for a hundredth of the work: the hash carries its parameters (RFC 9106)."""
