"""What a sitter in the right place shows to the live view and to a still, with some values changed."""

from dataclasses import replace

from kiosk.core.base.geometry import Point
from kiosk.core.base.measurement import HeadPoints, Measurement, Observation
from kiosk.core.base.ticket import Ticket
from kiosk.core.judging.framing import framing
from kiosk.core.session.coach import live_limits
from kiosk.core.session.events import Event, Measured, ShotArrived, ShotFailed
from kiosk.core.session.instructions import ASKS
from kiosk.core.session.state import Session
from tests.support.shipped import CATALOGUE

DOCUMENT = CATALOGUE.get("gb-passport-print")
WHERE = framing(DOCUMENT, 1600, 2000)
LIMITS = live_limits(DOCUMENT, WHERE)

IN_TIME = Ticket(-1)
"""Stands for the ticket for which a session waits, until `timely` knows it."""
STALE = Ticket(999_999)
"""A ticket that the session under test never gives out: another's."""


def timely(session: Session, event: Event) -> Event:
    """Return the event with the ticket for which the session waits, where it says `IN_TIME`."""
    if not isinstance(event, ShotArrived | ShotFailed | Measured) or event.ticket != IN_TIME:
        return event
    waiting = session.burst.waiting
    measured = waiting[0][0] if isinstance(event, Measured) and waiting else session.burst.ordered
    return replace(event, ticket=measured)


def seen(dx=0.0, dy=0.0, scale=1.0, document=DOCUMENT, **values: float) -> Observation:
    """Return what a sitter in the right place shows, shifted by shares of the picture, with some values changed."""
    where = WHERE if document is DOCUMENT else framing(document, 1600, 2000)
    limits = LIMITS if document is DOCUMENT else live_limits(document, where)
    height = where.head.middle * scale * 800
    eye = Point((where.eye_x.middle + dx) * 640, (where.eye_y.middle + dy) * 800)
    points = HeadPoints(
        crown=Point(eye.x, eye.y - height / 2),
        hair_top=Point(eye.x, eye.y - height / 2 - 5),
        chin=Point(eye.x, eye.y + height / 2),
        right_eye=Point(eye.x - 40, eye.y),
        left_eye=Point(eye.x + 40, eye.y),
    )
    asked = [ask.name for ask in ASKS if ask.name in document.capture]
    measured = {
        name: Measurement(name, values.get(name, limits[name].range.middle), document.capture[name].unit)
        for name in asked
    }
    return Observation(640, 800, 1, points, measured)


POINTS = HeadPoints(
    crown=Point(800, 500),
    hair_top=Point(800, 470),
    chin=Point(800, 1340),
    right_eye=Point(690, 911),
    left_eye=Point(910, 911),
    crown_sd_px=20.0,
    hair_top_sd_px=4.0,
    chin_sd_px=8.0,
    eye_sd_px=3.0,
)


def conforming(document, **changes: Measurement) -> Observation:
    """Return an observation with every measurement in the middle of its limits and certain."""
    measured = {name: Measurement(name, limit.range.middle, limit.unit) for name, limit in document.capture.items()}
    for axis, place in (("lightness", "lightness"), ("a", "a"), ("b", "b")):
        low, high = getattr(document.background.colours[0], place)
        measured[f"background_{axis}"] = Measurement(f"background_{axis}", (low + high) / 2, "L*")
    measured["spectacles"] = Measurement("spectacles", 0.0, "ratio")
    return Observation(1600, 2000, 1, POINTS, {**measured, **changes})
