import pytest

from kiosk.errors import SettingsRefused
from kiosk.settings import read_settings

GOOD = """
[booth]
documents = ["gb-passport-print"]
languages = ["en", "ar"]

[camera]
backend = "uvc"
device = 0

[printer]
backend = "folder"
folder = "prints"
"""


def written(tmp_path, text):
    path = tmp_path / "settings.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_paths_are_taken_from_the_files_own_folder(tmp_path):
    settings = read_settings(written(tmp_path, GOOD))
    assert settings.path(settings.printer.folder) == tmp_path / "prints"
    assert settings.path("/srv/prints").as_posix() == "/srv/prints"
    assert settings.paper.medium == "4x6in"


@pytest.mark.parametrize(
    ("change", "where", "detail"),
    [
        (("[booth]", "[booth]\nshotz = 3"), "booth.shotz", "unknown key"),
        (("[printer]", "[printerr]"), "printer", "field required"),
        (('"folder"\nfolder', '"folder"\nfolders'), "printer.folder", "field required"),
        (('backend = "uvc"', 'backend = "polaroid"'), "camera", "backend"),
        (("device = 0", "device = 0\nspeed = 1"), "camera.speed", "unknown key"),
        (('["gb-passport-print"]', "[]"), "booth.documents", "at least 1 item"),
        (('["gb-passport-print"]', '"gb-passport-print"'), "booth.documents", "valid array"),
        (("[booth]", "file = '/x'\n[booth]"), "file", "unknown key"),
        (("[booth]", "[booth"), "file", "not TOML"),
    ],
)
def test_a_wrong_file_is_refused_with_its_key_and_reason(tmp_path, change, where, detail):
    path = written(tmp_path, GOOD.replace(*change))
    with pytest.raises(SettingsRefused) as refused:
        read_settings(path)
    assert str(path) in str(refused.value)
    assert refused.value.params["where"] == where
    assert detail in str(refused.value.params["detail"])


def test_a_missing_file_is_said_plainly(tmp_path):
    with pytest.raises(SettingsRefused, match="No such file"):
        read_settings(tmp_path / "nowhere.toml")


def test_bytes_that_are_no_text_are_refused(tmp_path):
    path = tmp_path / "settings.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SettingsRefused, match="not TOML"):
        read_settings(path)
