"""A network camera in the setup: its password is asked for without being shown, and kept where nobody gives another."""

import io

import pytest

from kiosk.setup.ask import Terminal
from kiosk.setup.questions import camera
from tests.support.setup_walk import lines, walked

PASSWORD = "sesquipedalian"
NOW = {
    "backend": "rtsp",
    "address": "rtsp://192.0.2.7/live",
    "user": "booth",
    "password": PASSWORD,
    "still_px": [1920, 1080],
}


def answered(*answers, now=NOW):
    shown = io.StringIO()
    given = camera(Terminal(io.StringIO("".join(f"{answer}\n" for answer in answers)), shown), now)
    assert PASSWORD not in shown.getvalue()
    return given


def test_enter_keeps_a_network_camera_with_its_password():
    assert answered("", "", "", "", "") == NOW


def test_another_user_has_another_password_and_none_has_none():
    assert answered("", "", "guest", "", "")["password"] == ""
    assert answered("", "", "guest", "floccinaucinihil", "")["password"] == "floccinaucinihil"
    other = answered("", "", "-", "")
    assert (other["user"], other["password"]) == (None, None)


@pytest.mark.parametrize("wrong", [f"rtsp://booth:{PASSWORD[:4]}@192.0.2.7/live", "http://192.0.2.7/live", "192.0.2.7"])
def test_what_is_no_address_of_a_stream_is_asked_for_again(wrong):
    assert answered("", wrong, "rtsp://192.0.2.8:8554/", "", "", "")["address"] == "rtsp://192.0.2.8:8554/"


def test_the_summary_does_not_show_the_password(tmp_path):
    path = tmp_path / "booth.toml"
    changed = lines("device", camera="rtsp", pixels=f"rtsp://192.0.2.7/live\nbooth\n{PASSWORD}\n1920x1080")
    written, shown = walked(path, changed)
    assert written, shown
    assert PASSWORD in path.read_text()
    assert PASSWORD not in shown
    assert "camera.password = set" in shown
