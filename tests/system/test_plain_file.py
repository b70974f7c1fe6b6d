"""Files that people name: whoever opens a pipe waits for its writer (fifo(7)), and /dev/zero never ends (zero(4))."""

import os

import pytest

from kiosk.cli import main
from kiosk.system.plain_file import read_plain

DOCUMENT = ("--document", "gb-passport-print")


def test_a_file_is_read_whole_up_to_its_limit(tmp_path):
    file = tmp_path / "file"
    file.write_bytes(b"12345")
    assert read_plain(file, 5) == b"12345"
    with pytest.raises(OSError, match="larger than"):
        read_plain(file, 4)


@pytest.mark.parametrize(
    ("command", "code"),
    {
        "settings of measure": (("measure", "a.jpg", *DOCUMENT, "--settings", "pipe"), 8),
        "a layer of the settings": (("measure", "a.jpg", *DOCUMENT, "--settings", "own.toml"), 8),
        "a list of guests": (("roster", "import", "pipe", "--roster", "r.db"), 12),
        "a design of a badge": (("badge", "design", "pipe", "-o", "b.pdf"), 7),
    }.values(),
)
def test_a_pipe_in_the_place_of_a_file_is_refused_by_each_command(tmp_path, monkeypatch, capsys, command, code):
    monkeypatch.chdir(tmp_path)
    os.mkfifo("pipe")
    (tmp_path / "own.toml").write_text('layers = ["pipe"]\n', encoding="utf-8")
    assert main(command) == code
    assert "it is no file" in capsys.readouterr().err
