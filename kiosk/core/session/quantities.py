"""Numbers and their limits in words that a person reads."""

from __future__ import annotations

from kiosk.core.base.geometry import Range

_DECIMALS = {"px": 0, "dpi": 0, "count": 0, "deg": 1, "mm": 1, "dE": 1, "L*": 0}
_SYMBOLS = {"deg": "°", "ratio": "", "fraction": "", "count": "", "dE": " ΔE", "L*": " L*"}


def quantity(value: float, unit: str) -> str:
    """Return a number with its unit, to the decimals that unit carries."""
    return f"{_number(value, unit)}{_SYMBOLS.get(unit, ' ' + unit)}"


def _number(value: float, unit: str) -> str:
    decimals = _DECIMALS.get(unit, 2)
    shown = round(value, decimals) + 0.0
    return f"{shown:.{decimals}f}"


def limit_text(limit: Range, unit: str) -> str:
    """Return a limit as it is read: a range, a least or a most."""
    if limit.low is not None and limit.high is not None:
        return f"{_number(limit.low, unit)} … {quantity(limit.high, unit)}"
    if limit.low is not None:
        return f"≥ {quantity(limit.low, unit)}"
    return f"≤ {quantity(limit.high or 0.0, unit)}"
