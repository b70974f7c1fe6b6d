"""An event of a few guests, whose desk works without threads."""

from pathlib import Path

from kiosk.catalogue.badge_designs import PHOTO_RULES, photo_document, read_design
from kiosk.core.event.roster import Person
from kiosk.core.session.booth_config import Reception
from kiosk.event.roster_worker import RosterWorker
from kiosk.store.roster.database import Database
from kiosk.store.roster.roster import Roster
from tests.support.inline_executor import InlineExecutor
from tests.support.manual_clock import ManualClock
from tests.support.shipped import CATALOGUE

DESIGN = read_design(Path(__file__).parents[2] / "specs" / "badges" / "card-photo-left.toml")
PEOPLE = ("Ada Lind", "Adele Öz", "Βίκυ Ρήγα", "Bo", "Кира Ланд")


def event_in(folder):
    """Return the desk of an event with a roster in `folder`, and its reception."""
    clock = ManualClock()
    folder.mkdir(parents=True, exist_ok=True)
    roster = Roster(Database(f"sqlite:///{folder / 'event.db'}"), "desk", clock)
    if not roster.spell("")[1]:
        values = [
            {"id": f"E{at}", "name": name, "role": "visitor", "organisation": ""} for at, name in enumerate(PEOPLE)
        ]
        roster.import_list([Person(value["id"], value) for value in values])
    document = photo_document(DESIGN, DESIGN.photo, CATALOGUE.get(PHOTO_RULES["free"]))
    return RosterWorker(DESIGN, roster, clock, None, InlineExecutor()), Reception(document)
