"""Photos for the organiser: named by id, whole or not there, gone on the promised day."""

from datetime import date

import pytest

from kiosk.booth.assembly import delete_expired
from kiosk.errors import CannotWrite
from kiosk.settings import read_settings
from kiosk.store.roster.deletion_schedule import DeletionSchedule
from kiosk.store.roster.photo_export import PhotoExport, delete_if_due, deletion_day
from tests.support.power_cut import cut_off

DAY = date(2026, 12, 31)


@pytest.fixture
def export(tmp_path):
    return PhotoExport(tmp_path / "photos", DAY)


def test_a_photo_is_named_by_its_id_whatever_that_is(export):
    assert export.put("EV/26 ../ü", b"one").name == "EV%2F26%20..%2F%C3%BC.jpg"
    assert export.put("EV/26 ../ü", b"two").read_bytes() == b"two"
    assert {path.name for path in export.folder.iterdir()} == {"EV%2F26%20..%2F%C3%BC.jpg", "delete-on.txt"}


def test_photos_are_gone_on_their_day_and_not_before(export):
    export.put("A1", b"photo")
    assert delete_if_due(export.folder, date(2026, 12, 30)) == 0
    assert (export.folder / "A1.jpg").exists()
    assert delete_if_due(export.folder, DAY) == 1
    assert list(export.folder.iterdir()) == []
    assert delete_if_due(export.folder, DAY) == 0


def test_what_a_power_cut_left_of_a_photo_goes_on_the_day_too(export):
    export.put("A1", b"photo")
    cut_off(export.put, "A2", b"another photo")
    (export.folder / ".hidden").write_bytes(b"somebody else's")
    assert len(list(export.folder.iterdir())) == 4
    assert delete_if_due(export.folder, DAY) == 1
    assert [path.name for path in export.folder.iterdir()] == [".hidden"]


def test_a_power_cut_at_the_first_promise_does_not_keep_photos_out(export):
    cut_off(export.put, "A1", b"photo")
    assert deletion_day(export.folder) is None
    export.put("A1", b"photo")
    assert delete_if_due(export.folder, DAY) == 1
    assert list(export.folder.iterdir()) == []


def test_the_first_promise_is_kept(export):
    export.put("A1", b"photo")
    PhotoExport(export.folder, date(2027, 6, 1)).put("A2", b"photo")
    assert deletion_day(export.folder) == DAY


def test_a_folder_of_other_things_is_left_alone(export):
    export.folder.mkdir()
    (export.folder / "holiday.jpg").write_bytes(b"x")
    with pytest.raises(CannotWrite, match="a folder of their own"):
        export.put("A1", b"photo")
    assert delete_if_due(export.folder, DAY) == 0
    assert (export.folder / "holiday.jpg").exists()


def test_a_day_that_cannot_be_read_deletes_nothing(export):
    export.put("A1", b"photo")
    (export.folder / "delete-on.txt").write_text("soon")
    with pytest.raises(CannotWrite, match="cannot be read"):
        delete_if_due(export.folder, DAY)
    assert (export.folder / "A1.jpg").exists()


def test_the_day_is_kept_by_a_booth_that_was_off_and_whose_settings_know_the_event_no_more(tmp_path, export):
    promises = DeletionSchedule(tmp_path / "state" / "photos-promised.json")
    promises.add(export.folder)
    export.put("A1", b"photo")
    assert promises.carry_out(date(2026, 12, 30)) == 0
    assert DeletionSchedule(promises.file).carry_out(date(2027, 2, 3)) == 1
    assert list(export.folder.iterdir()) == []
    assert DeletionSchedule(promises.file).carry_out(date(2027, 2, 4)) == 0


def test_a_folder_on_a_stick_that_is_not_there_is_emptied_when_it_comes_back(tmp_path, export):
    promises = DeletionSchedule(tmp_path / "photos-promised.json")
    promises.add(export.folder)
    export.put("A1", b"photo")
    away = export.folder.rename(tmp_path / "away")
    assert promises.carry_out(date(2027, 1, 5)) == 0
    away.rename(export.folder)
    assert promises.carry_out(date(2027, 1, 6)) == 1


def test_a_damaged_list_of_promises_keeps_the_booth_shut_with_a_sentence(tmp_path):
    (tmp_path / "photos-promised.json").write_text("{")
    with pytest.raises(CannotWrite, match="promised folders"):
        DeletionSchedule(tmp_path / "photos-promised.json").carry_out(DAY)


@pytest.mark.parametrize("event", [True, False])
def test_a_booth_keeps_its_promises_at_its_start(tmp_path, event):
    photos = tmp_path / "photos"
    file = tmp_path / "booth.toml"
    lines = '[booth]\ndocuments = ["gb-passport-print"]\nlanguages = ["en"]\nstate_folder = "state"\n'
    asked = f'[event]\ndesign = "x.toml"\nroster = "e.db"\nphotos_folder = "{photos}"\nphotos_until = 2026-12-31\n'
    rest = (
        '[camera]\nbackend = "uvc"\ndevice = 0\nstill_px = [1920, 1080]\n[printer]\nbackend = "folder"\nfolder = "p"\n'
    )
    paper = '[paper]\nmedium = "4x6in"\nmargins_mm = [3.0, 3.0, 3.0, 3.0]\ngutter_mm = 2.0\n'
    file.write_text(lines + asked + rest + paper)
    delete_expired(read_settings(file), date(2026, 11, 25))
    PhotoExport(photos, DAY).put("A1", b"photo")
    file.write_text(lines + (asked if event else "") + rest + paper)
    delete_expired(read_settings(file), date(2027, 1, 2))
    assert list(photos.iterdir()) == []
