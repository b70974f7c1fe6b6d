"""A real Prometheus, as Debian packages it, reads a booth's metrics over TLS, and its alerts say what the booth says.

The rules themselves are tried with made-up series by Prometheus's own `promtool`, tests/data/alerts_test.yml.
"""

import contextlib
import hashlib
import json
import re
import shutil
import signal
import socket
import subprocess
import threading
import time
import urllib.parse
import urllib.request
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from kiosk.core.attendant.state import NO_PAPER
from kiosk.core.base.mains import MAINS_ADVICE
from kiosk.core.view.metrics import Installed
from kiosk.errors import KioskError, all_errors
from kiosk.page.child_process import Interpreter
from kiosk.page.messages import Endpoint, Monitoring, Serve
from kiosk.page.supervisor import SupervisedPage
from kiosk.system.clock import SystemClock
from tests.support import quick_booth
from tests.support.page_lab import certify
from tests.support.pin import CHEAP_HASH

ROOT = Path(__file__).parents[2]
FLEET = ROOT / "hardware" / "fleet"
TOKEN = "5eed" * 16
WAIT_S = 180.0
"""After it a wait is given up; it tells a hang from a busy machine and is no promise."""
OWN_KEYS = {"no_paper": NO_PAPER[1], "mains_failed": MAINS_ADVICE}
"""Next steps of what is no error."""

pytestmark = pytest.mark.skipif(shutil.which("promtool") is None, reason="needs Debian's package prometheus")


def promtool(*arguments):
    return subprocess.run(["promtool", *arguments], capture_output=True, text=True, check=False)


def test_the_rules_are_rules_and_fire_when_they_should():
    checked = promtool("check", "rules", FLEET / "alerts.yml")
    assert checked.returncode == 0, checked.stdout + checked.stderr
    tried = promtool("test", "rules", ROOT / "tests" / "data" / "alerts_test.yml")
    assert tried.returncode == 0, tried.stdout + tried.stderr


def test_the_example_of_a_configuration_is_one(tmp_path):
    for name in ("prometheus.yml", "alerts.yml"):
        shutil.copy(FLEET / name, tmp_path / name)
    (tmp_path / "token").write_text(TOKEN)
    certify(tmp_path)
    (tmp_path / "certificate.pem").rename(tmp_path / "booths.pem")
    checked = promtool("check", "config", tmp_path / "prometheus.yml")
    assert checked.returncode == 0, checked.stdout + checked.stderr


def test_every_fault_of_a_device_or_a_disk_has_an_alert_of_its_own():
    """By the exit codes of cameras and lines, printers, proofs and payment units."""
    closing_keys = {error.key for error in all_errors() if error.exit_code in (20, 21, 24, 27)}
    alerts = (FLEET / "alerts.yml").read_text("utf-8")
    missing = {key for key in closing_keys | {"cannot_write"} if f'holdstill_fault_active{{key="{key}"}}' not in alerts}
    assert missing == set()


@contextlib.contextmanager
def running_booth(folder):
    """Run a booth whose page is served over TLS by its own process; yield its port."""
    where = Endpoint("127.0.0.1", 0, (), folder / "certificate.pem", folder / "key.pem")
    facts = Installed({"version": "1.2.3"}, date(2026, 11, 1), date(2036, 11, 1))
    monitoring = Monitoring(hashlib.sha256(TOKEN.encode()).hexdigest(), facts)
    page = SupervisedPage(Serve(where, "Lantern", monitoring), SystemClock(), Interpreter)
    ending = threading.Event()
    with contextlib.closing(page), quick_booth.opened(folder, pin_hash=CHEAP_HASH, page=page) as (loop, parts):
        parts.desk.desk = replace(parts.desk.desk, sheets=7)

        def run():
            while not ending.wait(0.01):
                parts.clock.sleep(1 / 30)
                loop.tick()

        turning = threading.Thread(target=run)
        turning.start()
        try:
            yield page.port
        finally:
            ending.set()
            turning.join()


class Prometheus:
    """A server on loopback, and its HTTP API (prometheus.io/docs, HTTP API, version 1)."""

    def __init__(self, port):
        self._api = f"http://127.0.0.1:{port}/api/v1/"

    def ask(self, what, **query):
        """Return the data of an answer."""
        with urllib.request.urlopen(f"{self._api}{what}?{urllib.parse.urlencode(query)}", timeout=30) as answer:
            return json.load(answer)["data"]

    def value(self, query):
        """Return the value of a query's only series; None where there is none."""
        found = self.ask("query", query=query)["result"]
        return float(found[0]["value"][1]) if found else None

    def firing(self, name):
        """Return the firing alert of a name; None where none is."""
        alerts = self.ask("alerts")["alerts"]
        return next((a for a in alerts if a["labels"]["alertname"] == name and a["state"] == "firing"), None)


def eventually(check):
    """Return what a check returns once it holds, or at last."""
    end_s = time.monotonic() + WAIT_S
    while True:
        with contextlib.suppress(OSError):
            found = check()
            if found or time.monotonic() > end_s:
                return found
        assert time.monotonic() < end_s
        time.sleep(0.5)


