"""The roster in both databases, the real ones: SQLite in a file, and a PostgreSQL server of the test's own."""

import multiprocessing
import uuid

import pytest

from kiosk.core.event.roster import Person
from kiosk.errors import BadgePrinted, IdTaken, RosterUnreachable, UnknownPerson
from kiosk.store.roster.database import Database
from kiosk.store.roster.roster import ON_ITS_WAY, Imported, Roster
from tests.support.manual_clock import ManualClock
from tests.support.postgres_lab import pass_time


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request, tmp_path):
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'event.db'}"
    server = request.getfixturevalue("server")
    return server.database(f"event_{uuid.uuid4().hex[:12]}")


@pytest.fixture
def desk(url):
    roster = Roster(Database(url), "desk", ManualClock())
    yield roster
    roster.close()


def person(key, name, **more):
    return Person(key, {"id": key, "name": name, **more})


ADA, GRACE = person("A1", "Ada Lind", role="visitor"), person("A2", "Grace Öz", organisation="Harbour Works")


@pytest.mark.parametrize(
    "password", ["swordfish", "half@swordfish", "half/swordfish", "half:swordfish", "half?swordfish"]
)
def test_a_password_is_in_no_sentence(password):
    for place in ("127.0.0.1:1/event", "127.0.0.1:1x/event", "[::1/event"):
        with pytest.raises(RosterUnreachable) as refusal:
            Database(f"postgresql+psycopg://desk:{password}@{place}")
        assert "swordfish" not in f"{refusal.value} {refusal.value.advice} {refusal.value.params}"


def test_a_list_is_taken_and_taken_again(desk):
    assert desk.import_list([ADA, GRACE]) == Imported(2, 0, 0)
    assert desk.import_list([ADA, GRACE]) == Imported(0, 0, 0)
    assert desk.import_list([person("A1", "Ada Lind-Berg"), person("A3", "Edith")]) == Imported(1, 1, 1)
    assert [expected.person.name for expected in desk.everybody()] == ["Ada Lind-Berg", "Edith"]


def test_whoever_has_a_badge_or_walked_in_stays(desk):
    desk.import_list([ADA, GRACE])
    desk.begin("A1", with_photo=False)
    desk.add_walk_in(person("W1", "Noor"))
    desk.import_list([GRACE])
    assert [expected.person.id for expected in desk.everybody()] == ["A1", "A2", "W1"]


def test_a_walk_in_does_not_take_anothers_id(desk):
    desk.import_list([ADA])
    with pytest.raises(IdTaken, match="'A1' is on the roster already"):
        desk.add_walk_in(person("A1", "Somebody else"))
    assert desk.person("A1") == ADA


@pytest.mark.parametrize(
    ("text", "found"),
    [("oz", ["A2"]), ("gr ö", ["A2"]), ("LIND ada", ["A1"]), ("A2", ["A2"]), ("nd", []), ("%", []), ("", [])],
)
def test_people_are_found_by_the_beginnings_of_their_names_or_by_id(desk, text, found):
    desk.import_list([ADA, GRACE])
    assert [expected.person.id for expected in desk.find(text)] == found


def test_values_come_back_as_they_were(desk):
    desk.import_list([GRACE])
    assert desk.person("A2") == GRACE


def test_a_second_badge_must_be_asked_for_and_is_counted(desk):
    desk.import_list([ADA])
    first = desk.begin("A1", with_photo=True)
    desk.end(first, "printed")
    with pytest.raises(BadgePrinted, match="A1 has a badge from desk"):
        desk.begin("A1", with_photo=True)
    second = desk.begin("A1", with_photo=False, reprint=True)
    assert (first.number, second.number) == (1, 2)
    (expected,) = desk.everybody()
    assert [badge.state for badge in expected.badges] == ["printed", "begun"]


def test_a_failed_badge_is_tried_again_and_an_unknown_one_is_not(desk):
    desk.import_list([ADA])
    desk.end(desk.begin("A1", with_photo=False), "failed")
    again = desk.begin("A1", with_photo=False)
    desk.end(again, "unknown")
    with pytest.raises(BadgePrinted):
        desk.begin("A1", with_photo=False)


def test_nobody_has_an_unknown_id(desk):
    for asked in (desk.person, lambda key: desk.begin(key, with_photo=False)):
        with pytest.raises(UnknownPerson, match="'Z9'"):
            asked("Z9")


def test_what_one_station_writes_the_other_reads(desk, url):
    desk.import_list([ADA])
    desk.begin("A1", with_photo=False)
    other = Roster(Database(url), "door", ManualClock())
    with pytest.raises(BadgePrinted, match="from desk"):
        other.begin("A1", with_photo=False)
    other.close()


