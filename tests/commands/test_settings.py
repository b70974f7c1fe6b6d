import json
import tomllib

import pytest

from kiosk.cli import main
from kiosk.errors import EXIT_DONE
from kiosk.settings import read_settings
from tests.support.pin import CHEAP_HASH

CHAIN = """
[printer]
backend = "folder"
folder = "prints"

[prices]
currency = "GBP"
documents = { "us visa" = 12.00 }

[[confirmations]]
document = "us-visa"
by = "Ada Chain"
on = 2026-11-01
source = "the authority"
"""
BOOTH = f"""
layers = ["chain.toml"]

[booth]
documents = ["gb-passport-print"]
name = "till 2"

[camera]
backend = "uvc"
device = 0

[attendant]
pin_hash = "{CHEAP_HASH}"
"""


@pytest.fixture
def booth(tmp_path):
    (tmp_path / "chain.toml").write_text(CHAIN)
    path = tmp_path / "booth.toml"
    path.write_text(BOOTH)
    return path


def test_each_value_is_shown_with_the_file_that_it_comes_from(booth, capsys):
    assert main(["settings", "--settings", str(booth), "--json"]) == EXIT_DONE
    rows = {row["key"]: (row["value"], row["origin"]) for row in json.loads(capsys.readouterr().out)}
    assert rows["booth.name"] == ("till 2", str(booth))
    assert rows["prices.currency"] == ("GBP", str(booth.parent / "chain.toml"))
    assert rows["prices.documents.us visa"] == ("12", str(booth.parent / "chain.toml"))
    assert rows["booth.shots"] == (read_settings(booth).booth.shots, "default")


def test_what_is_added_up_is_shown_with_every_file_that_adds_to_it(booth, capsys):
    own = '[[confirmations]]\ndocument = "in-passport"\nby = "Bo Till"\non = 2026-11-20\nsource = "its own page"\n'
    booth.write_text(booth.read_text() + own)
    assert main(["settings", "--settings", str(booth), "--json"]) == EXIT_DONE
    (row,) = (row for row in json.loads(capsys.readouterr().out) if row["key"] == "confirmations")
    assert [one["document"] for one in row["value"]] == ["us-visa", "in-passport"]
    assert row["origin"] == f"{booth.parent / 'chain.toml'}, {booth}"


def test_the_lines_are_toml_of_the_same_values(booth, capsys):
    assert main(["settings", "--settings", str(booth), "--json"]) == EXIT_DONE
    rows = json.loads(capsys.readouterr().out)
    assert main(["settings", "--settings", str(booth)]) == EXIT_DONE
    table = tomllib.loads(capsys.readouterr().out)
    assert table["booth"]["name"] == "till 2"
    assert table["prices"]["documents"] == {"us visa": "12"}
    assert [row["value"] for row in rows if row["key"] == "confirmations"] == [table["confirmations"]]


def test_no_secret_is_shown(booth, capsys):
    assert main(["settings", "--settings", str(booth)]) == EXIT_DONE
    shown = capsys.readouterr().out
    assert CHEAP_HASH not in shown
    assert "Ada Chain" not in shown
