"""Run a Python command with the internet forbidden by the kernel: making an internet socket kills the process.

A seccomp filter (seccomp(2), BPF) lets every system call through but `socket(AF_INET…)` and `socket(AF_INET6…)`. It is
set in the child before Python's own program starts and holds for every thread and process that comes after, C++ code
included, so nothing can look away from it.
"""

from __future__ import annotations

import ctypes
import os
import platform
import signal
import socket
import struct
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

KILLED = -signal.SIGSYS
"""Return code of a process that made an internet socket."""

_PR_SET_NO_NEW_PRIVS, _PR_SET_SECCOMP, _SECCOMP_MODE_FILTER = 38, 22, 2
_RET_KILL_PROCESS, _RET_ALLOW = 0x80000000, 0x7FFF0000
_LOAD, _JUMP_IF_EQUAL, _RETURN = 0x20, 0x15, 0x06
_SYSCALL_NUMBER_AT, _FIRST_ARGUMENT_AT = 0, 16
_SOCKET_CALL = {"x86_64": 41, "aarch64": 198}


def _filter() -> bytes:
    """Return the program: five comparisons over struct seccomp_data (linux/seccomp.h)."""
    number = _SOCKET_CALL[platform.machine()]

    def step(code: int, value: int, if_true: int = 0, if_false: int = 0) -> bytes:
        return struct.pack("HBBI", code, if_true, if_false, value)

    return b"".join(
        (
            step(_LOAD, _SYSCALL_NUMBER_AT),
            step(_JUMP_IF_EQUAL, number, 0, 3),
            step(_LOAD, _FIRST_ARGUMENT_AT),
            step(_JUMP_IF_EQUAL, socket.AF_INET, 2, 0),
            step(_JUMP_IF_EQUAL, socket.AF_INET6, 1, 0),
            step(_RETURN, _RET_ALLOW),
            step(_RETURN, _RET_KILL_PROCESS),
        )
    )


def supported() -> bool:
    """Tell whether this machine can set the filter."""
    return sys.platform == "linux" and platform.machine() in _SOCKET_CALL


def forbid_network() -> None:
    """Set the filter in this process, for good."""
    libc = ctypes.CDLL(None, use_errno=True)
    program = _filter()
    buffer = ctypes.create_string_buffer(program, len(program))
    header = struct.pack("HxxxxxxP", len(program) // 8, ctypes.addressof(buffer))
    if libc.prctl(_PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) or libc.prctl(_PR_SET_SECCOMP, _SECCOMP_MODE_FILTER, header, 0, 0):
        raise OSError(ctypes.get_errno(), "the seccomp filter was refused")


def run_without_network(arguments: Sequence[str], timeout_s: float = 120.0) -> subprocess.CompletedProcess[str]:
    """Run `python arguments…` under the filter; its return code is `KILLED` where it made an internet socket."""
    start = (
        "import os, sys; from tests.support.no_network import forbid_network; forbid_network(); "
        "os.execv(sys.executable, [sys.executable, *sys.argv[1:]])"
    )
    environment = os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])}
    command = [sys.executable, "-c", start, *arguments]
    return subprocess.run(command, env=environment, capture_output=True, text=True, timeout=timeout_s, check=False)
