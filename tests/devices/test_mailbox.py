from __future__ import annotations

import contextlib
import mmap
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kiosk.devices.camera.mailbox import Mailbox
from tests.devices.camera_process.patience import open_files, shared_memory, wait_for

WRITER = Path(__file__).with_name("mailbox_writer.py")
CAPACITY = 100_000


@pytest.fixture
def mailbox():
    made = Mailbox.create(CAPACITY)
    yield made
    made.close()


@contextlib.contextmanager
def hammering(mailbox):
    """Run a writer process until the end of the block, then kill it wherever it is."""
    descriptor = mailbox.fileno()
    command = [sys.executable, "-W", "error", str(WRITER), str(descriptor), str(CAPACITY)]
    with subprocess.Popen(command, pass_fds=[descriptor], stderr=subprocess.PIPE) as writer:
        begun = mailbox.sequence()
        end_s = time.monotonic() + 60
        while mailbox.sequence() < begun + 3:
            assert time.monotonic() < end_s, "the writer does not write"
        yield
        writer.kill()
        assert writer.stderr.read() == b""


def is_whole(frame):
    """Tell whether a payload is the one that its number stands for."""
    number = frame.sequence
    return frame.taken_s == number and frame.jpeg == bytes([number % 251]) * (number * 7919 % CAPACITY)


def test_an_empty_mailbox_has_nothing(mailbox):
    assert mailbox.newest() is None
    assert mailbox.sequence() == 0


@given(st.lists(st.binary(max_size=300), min_size=1, max_size=8))
@settings(deadline=None)
def test_the_newest_payload_wins(payloads):
    mailbox = Mailbox.create(300)
    for number, payload in enumerate(payloads):
        assert mailbox.put(payload, number / 10) == number + 1
    frame = mailbox.newest()
    assert (frame.jpeg, frame.sequence, frame.taken_s) == (payloads[-1], len(payloads), (len(payloads) - 1) / 10)
    mailbox.close()


def test_a_payload_that_is_too_long_is_refused_and_the_last_one_stays(mailbox):
    mailbox.put(b"first", 1.0)
    with pytest.raises(ValueError, match="do not fit"):
        mailbox.put(bytes(CAPACITY + 1), 2.0)
    assert mailbox.newest().jpeg == b"first"


@pytest.mark.parametrize("place", range(0, 28 + 6))
def test_a_payload_or_header_with_a_flipped_bit_is_not_believed(mailbox, place):
    mailbox.put(b"older", 1.0)
    mailbox.put(b"newest", 2.0)
    content = os.pread(mailbox.fileno(), 2 * (28 + CAPACITY), 0)
    start = content.index(b"newest") - 28
    os.pwrite(mailbox.fileno(), bytes([content[start + place] ^ 1]), start + place)
    assert mailbox.newest().jpeg == b"older"


def test_a_fast_writer_never_shows_a_torn_payload(mailbox):
    seen = []
    with hammering(mailbox):
        end_s = time.monotonic() + 60
        while len(seen) < 300 and time.monotonic() < end_s:
            frame = mailbox.newest()
            if frame is not None and (not seen or frame.sequence != seen[-1]):
                assert is_whole(frame)
                seen.append(frame.sequence)
    assert len(seen) == 300
    assert seen == sorted(seen)


def test_a_writer_killed_in_the_middle_leaves_a_whole_payload_and_the_next_goes_on(mailbox):
    last = 0
    for _ in range(12):
        with hammering(mailbox):
            pass
        with Mailbox(os.dup(mailbox.fileno()), CAPACITY) as reader:
            frame = reader.newest()
        assert is_whole(frame)
        assert frame.sequence > last
        last = frame.sequence


def test_wiped_memory_is_zeroed_and_the_mailbox_still_works(mailbox):
    mailbox.put(b"\xff\xd8 a face", 1.0)
    mailbox.newest()
    mailbox.wipe()
    assert mailbox.newest() is None
    assert not any(os.pread(mailbox.fileno(), 2 * CAPACITY, 0))
    mailbox.put(b"another", 2.0)
    assert mailbox.newest().jpeg == b"another"


def test_it_takes_no_more_memory_than_its_payloads():
    with Mailbox.create(64 << 20) as mailbox:
        mailbox.put(bytes(1000), 1.0)
        assert os.fstat(mailbox.fileno()).st_blocks * 512 <= 4 * mmap.PAGESIZE


def test_nothing_is_left_after_close():
    files, shared = open_files(), shared_memory()
    mailbox = Mailbox.create(CAPACITY)
    mailbox.put(b"a face", 1.0)
    wait_for(lambda: shared_memory() <= shared)
    mailbox.close()
    mailbox.close()
    assert mailbox.newest() is None
    assert open_files() <= files
