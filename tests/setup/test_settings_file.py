"""The file that `holdstill setup` writes: whole or not at all, and where its service may read it."""

import pytest

from kiosk.errors import AnswersEnded, CannotWrite, SettingsRefused
from kiosk.settings import read_settings
from kiosk.setup.file import SYSTEM_PLACES, SettingsFile
from tests.support.setup_walk import lines, walked


def test_answers_that_end_early_leave_the_file_as_it_was(tmp_path):
    path = tmp_path / "booth.toml"
    for count in (0, 5, len(lines()) - 1):
        with pytest.raises(AnswersEnded, match="nothing was written"):
            walked(path, lines()[:count])
        assert list(tmp_path.iterdir()) == []
    walked(path, lines())
    before = path.read_text()
    with pytest.raises(AnswersEnded):
        walked(path, ["event"])
    assert path.read_text() == before


def test_no_to_the_last_question_leaves_everything(tmp_path):
    written, shown = walked(tmp_path / "b.toml", lines(write="no"))
    assert not written
    assert "Nothing was changed" in shown
    assert list(tmp_path.iterdir()) == []


def test_on_a_booths_machine_everything_lies_where_its_service_may_write(tmp_path):
    path = tmp_path / "settings.toml"
    walked(path, lines(folder=""), system=tmp_path)
    settings = read_settings(path)
    assert settings.booth.session_folder == SYSTEM_PLACES["booth"]["session_folder"] == "/run/holdstill"
    assert settings.printer.folder == "/var/lib/holdstill/prints"
    assert str(settings.ledger_file) == "/var/lib/holdstill/ledger.sqlite3"
    assert settings.logs.folder == "/var/log/holdstill"


def test_a_file_with_a_fault_is_left_to_a_person(tmp_path):
    path = tmp_path / "booth.toml"
    path.write_text("[booth]\nshotz = 3\n")
    with pytest.raises(SettingsRefused):
        SettingsFile(path)
    with pytest.raises(CannotWrite, match="its folder does not exist"):
        SettingsFile(tmp_path / "none" / "booth.toml")
