"""A photo leaves the whole booth as a file: each sitter gets their own, and nothing stays behind."""

import io
import os
import signal
import sqlite3
import time
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from kiosk.booth.loop import TICK_S
from kiosk.core.session.events import Failed
from kiosk.core.view.intent import Intent
from kiosk.handover.process import Service
from kiosk.page.messages import Endpoint
from tests.support.handover_lab import Phone, eventually
from tests.support.quick_booth import opened
from tests.support.sights import DOCUMENT

LIMIT_S = 60.0
WAYS = {
    "welcome": Intent("start"),
    "choose": Intent("choose", DOCUMENT.id),
    "prepare": Intent("ready", "6"),
    "privacy": Intent("agree"),
    "review": Intent("accept"),
}
PHONES = Service(Endpoint("127.0.0.1", 0), "", 300.0)


def turn(loop, parts):
    parts.worker.turn()
    loop.tick()
    parts.clock.sleep(TICK_S)
    if loop.session.state in ("printing", "collect", "take_file"):
        time.sleep(0.002)


def until(loop, parts, condition, ways=WAYS):
    end_s = time.monotonic() + LIMIT_S
    loop.tick()
    while not condition():
        assert time.monotonic() < end_s, (loop.session.state, loop.session.handing)
        if loop.session.state in ways:
            loop._step(ways[loop.session.state])
        turn(loop, parts)
        if loop.session.state in ("collect", "take_file"):
            loop.session = replace(loop.session, active_s=parts.clock.now_s())


def stage(loop, *stages):
    return lambda: loop.session.handing.stage in stages


def to_phone(loop, parts):
    """Go through a session until its file waits for a phone, and return the phone."""
    until(loop, parts, stage(loop, "kept"))
    loop._step(Intent("take_file"))
    loop._step(Intent("take_file", "phone"))
    until(loop, parts, stage(loop, "link"))
    return Phone(loop.session.handing.link)


def fetch(phone):
    """Return the file by the button of the page, as a phone does."""
    page = phone.ask(phone.page)[2].decode()
    return phone.ask("/" + page.partition('href="')[2].partition('"')[0])


def test_a_sitter_takes_the_photo_at_its_true_size_and_it_is_counted(tmp_path):
    with opened(tmp_path, service=PHONES) as (loop, parts):
        phone = to_phone(loop, parts)
        assert parts.files.names() == [], "the stills are wiped as ever"
        status, headers, jpeg = fetch(phone)
        assert status == 200
        assert DOCUMENT.id in headers["content-disposition"]
        until(loop, parts, stage(loop, "taken"))
        loop._step(Intent("done"))
        assert loop.session.state == "thanks"
        assert parts.ledger.flush(LIMIT_S)
    photo = Image.open(io.BytesIO(jpeg))
    size = DOCUMENT.size_mm
    across, down = (px / dpi * 25.4 for px, dpi in zip(photo.size, photo.info["dpi"], strict=True))
    assert (across, down) == pytest.approx((size.width, size.height), abs=0.1)
    with closing(sqlite3.connect(tmp_path / "ledger" / "ledger.sqlite3")) as ledger:
        assert ledger.execute("SELECT document, way, session_id FROM handed").fetchall() == [
            (DOCUMENT.id, "phone", None)
        ]
        said = "".join(ledger.iterdump())
    assert phone.page[1:] not in said


def test_the_next_sitters_booth_knows_nothing_of_the_first_code(tmp_path):
    with opened(tmp_path, service=PHONES) as (loop, parts):
        first, process = to_phone(loop, parts), parts.handing._held.process
        loop._step(Intent("start_again"))
        until(loop, parts, lambda: loop.session.state == "welcome", ways={})
        assert eventually(lambda: process.is_gone)
        with pytest.raises(ConnectionError):
            first.status(first.page)
        second = to_phone(loop, parts)
        assert second.page != first.page
        for path in (first.page, first.page + second.file[len(second.page) :]):
            assert second.status(path) == 404
        assert fetch(second)[0] == 200


@pytest.mark.parametrize("how", ["idle", "fault"])
def test_the_file_goes_with_whatever_ends_the_session(tmp_path, how):
    with opened(tmp_path, service=PHONES) as (loop, parts):
        to_phone(loop, parts)
        process = parts.handing._held.process
        if how == "idle":
            parts.clock.sleep(PHONES.keep_s + 60.0)
        else:
            loop._step(Failed("The disk is full.", "Empty it.", "cannot_write"))
        until(loop, parts, lambda: loop.session.state not in ("collect", "take_file"), ways={})
        loop.tick()
        assert eventually(lambda: process.is_gone)
        assert loop.session.handing.stage == "none"


def test_a_file_that_is_lost_is_said_and_the_sitter_goes_on(tmp_path):
    with opened(tmp_path, service=PHONES) as (loop, parts):
        to_phone(loop, parts)
        os.kill(parts.handing._held.process.pid, signal.SIGKILL)
        until(loop, parts, stage(loop, "failed"))
        assert (loop.session.state, loop.session.handing.fault) == ("take_file", "lost")
        loop._step(Intent("done"))
        until(loop, parts, lambda: loop.session.state == "welcome", ways={})


def test_nothing_is_held_where_no_file_is_offered(tmp_path):
    with opened(tmp_path) as (loop, parts):
        until(loop, parts, lambda: loop.session.state == "collect")
        assert loop.session.handing.stage == "none"
        loop._step(Intent("take_file"))
        assert loop.session.state == "collect"


def test_no_file_is_on_a_disk(tmp_path):
    with opened(tmp_path, service=PHONES) as (loop, parts):
        jpeg = fetch(to_phone(loop, parts))[2]
        kept = [path for path in Path(tmp_path).rglob("*") if path.is_file() and jpeg[600:700] in path.read_bytes()]
        assert kept == []
