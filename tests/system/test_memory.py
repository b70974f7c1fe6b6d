"""A process that keeps its memory to itself: what others of the same user read of it, and what it has freed."""

import os
import platform
import subprocess
import sys

import pytest

NOBODY = 65534
READER = f"""
import os, sys
os.setgroups([]); os.setgid({NOBODY}); os.setuid({NOBODY})
pid = sys.argv[1]
span = next(line for line in open(f"/proc/{{pid}}/maps") if " rw-p " in line).split("-")[0]
memory = open(f"/proc/{{pid}}/mem", "rb")
memory.seek(int(span, 16))
print(len(memory.read(64)))
"""
HOLDER = f"""
import ctypes, os, sys
from kiosk.system.memory import keep_to_itself
os.setgroups([]); os.setgid({NOBODY}); os.setuid({NOBODY})
ctypes.CDLL(None).prctl(4, 1, 0, 0, 0)  # the change of the user has set it, which a booth does not go through
%s
print("ready", flush=True)
sys.stdin.read()
"""
BOOTH = "from kiosk.cli import main; main(['booth', '--settings', '/nowhere.toml'])"
CAMERA = """
import sys
from multiprocessing import Pipe
from kiosk.devices.camera import child_main
ours, theirs = Pipe()
child_main.Mailbox = child_main._serve = child_main.end_with_parent = lambda *_: None
sys.argv[1:] = map(str, (theirs.fileno(), 0, 0, 0, 0))
child_main.main()
"""


FREED = """
import ctypes
from kiosk.system.memory import keep_to_itself
libc = ctypes.CDLL(None)
libc.malloc.restype, libc.free.argtypes = ctypes.c_void_p, [ctypes.c_void_p]
%s
picture = libc.malloc(100_000)
ctypes.memset(picture, 0x55, 100_000)
above = libc.malloc(100_000)  # so that the picture's memory is in the middle of the heap
libc.free(picture)
print(ctypes.string_at(picture, 100_000).count(b"\\x55"), ctypes.string_at(above, 100_000).count(0))
"""


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="mallopt(3)")
@pytest.mark.parametrize(("act", "legible"), [("", range(90_000, 100_001)), ("keep_to_itself()", range(100))])
def test_what_is_freed_is_overwritten_and_what_is_new_is_zero(act, legible):
    run = subprocess.run([sys.executable, "-c", FREED % act], capture_output=True, text=True, check=True)
    left, zeros = map(int, run.stdout.split())
    assert left in legible
    assert not act or zeros == 100_000


@pytest.mark.skipif(os.geteuid() != 0, reason="becomes another user, who may look into its own processes")
@pytest.mark.parametrize(("act", "is_read"), [("", True), ("keep_to_itself()", False)])
def test_another_program_of_the_same_user_reads_no_memory(act, is_read):
    command = [sys.executable, "-c", HOLDER % act]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as holder:
        assert holder.stdout.readline() == b"ready\n"
        reader = [sys.executable, "-c", READER, str(holder.pid)]
        run = subprocess.run(reader, capture_output=True, text=True, check=False)
        holder.stdin.close()
    assert (run.stdout == "64\n") == is_read, run.stderr
    assert is_read or "PermissionError" in run.stderr


@pytest.mark.parametrize("program", [BOOTH, CAMERA], ids=["booth", "camera"])
def test_each_process_that_holds_pictures_keeps_its_memory(program):
    """PR_GET_DUMPABLE of prctl(2)."""
    asked = program + "\nimport ctypes; print(ctypes.CDLL(None).prctl(3, 0, 0, 0, 0))"
    run = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert run.stdout == "0\n"
