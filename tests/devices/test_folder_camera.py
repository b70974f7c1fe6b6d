from __future__ import annotations

import io
import math
import os
import threading
import time
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import ExifTags, Image

from kiosk.core.base.ticket import Ticket
from kiosk.devices.backends import make_camera
from kiosk.devices.base import DeviceReady, StillTaken
from kiosk.devices.folder import arrivals
from kiosk.devices.folder import camera as folder_camera
from kiosk.devices.folder.camera import FolderDriver
from kiosk.errors import CameraFault
from kiosk.settings import read_settings
from kiosk.vision.pictures.photo_file import decode_still, still_focal_length_px
from tests.devices.camera_process.patience import until, wait_for
from tests.ptpip.rig import other_stills, sitter_pictures
from tests.support.exif import marked_with_time


@pytest.fixture
def still(tmp_path):
    (tmp_path / "made").mkdir()
    return sitter_pictures(tmp_path / "made")[1].read_bytes()


@pytest.fixture
def others(still, tmp_path):
    return [path.read_bytes() for path in other_stills(tmp_path / "made", 2)]


def stamped(jpeg, ahead_s):
    """Return the picture as if a camera whose clock is ahead had taken it now."""
    return marked_with_time(jpeg, datetime.now().astimezone() + timedelta(seconds=ahead_s))


def in_vain(driver, monkeypatch, limit_s=1.0):
    """Order a shot for which no picture comes, with a short limit for that one; return what is said of it."""
    with monkeypatch.context() as patch:
        patch.setattr(folder_camera, "ARRIVAL_S", limit_s)
        with pytest.raises(CameraFault, match=f"no picture came into its folder within {limit_s:g} s") as caught:
            driver.shoot()
    return str(caught.value)


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
    end_s = time.monotonic() + 60
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
    end_s = time.monotonic() + 60
    while driver.next_frame() == empty:
        assert time.monotonic() < end_s
        time.sleep(0.02)
    monkeypatch.setattr(folder_camera, "SHOWN_S", 0.0)
    assert driver.next_frame() == empty
    in_vain(driver, monkeypatch, 0.1)


def test_a_kept_picture_is_not_handed_out_twice(folder, still, monkeypatch):
    driver = FolderDriver(folder, keep=True)
    driver.open()
    (folder / "a.jpg").write_bytes(still)
    assert driver.shoot() == still
    in_vain(driver, monkeypatch, 0.5)
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


def shown(driver, empty, limit_s=60.0):
    """Wait until the driver shows something else than the grey picture."""
    end_s = time.monotonic() + limit_s
    while driver.next_frame() == empty:
        assert time.monotonic() < end_s
        time.sleep(0.02)


