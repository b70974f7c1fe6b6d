"""Photos for the organiser: named by id, whole or not there, gone on the promised day."""

from datetime import date

import pytest

from kiosk.errors import CannotWrite
from kiosk.store.photo_export import PhotoExport, delete_due, promised_day

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
    assert delete_due(export.folder, date(2026, 12, 30)) == 0
    assert (export.folder / "A1.jpg").exists()
    assert delete_due(export.folder, DAY) == 1
    assert list(export.folder.iterdir()) == []
    assert delete_due(export.folder, DAY) == 0


def test_the_first_promise_is_kept(export):
    export.put("A1", b"photo")
    PhotoExport(export.folder, date(2027, 6, 1)).put("A2", b"photo")
    assert promised_day(export.folder) == DAY


def test_a_folder_of_other_things_is_left_alone(export):
    export.folder.mkdir()
    (export.folder / "holiday.jpg").write_bytes(b"x")
    with pytest.raises(CannotWrite, match="a folder of their own"):
        export.put("A1", b"photo")
    assert delete_due(export.folder, DAY) == 0
    assert (export.folder / "holiday.jpg").exists()


def test_a_day_that_cannot_be_read_deletes_nothing(export):
    export.put("A1", b"photo")
    (export.folder / "delete-on.txt").write_text("soon")
    with pytest.raises(CannotWrite, match="cannot be read"):
        delete_due(export.folder, DAY)
    assert (export.folder / "A1.jpg").exists()
