"""An event before the doors open: its design and its roster, in the settings' words."""

from contextlib import closing
from pathlib import Path

from kiosk.core.event.roster import Person
from kiosk.ready.event import event_findings
from kiosk.settings import read_settings
from kiosk.store.roster.database import Database
from kiosk.store.roster.roster import Roster
from tests.support.manual_clock import ManualClock

DESIGN = Path(__file__).parents[2] / "specs" / "badges" / "card-photo-left.toml"
SETTINGS = """
[booth]
[camera]
backend = "uvc"
[printer]
backend = "folder"
folder = "prints"
[event]
design = "card-photo-left.toml"
roster = "event.db"
"""


def findings(folder):
    (folder / "booth.toml").write_text(SETTINGS)
    return {finding.name: finding for finding in event_findings(read_settings(folder / "booth.toml"))}


def test_guests_are_counted_and_none_is_told(tmp_path):
    (tmp_path / DESIGN.name).write_text(DESIGN.read_text())
    assert not findings(tmp_path)["roster"].good
    with closing(Roster(Database(f"sqlite:///{tmp_path / 'event.db'}"), "desk", ManualClock())) as roster:
        roster.import_list([Person("E1", {"id": "E1", "name": "Ada"})])
    found = findings(tmp_path)
    assert (found["design"].good, found["roster"].good, found["roster"].value) == (True, True, 1)


def test_a_design_or_a_roster_that_cannot_be_read_stops_the_booth(tmp_path):
    (tmp_path / "event.db").write_bytes(b"not a database" * 99)
    found = findings(tmp_path)
    assert found["design"].stops
    assert found["roster"].stops
    assert "card-photo-left.toml" in found["design"].sentence
