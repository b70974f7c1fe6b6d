from __future__ import annotations

import threading
import time

import pytest

from kiosk.devices.folder import camera as folder_camera
from kiosk.devices.folder.camera import FolderDriver
from kiosk.errors import CameraFault
from tests.ptpip.rig import sitter_pictures


@pytest.fixture
def still(tmp_path):
    (tmp_path / "made").mkdir()
    return sitter_pictures(tmp_path / "made")[1].read_bytes()


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "in").mkdir()
    return tmp_path / "in"


def test_a_picture_that_is_sent_is_handed_out_byte_for_byte_and_removed(folder, still):
    (folder / "earlier.jpg").write_bytes(still)
    driver = FolderDriver(folder)
    driver.open()
    (folder / "IMG_2.JPG").write_bytes(still)
    assert driver.shoot() == still
    assert [path.name for path in folder.iterdir()] == ["earlier.jpg"]


def test_the_picture_that_was_shown_is_the_one_that_is_shot(folder, still):
    driver = FolderDriver(folder)
    driver.open()
    empty = driver.next_frame()
    (folder / "a.jpg").write_bytes(still)
    end_s = time.monotonic() + 10
    while driver.next_frame() == empty:
        assert time.monotonic() < end_s
        time.sleep(0.02)
    assert list(folder.iterdir()) == []
    assert driver.shoot() == still
    assert driver.next_frame() == empty


def test_a_picture_that_nobody_wanted_is_forgotten(folder, still, monkeypatch):
    driver = FolderDriver(folder)
    driver.open()
    empty = driver.next_frame()
    (folder / "a.jpg").write_bytes(still)
    end_s = time.monotonic() + 10
    while driver.next_frame() == empty:
        assert time.monotonic() < end_s
        time.sleep(0.02)
    monkeypatch.setattr(folder_camera, "SHOWN_S", 0.0)
    assert driver.next_frame() == empty
    monkeypatch.setattr(folder_camera, "ARRIVAL_S", 0.1)
    with pytest.raises(CameraFault):
        driver.shoot()


def test_a_kept_picture_is_not_handed_out_twice(folder, still, monkeypatch):
    driver = FolderDriver(folder, keep=True)
    driver.open()
    (folder / "a.jpg").write_bytes(still)
    assert driver.shoot() == still
    monkeypatch.setattr(folder_camera, "ARRIVAL_S", 0.5)
    with pytest.raises(CameraFault, match=r"no picture came into its folder within 0\.5 s"):
        driver.shoot()
    assert (folder / "a.jpg").exists()


def test_a_picture_that_is_still_being_written_is_waited_for(folder, still):
    driver = FolderDriver(folder)
    driver.open()

    def send():
        with (folder / "slow.jpg").open("wb", buffering=0) as file:
            for start in range(0, len(still), len(still) // 8):
                file.write(still[start : start + len(still) // 8])
                time.sleep(0.1)

    sender = threading.Thread(target=send)
    sender.start()
    assert driver.shoot() == still
    sender.join()


def test_a_transmission_that_broke_off_is_no_picture(folder, still, monkeypatch):
    monkeypatch.setattr(folder_camera, "ARRIVAL_S", 0.6)
    driver = FolderDriver(folder)
    driver.open()
    (folder / "half.jpg").write_bytes(still[: len(still) // 2])
    with pytest.raises(CameraFault, match="no picture came"):
        driver.shoot()


def test_a_folder_that_is_not_there_is_a_fault_in_words(tmp_path):
    with pytest.raises(CameraFault, match="cannot be read"):
        FolderDriver(tmp_path / "nowhere").open()
