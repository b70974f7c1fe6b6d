"""Check that sheets can be paid for, if the settings name a payment unit."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from kiosk.core.view.finding import Finding
from kiosk.devices.backends import make_payment_unit
from kiosk.errors import PaymentFault
from kiosk.settings import Settings
from kiosk.settings.payment import NoPayment, PulsePaymentSettings, SimulatedPaymentSettings


def payment_findings(settings: Settings) -> Iterator[Finding]:
    """Yield the findings on the payment unit; none where the booth takes no money.

    A validator's line is not opened: an open booth has it for itself.
    """
    chosen = settings.payment
    if isinstance(chosen, NoPayment) or settings.event is not None:
        return
    where = settings.file
    free = [name for name in settings.booth.documents if not settings.prices.of(name)]
    if free:
        sentence = f"{where}: prices: {', '.join(free)} costs nothing and is printed without payment."
        yield Finding("price", ", ".join(free), "", False, sentence, "Set prices.sheet, or its own price.", "payment")
    if isinstance(chosen, SimulatedPaymentSettings):
        sentence = f"{where}: payment.backend: the payment unit is simulated; no money is taken."
        yield Finding("payment", "sim", "", False, sentence, "Write the unit's own backend before opening.", "payment")
    elif isinstance(chosen, PulsePaymentSettings):
        yield from _line(settings, chosen)
    else:
        yield _answer(settings)


def _line(settings: Settings, chosen: PulsePaymentSettings) -> Iterator[Finding]:
    key, path = ("payment.chip", chosen.chip) if chosen.chip else ("payment.port", chosen.port)
    there = Path(path).exists()
    sentence = f"{settings.file}: {key}: {path} {'is there' if there else 'does not exist'}."
    advice = "Connect the validator's line, or correct the key."
    yield Finding("payment", path, "", there, sentence, advice, "payment", stops=not there)
    if chosen.chip and chosen.enable_line is None:
        sentence = f"{settings.file}: payment.enable_line: the validator is open even while nobody is asked for money."
        advice = "Connect its inhibit input to an output and name that: what falls before pays for nothing."
        yield Finding("payment_open", "open", "", False, sentence, advice, "payment")


def _answer(settings: Settings) -> Finding:
    unit = make_payment_unit(settings)
    assert unit is not None
    try:
        unit.check()
    except PaymentFault as fault:
        return Finding("payment", "fault", "", False, str(fault), fault.advice, "payment", stops=True)
    return Finding("payment", "ready", "", True, f"The card terminal at {unit.name} is ready.", "", "payment")
