"""An event's desk in `holdstill setup`: its design, roster and folder of photos."""

import pytest

from kiosk.catalogue.badge_designs import read_design
from kiosk.settings import read_settings
from tests.support.setup_walk import lines, walked


def event_answers(**changes):
    asked = {"design": "lanyard-a6", "roster": "event.db", "photos": "photos", "until": "2027-01-31", **changes}
    answers = lines("own", "country", "documents", "price", "currency", "payment", profile="event")
    at = answers.index("en, de")
    answers[at:at] = [answer for name, answer in asked.items() if answer is not None]
    return answers


def test_an_events_desk_is_asked_for_its_design_and_roster_and_no_documents(tmp_path):
    path = tmp_path / "b.toml"
    written, shown = walked(path, event_answers())
    assert written, shown
    assert f"holdstill roster import LIST --roster {tmp_path / 'event.db'}" in " ".join(shown.split())
    settings = read_settings(path)
    assert read_design(settings.path(settings.event.design)).id == "lanyard-a6"
    assert settings.path(settings.event.roster) == tmp_path / "event.db"
    assert (settings.event.photos_folder, str(settings.event.photos_until)) == ("photos", "2027-01-31")
    before = path.read_text()
    walked(path, [""] * 30)
    assert path.read_text() == before
    documents = ["-", "gb", "gb-passport-print"]
    written, shown = walked(path, ["staffed", *[""] * 10, *documents, *[""] * 20])
    assert written, shown
    assert read_settings(path).event is None


@pytest.mark.parametrize(
    ("wrong", "reason"),
    [
        ({"design": "no-such-design"}, "no-such-design does not exist; give one of the designs above, or a file"),
        ({"roster": "none/event.db"}, "is not a folder"),
        ({"roster": "mysql://host/event"}, "an address begins with postgresql+psycopg://"),
        ({"until": "in January"}, "give a day as 2027-01-31"),
    ],
)
def test_an_answer_on_an_event_that_does_not_do_is_asked_for_again(tmp_path, wrong, reason):
    answers = event_answers()
    ((name, text),) = wrong.items()
    good = {"design": "lanyard-a6", "roster": "event.db", "until": "2027-01-31"}[name]
    answers.insert(answers.index(good), text)
    written, shown = walked(tmp_path / "b.toml", answers)
    assert written, shown
    assert reason in " ".join(shown.split())