@contextlib.contextmanager
def prometheus(folder, booth_port, token=TOKEN):
    """Run a server with the fleet's own files, but every three seconds, and alerts after two."""
    (folder / "alerts.yml").write_text(re.sub("for: .*", "for: 2s", (FLEET / "alerts.yml").read_text()))
    config = (FLEET / "prometheus.yml").read_text()
    for example, here in (
        ("scrape_interval: 15s", "scrape_interval: 3s\n  scrape_timeout: 3s\n  evaluation_interval: 1s"),
        ("booths.pem", str(folder / "certificate.pem")),
        ("booth.shop.example:8443", f"127.0.0.1:{booth_port}"),
    ):
        assert example in config
        config = config.replace(example, here)
    (folder / "prometheus.yml").write_text(config)
    (folder / "token").write_text(f"{token}\n")
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    options = [
        f"--config.file={folder / 'prometheus.yml'}",
        f"--storage.tsdb.path={folder / 'series'}",
        f"--web.listen-address=127.0.0.1:{port}",
        "--storage.tsdb.retention.time=1h",
        "--log.level=warn",
    ]
    with (folder / "prometheus.log").open("wb") as log:
        server = subprocess.Popen(["prometheus", *options], stdout=log, stderr=log)
    try:
        yield Prometheus(port)
    finally:
        server.send_signal(signal.SIGTERM)
        server.wait(60)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("watched")
    certify(made)
    return made


@pytest.fixture(scope="module")
def booth_port(folder):
    with running_booth(folder) as port:
        yield port


@pytest.fixture(scope="module")
def watched(folder, booth_port):
    with prometheus(folder, booth_port) as server:
        yield server


@pytest.mark.slow
def test_a_server_reads_the_booth_over_tls(watched):
    assert eventually(lambda: watched.value("up") == 1)
    assert watched.value('holdstill_build_info{version="1.2.3"}') == 1
    assert watched.value('holdstill_state{holdstill_state="welcome"}') == 1
    assert watched.value("holdstill_sheets_left") == 7
    assert watched.value('holdstill_part_up{part="printer", booth="north 1", region="north"}') == 1
    assert eventually(lambda: (watched.value("rate(holdstill_frames_total[10s])") or 0) > 0)
    assert eventually(lambda: watched.firing("PaperLow"))["annotations"]["summary"] == "7 sheets are left."


@pytest.mark.slow
def test_the_dashboard_asks_what_the_server_understands(watched):
    assert eventually(lambda: watched.value("up") == 1)
    panels = json.loads((FLEET / "dashboard.json").read_text("utf-8"))["panels"]
    asked = {panel["title"]: target["expr"] for panel in panels for target in panel["targets"]}
    answers = {
        title: watched.ask("query", query=query.replace("$booth", "north.*"))["result"]
        for title, query in asked.items()
    }
    assert answers["Does it respond?"][0]["value"][1] == "1"
    doing = answers["What it is doing, and for how long"]
    assert [(each["metric"]["booth"], each["metric"]["holdstill_state"]) for each in doing] == [("north 1", "welcome")]
    assert answers["Versions"][0]["metric"]["version"] == "1.2.3"


@pytest.mark.slow
def test_an_alert_fires_when_the_printer_fails_and_ends_when_it_works(watched, folder):
    assert eventually(lambda: watched.value("up") == 1)
    assert watched.firing("PrinterFault") is None
    shutil.rmtree(folder / "prints", ignore_errors=True)
    (folder / "prints").write_text("no folder")
    fired = eventually(lambda: watched.firing("PrinterFault"))
    assert fired["annotations"]["summary"] == "The printer stopped."
    assert fired["labels"]["booth"] == "north 1"
    assert eventually(lambda: watched.value('holdstill_part_up{part="printer"}') == 0)
    assert eventually(lambda: watched.firing("BoothOutOfOrder"))
    (folder / "prints").unlink()
    assert eventually(lambda: watched.firing("PrinterFault") is None)
    assert eventually(lambda: watched.value('holdstill_fault_active{key="printer_fault"}') == 0)


@pytest.mark.slow
def test_each_alert_says_what_the_program_says(watched):
    """The next step as it is; the sentence where it is one without what is filled in."""
    rules = eventually(lambda: watched.ask("rules")["groups"])
    faults = {}
    for rule in (rule for group in rules for rule in group["rules"]):
        assert {"summary", "description"} <= set(rule["annotations"]), rule["name"]
        if found := re.search(r'holdstill_fault_active{key="(\w+)"}', rule["query"]):
            faults[found[1]] = rule["annotations"]
    errors = {error.key: error for error in all_errors()}
    assert len(faults) == 16
    assert faults.keys() - errors.keys() == {"no_paper", "mains_failed", "booth_shut"}
    for key, said in faults.items():
        if key in errors:
            assert said["description"] == errors[key].next_step
            assert said["summary"] == WITHOUT_DETAIL.get(key, plain(errors[key])), key
        elif key in OWN_KEYS:
            assert said["description"] == OWN_KEYS[key]
    assert faults["no_paper"]["summary"] == NO_PAPER[0]


WITHOUT_DETAIL = {
    "cannot_write": "A file cannot be written.",
    "camera_setting_refused": "The camera cannot be set as the settings ask.",
    "device_timeout": "A device did not finish in time.",
    "line_fault": "A GPIO line has a fault.",
    "payment_unknown": "It is not known whether the payment unit has taken the money.",
    "sheet_unknown": "It is not known whether a printer has printed the sheet.",
}
"""Sentences that say little without what is filled in."""


def plain(error: type[KioskError]) -> str:
    """Return an error's sentence without what is filled in."""
    return re.sub(r":? \{\w+\}", "", error.sentence)


@pytest.mark.slow
def test_a_wrong_token_leaves_the_booth_unread(folder, booth_port, tmp_path):
    shutil.copy(folder / "certificate.pem", tmp_path)
    with prometheus(tmp_path, booth_port, token="f" * 64) as server:
        target = eventually(
            lambda: next((t for t in server.ask("targets")["activeTargets"] if "401" in t["lastError"]), None)
        )
        assert target["health"] == "down"
        assert eventually(lambda: server.firing("BoothSilent"))