def test_two_stations_never_print_the_same_person(desk, url):
    """Both processes want every badge, in opposite orders, at once."""
    people = [person(f"P{number:03d}", f"Guest {number}") for number in range(20)]
    desk.import_list(people)
    context = multiprocessing.get_context("spawn")
    with context.Pool(2) as pool:
        wanted = [each.id for each in people]
        taken = pool.starmap(take_all, [(url, "one", wanted), (url, "two", wanted[::-1])])
    assert sorted(taken[0] + taken[1]) == wanted
    assert all(len(expected.badges) == 1 for expected in desk.everybody())


def take_all(url, station, wanted):
    roster = Roster(Database(url), station, ManualClock())
    taken = []
    for key in wanted:
        try:
            roster.end(roster.begin(key, with_photo=False), "printed")
        except BadgePrinted:
            continue
        taken.append(key)
    roster.close()
    return taken


def test_a_database_that_does_not_answer_is_told_of_and_comes_back(server):
    desk = Roster(Database(server.url), "desk", ManualClock())
    desk.import_list([ADA])
    server.stop()
    with pytest.raises(RosterUnreachable):
        desk.begin("A1", with_photo=False)
    server.start()
    assert desk.begin("A1", with_photo=False).number == 1
    desk.close()


def test_a_damaged_file_is_told_of(tmp_path):
    (tmp_path / "event.db").write_bytes(b"not a database" * 100)
    with pytest.raises(RosterUnreachable, match="not a database"):
        Roster(Database(f"sqlite:///{tmp_path / 'event.db'}"), "desk", ManualClock())


def test_a_late_change_is_shown_and_found_by_its_new_name(desk):
    desk.import_list([ADA, GRACE])
    desk.change(person("A1", "Ada Östberg", role="speaker"))
    assert desk.person("A1").values["role"] == "speaker"
    assert [one.person.id for one in desk.find("ost")] == ["A1"]
    with pytest.raises(UnknownPerson):
        desk.change(person("A9", "Nobody"))


def test_namesakes_are_found_whatever_their_case_and_accents(desk):
    desk.import_list([ADA, GRACE, person("A3", "ADA LIND"), person("A4", "Ada Lindgren")])
    assert [one.person.id for one in desk.namesakes("Áda  lind")] == ["A1", "A3"]


def test_a_reprint_waits_while_a_badge_is_on_its_way_and_no_longer(url):
    clock = ManualClock()
    desk, other = (Roster(Database(url), name, clock) for name in ("desk", "other"))
    desk.import_list([ADA])
    desk.begin("A1", with_photo=True)
    with pytest.raises(BadgePrinted):
        other.begin("A1", with_photo=False, reprint=True)
    clock.sleep(ON_ITS_WAY.total_seconds() + 1)
    if url.startswith("postgresql"):
        pass_time(url, ON_ITS_WAY.total_seconds() + 1)
    assert other.begin("A1", with_photo=False, reprint=True).number == 2
    desk.close()
    other.close()


@pytest.mark.parametrize("ahead_s", [-600.0, 600.0])
def test_a_station_whose_clock_is_wrong_prints_no_second_badge_while_one_is_on_its_way(server, ahead_s):
    """The two minutes are the server's, and so are the times that the report compares."""
    url = server.database(f"event_{uuid.uuid4().hex[:12]}")
    right, wrong = (Roster(Database(url), name, ManualClock(1000.0 + of)) for name, of in (("a", 0.0), ("b", ahead_s)))
    right.import_list([ADA])
    first = right.begin("A1", with_photo=True)
    with pytest.raises(BadgePrinted):
        wrong.begin("A1", with_photo=False, reprint=True)
    pass_time(url, ON_ITS_WAY.total_seconds() + 1)
    arrived_at = ManualClock(1000.0 + ahead_s - 30.0).now()
    second = wrong.begin("A1", with_photo=False, reprint=True, arrived_at=arrived_at)
    assert second.begun_at - first.begun_at > ON_ITS_WAY
    assert (second.begun_at - second.arrived_at).total_seconds() == 30.0
    right.close()
    wrong.close()


def test_a_badge_that_was_on_its_way_when_its_desk_was_killed_is_settled(desk, url):
    desk.import_list([ADA])
    desk.begin("A1", with_photo=False)
    again = Roster(Database(url), "desk", ManualClock())
    again.settle()
    assert again.find("A1")[0].badges[0].state == "unknown"
    assert again.begin("A1", with_photo=False, reprint=True).number == 2
    again.close()


def test_names_that_begin_as_the_letters_do_come_before_others(desk):
    desk.import_list([person("A1", "Aaron Noor"), person("A2", "Noor"), person("A3", "Noor Berg")])
    assert [one.person.id for one in desk.find("noor")] == ["A2", "A3", "A1"]
