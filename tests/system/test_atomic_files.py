"""A file is there whole or not at all, and who may read it stays as it was."""

import stat

import pytest

from kiosk.system.atomic_files import write_whole


@pytest.mark.parametrize("mode", [0o640, 0o600, 0o644])
def test_the_readers_of_a_file_stay(tmp_path, mode):
    path = tmp_path / "settings.toml"
    path.write_text("old")
    path.chmod(mode)
    write_whole(path, b"new")
    assert (path.read_bytes(), stat.S_IMODE(path.stat().st_mode)) == (b"new", mode)


def test_a_new_file_is_for_its_owner_alone(tmp_path):
    write_whole(tmp_path / "new", b"x")
    assert stat.S_IMODE((tmp_path / "new").stat().st_mode) == 0o600
