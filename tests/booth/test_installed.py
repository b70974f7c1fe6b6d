"""What a monitoring server reads of the program and its rules."""

from datetime import timedelta

from kiosk import __version__
from kiosk.booth.desk_assembly import installed
from kiosk.catalogue.bundle import RulesVersion
from kiosk.core.document.confirmation import is_stale
from kiosk.settings import read_settings
from tests.support.shipped import CATALOGUE

SETTINGS = """
[booth]
documents = ["gb-passport-print", "ca-visa-print"]
rules_last_days = 90
[camera]
backend = "uvc"
[printer]
backend = "folder"
folder = "prints"
"""
CONFIRMED = """
[[confirmations]]
document = "{}"
by = "Ottoline Marchbanks"
on = {}
source = "the authority's page"
"""


def settings(folder, more=""):
    (folder / "booth.toml").write_text(SETTINGS + more)
    return read_settings(folder / "booth.toml")


def test_the_versions_are_those_of_the_program_and_its_rules(tmp_path):
    versions = installed(settings(tmp_path)).versions
    assert versions["version"] == __version__
    assert RulesVersion.parse(versions["rules"]) is not None
    assert versions["mediapipe"] == "0.10.21"


def test_rules_are_due_on_the_day_on_which_the_booth_calls_them_old(tmp_path):
    """The oldest count, and a confirmation makes rules as young as it is."""
    documents = [CATALOGUE.get(name) for name in ("gb-passport-print", "ca-visa-print")]
    later = max(document.read_on for document in documents) + timedelta(10)
    for more, oldest in (
        ("", min(document.read_on for document in documents)),
        ("".join(CONFIRMED.format(document.id, later) for document in documents), later),
    ):
        chosen = settings(tmp_path, more)
        found = installed(chosen)
        assert found.rules_read_on == oldest

        def old(day, chosen=chosen):
            return any(is_stale(document, chosen.confirmations, day, 90) for document in documents)

        assert old(found.rules_due_on)
        assert not old(found.rules_due_on - timedelta(1))