@pytest.mark.parametrize("keep", [True, False])
def test_a_picture_that_came_before_the_sitter_is_nobodys(folder, still, monkeypatch, keep):
    """It came at the welcome screen, and the one behind it has only half arrived when the sitter is looked at."""
    driver = FolderDriver(folder, keep=keep)
    driver.open()
    empty = driver.next_frame()
    (folder / "a.jpg").write_bytes(still)
    shown(driver, empty)
    (folder / "b.jpg").write_bytes(still[: len(still) // 2])
    driver.forget()
    assert driver.next_frame() == empty
    (folder / "b.jpg").write_bytes(still)
    in_vain(driver, monkeypatch)
    left = ["a.jpg", "b.jpg"] if keep else []
    wait_for(lambda: driver.next_frame() == empty and sorted(path.name for path in folder.iterdir()) == left)
    (folder / "c.jpg").write_bytes(still)
    assert driver.shoot() == still


def test_the_last_to_arrive_counts_whatever_it_is_called(folder, still, others):
    """A camera's count wraps from DSC_9999 to DSC_0001."""
    driver = FolderDriver(folder)
    driver.open()
    empty = driver.next_frame()
    (folder / "DSC_9999.JPG").write_bytes(others[0])
    shown(driver, empty)
    (folder / "DSC_0001.JPG").write_bytes(still)
    first = driver.next_frame()
    shown(driver, first)
    assert driver.shoot() == still


def test_two_that_arrive_at_once_are_ordered_by_when_they_were_written(folder, still, others):
    driver = FolderDriver(folder)
    driver.open()
    for name, content, ago_s in (("a.jpg", still, 10), ("b.jpg", others[0], 20)):
        (folder / name).write_bytes(content)
        os.utime(folder / name, (time.time() - ago_s,) * 2)
    assert driver.shoot() == still


@pytest.mark.parametrize("keep", [True, False])
def test_a_name_that_is_used_again_is_a_new_picture(folder, still, others, monkeypatch, keep):
    monkeypatch.setattr(arrivals, "PAUSE_S", 0.1)
    (folder / "a.jpg").write_bytes(others[0])
    driver = FolderDriver(folder, keep=keep)
    driver.open()
    time.sleep(0.2)
    (folder / "a.jpg").write_bytes(still)
    assert driver.shoot() == still
    driver.next_frame()
    time.sleep(0.2)
    (folder / "a.jpg").write_bytes(others[1])
    assert driver.shoot() == others[1]


def test_a_picture_that_was_on_its_way_for_long_is_known_by_its_time(folder, still, monkeypatch):
    """The camera's clock is a day ahead; the second picture was taken ten seconds before the sitter came."""
    driver = FolderDriver(folder)
    driver.open()
    (folder / "a.jpg").write_bytes(stamped(still, 86400))
    assert driver.shoot().endswith(still[2:])
    driver.forget()
    (folder / "b.jpg").write_bytes(stamped(still, 86400 - 10))
    in_vain(driver, monkeypatch)
    (folder / "c.jpg").write_bytes(stamped(still, 86400 + 2))
    assert driver.shoot().endswith(still[2:])


def test_pictures_in_folders_below_count_and_a_folder_with_a_pictures_name_does_not(folder, still):
    (folder / "x.jpg").mkdir()
    driver = FolderDriver(folder)
    driver.open()
    (folder / "y.jpg").mkdir()
    (folder / "y.jpg" / "IMG_1.JPEG").write_bytes(still)
    (folder / "y.jpg" / ".IMG_2.jpg").write_bytes(still)
    assert driver.shoot() == still
    assert [path.name for path in folder.rglob("*") if path.is_file()] == [".IMG_2.jpg"]


def test_a_heic_picture_is_taken_when_it_is_whole(folder, still):
    picture = Image.open(io.BytesIO(still)).resize((320, 400))
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = 52
    file = io.BytesIO()
    pillow_heif.from_pillow(picture).save(file, quality=95, exif=exif.tobytes())
    heic = file.getvalue()
    driver = FolderDriver(folder)
    driver.open()

    def send():
        (folder / "IMG_1.HEIC").write_bytes(heic[: len(heic) // 2])
        time.sleep(1.0)
        (folder / "IMG_1.HEIC").write_bytes(heic)

    sender = threading.Thread(target=send)
    sender.start()
    jpeg = driver.shoot()
    sender.join()
    taken = decode_still(jpeg)
    assert np.abs(taken.astype(int) - np.asarray(picture, int)).mean() < 3.0
    assert still_focal_length_px(jpeg) == pytest.approx(52 * math.hypot(320, 400) / math.hypot(36, 24))
    assert list(folder.iterdir()) == []


def test_a_phone_that_catches_up_leaves_the_photo_of_this_sitter(folder, still, others):
    """It has been off the network: under passing names come two of others, the sitter's, and the film beside it."""
    driver = FolderDriver(folder)
    driver.open()
    driver.forget()
    sent = {"IMG_9": stamped(others[0], -900), "IMG_11": stamped(still, 1), "IMG_10": stamped(others[1], -600)}
    for name, jpeg in sent.items():
        (folder / f"{name}.JPG.part").write_bytes(jpeg)
        (folder / f"{name}.JPG.part").rename(folder / f"{name}.JPG")
    (folder / "IMG_11.MOV").write_bytes(b"a film of a second")
    assert driver.shoot() == sent["IMG_11"]
    assert [path.name for path in folder.iterdir()] == ["IMG_11.MOV"]


def heic(jpeg, taken_s):
    """Return a picture as a phone writes it, with the time at which it was taken."""
    exif = Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = time.strftime(
        "%Y:%m:%d %H:%M:%S", time.localtime(taken_s)
    )
    file = io.BytesIO()
    pillow_heif.from_pillow(Image.open(io.BytesIO(jpeg)).resize((320, 400))).save(file, exif=exif.tobytes())
    return file.getvalue()


@pytest.mark.parametrize("kind", ["jpg", "heic"])
def test_every_picture_that_comes_late_is_nobodys(folder, still, others, monkeypatch, kind):
    """Two that were taken before this sitter, a while apart; the phone's clock is known from the sitter before."""
    now_s = time.time()

    def send(name, jpeg, age_s):
        made = stamped(jpeg, -age_s) if kind == "jpg" else heic(jpeg, now_s - age_s)
        (folder / f"{name}.part").write_bytes(made)
        (folder / f"{name}.part").rename(folder / f"{name}.{kind}")

    driver = FolderDriver(folder)
    driver.open()
    send("before", still, 0)
    driver.shoot()
    driver.forget()
    for name, age_s in (("one", 60), ("another", 55)):
        send(name, others[0], age_s)
        in_vain(driver, monkeypatch)
    send("this", still, -2)
    assert driver.shoot()


@pytest.mark.parametrize("what", ["junk", "huge"])
def test_a_damaged_file_is_left_and_the_next_picture_is_taken(folder, still, what):
    """Where a size of 65535 squared stands in the header (SOF0: ITU-T T.81, B.2.2), or nothing does."""
    at = still.index(b"\xff\xc0") + 5
    damaged = {"junk": b"\xff\xd8 no picture \xff\xd9", "huge": still[:at] + b"\xff" * 4 + still[at + 4 :]}[what]
    driver = FolderDriver(folder)
    driver.open()
    (folder / "a.jpg").write_bytes(damaged)
    time.sleep(2 * arrivals.SETTLED_S)
    assert driver.next_frame() == folder_camera.blank()
    (folder / "b.jpg").write_bytes(still)
    assert driver.shoot() == still
    assert [path.name for path in folder.iterdir()] == ["a.jpg"]


def test_a_shot_in_vain_tells_of_the_file_that_could_not_be_used(folder, still, monkeypatch):
    driver = FolderDriver(folder)
    driver.open()
    (folder / "half.jpg").write_bytes(still[: len(still) // 2])
    assert "within 3 s; half.jpg is not a whole JPEG" in in_vain(driver, monkeypatch, 3.0)


def test_a_folder_that_is_not_there_is_a_fault_in_words(tmp_path):
    with pytest.raises(CameraFault, match="cannot be read"):
        FolderDriver(tmp_path / "nowhere").open()


def releasing(folder, script, **options):
    """Return an open driver whose command is a shell script."""
    driver = FolderDriver(folder, command=("sh", "-c", script), **options)
    driver.open()
    return driver


def test_a_command_releases_the_camera_and_what_came_before_it_is_not_the_shot(folder, still, others, tmp_path):
    (tmp_path / "next.jpg").write_bytes(still)
    driver = releasing(folder, f"sleep 0.3; cp {tmp_path}/next.jpg taken.jpg")
    empty = driver.next_frame()
    (folder / "by hand.jpg").write_bytes(others[0])
    shown(driver, empty)
    assert driver.shoot() == still
    assert list(folder.iterdir()) == []
    driver.close()


@pytest.mark.parametrize(
    ("script", "said"),
    [
        ("echo no lens; echo no lens >&2; exit 3", "its command sh ended with code 3: no lens"),
        ("exit 1", "its command sh ended with code 1: it gave no reason that can be shown"),
        ("printf '\\377\\330\\377' >&2; exit 1", "it gave no reason that can be shown"),
        ("kill -9 $$", "its command sh was ended by signal 9"),
    ],
)
def test_a_command_that_fails_ends_the_shot_at_once_with_its_own_words(folder, script, said):
    driver = releasing(folder, script)
    with pytest.raises(CameraFault) as caught:
        driver.shoot()
    assert said in str(caught.value)
    driver.close()


def test_a_command_that_is_not_there_is_named(folder):
    driver = FolderDriver(folder, command=("no-such-program",))
    driver.open()
    with pytest.raises(CameraFault, match="its command no-such-program cannot be run: no such file or directory"):
        driver.shoot()


def test_a_command_that_hangs_is_ended_with_all_it_started_and_its_late_picture_is_nobodys(
    folder, still, tmp_path, monkeypatch
):
    (tmp_path / "next.jpg").write_bytes(still)
    once = f"[ -e {tmp_path}/hung ] && cp {tmp_path}/next.jpg second.jpg && exit; touch {tmp_path}/hung; "
    driver = releasing(folder, once + f"(sleep 600; cp {tmp_path}/next.jpg late.jpg) & echo $! > {tmp_path}/pid; wait")
    in_vain(driver, monkeypatch, 3.0)
    assert driver.shoot() == still
    started = int((tmp_path / "pid").read_text())
    stat = Path(f"/proc/{started}/stat")
    wait_for(lambda: not stat.exists() or stat.read_text().split()[2] == "Z")
    driver.close()


def test_the_command_of_the_settings_runs_at_a_shot_and_its_picture_comes_under_the_ticket(folder, still, tmp_path):
    (tmp_path / "next.jpg").write_bytes(still)
    written = tmp_path / "booth.toml"
    written.write_text(
        '[booth]\ndocuments = ["gb-passport-print"]\n[printer]\nbackend = "folder"\nfolder = "prints"\n'
        f'[camera]\nbackend = "folder"\nfolder = "in"\ncommand = ["cp", "{tmp_path}/next.jpg", "taken.jpg"]\n'
    )
    camera, _ = make_camera(read_settings(written))
    camera.start()
    until(camera, DeviceReady)
    camera.shoot(Ticket(7))
    assert until(camera, StillTaken) == StillTaken(Ticket(7), still)
    camera.close()
