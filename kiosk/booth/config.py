"""What the settings mean for the session and for the attendant's desk."""

from __future__ import annotations

from datetime import date

from babel.numbers import get_currency_precision

from kiosk.booth.handover_assembly import handover_terms
from kiosk.catalogue.badge_designs import read_design
from kiosk.catalogue.documents import Catalogue
from kiosk.catalogue.installed import in_force
from kiosk.core.attendant.state import DeskConfig
from kiosk.core.session.account import PaymentTerms
from kiosk.core.session.booth_config import IDLE_S, BoothConfig
from kiosk.core.sheet.media import medium
from kiosk.devices.backends import make_payment_unit, still_px_of
from kiosk.devices.print_backends import longest_print_s
from kiosk.errors import SettingsRefused
from kiosk.event.assembly import at_event, reception_of
from kiosk.i18n import available
from kiosk.pipeline.offering import offered, papers_of, prices_of
from kiosk.screens.toolkit.shop import legible
from kiosk.screens.toolkit.theme import ThemeColour
from kiosk.settings import Settings
from kiosk.settings import cameras as camera_settings

BURST = 3
"""Stills of a shot if the settings do not say: practice of the trade."""


def booth_config(settings: Settings, today: date) -> BoothConfig:
    """Return what the booth is set to, with its documents read."""
    catalogue = Catalogue.beside(settings.own_documents(), in_force(settings.rules))
    missing = [tag for tag in settings.booth.languages if tag not in available()]
    if missing:
        detail = f"no catalogue for {missing[0]!r}; there are {', '.join(available())}"
        raise SettingsRefused(path=settings.file, where="booth.languages", detail=detail)
    reception = reception_of(settings, catalogue)
    documents = offered(settings, catalogue, today) if reception is None else ()
    return BoothConfig(
        documents=documents,
        reception=reception,
        languages=tuple(settings.booth.languages),
        shots=settings.booth.shots,
        burst=burst_size(settings),
        by_flash=settings.light.flash is not None,
        still_px=still_px_of(settings),
        prices=prices_of(settings, catalogue),
        sheets=tuple(settings.paper.sheets),
        papers=papers_of(settings, documents),
        payment=payment_terms(settings),
        handover=handover_terms(settings),
        extras={medium(more.medium).short: more.extra for more in settings.paper.more},
        takes_s=settings.paper.takes_s,
        tray=settings.paper.tray,
        lying_deg=settings.booth.lying_deg,
        release=settings.attendant.release,
        doubt=settings.attendant.decides,
        attended=bool(settings.attendant.pin_hash),
        is_light=settings.screen.theme == "light",
        accent=accent_of(settings),
        lens=settings.screen.lens,
        has_voice=settings.voice_folder is not None,
        reprint_minutes=settings.attendant.reprint_minutes if reception is None else 0,
        idle_s={**IDLE_S, "printing": max(IDLE_S["printing"], longest_print_s(settings))},
    )


def payment_terms(settings: Settings) -> PaymentTerms | None:
    """Return how the sheets are paid for; None where the booth takes no money, and at an event, which has no prices."""
    unit = make_payment_unit(settings) if settings.event is None else None
    if unit is None:
        return None
    return PaymentTerms(unit.way, get_currency_precision(settings.prices.currency))


def accent_of(settings: Settings) -> ThemeColour | None:
    """Return the shop's own colour, legible on its screens; None where the settings name none."""
    screen = settings.screen
    return legible(ThemeColour(*screen.accent), screen.theme) if screen.colour else None


def burst_size(settings: Settings) -> int:
    """Return how many stills a shot has.

    A queue at an event would wait for them, a folder's camera is released by hand for each, and a flash fires for
    each.
    """
    by_flash = settings.light.flash is not None
    one = by_flash or settings.event is not None or isinstance(settings.camera, camera_settings.FolderCameraSettings)
    return settings.booth.burst or (1 if one else BURST)


def desk_config(settings: Settings) -> DeskConfig:
    """Return what the attendant's desk is set to."""
    chosen = settings.attendant
    desk_config = DeskConfig(bool(chosen.pin_hash), chosen.idle_s, chosen.few_sheets, chosen.reprint_minutes)
    return (
        desk_config
        if settings.event is None
        else at_event(desk_config, read_design(settings.path(settings.event.design)))
    )
