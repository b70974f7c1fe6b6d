"""Check a file's signature with OpenSSH's own tool, `ssh-keygen -Y` (ssh-keygen(1); its PROTOCOL.sshsig)."""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

LONGEST_S = 20.0
"""How long the tool may take: it answers within milliseconds, unless the disk hangs (practice)."""


def signer_of(content: bytes, signature: bytes, signers: Path, namespace: str) -> str:
    """Return who signed `content` for that purpose, as the file of allowed signers names them.

    Raises
    ------
    ValueError
        The signature is not of this content, of another namespace, or of nobody in the file; the message is a reason
        that fits into a sentence.
    """
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "signature"
        copy.write_bytes(signature)
        known = _keygen("find-principals", "-s", copy, "-f", signers)
        if not known:
            raise ValueError(f"nobody in {signers} has signed it")
        signer = known.splitlines()[0].decode(errors="replace")
        if not _keygen("verify", "-I", signer, "-n", namespace, "-s", copy, "-f", signers, content=content):
            raise ValueError(f"the signature of {signer} does not belong to it, or is not one for {namespace}")
    return signer


def _keygen(act: str, *arguments: str | Path, content: bytes = b"") -> bytes:
    """Return what the tool prints, empty where it refuses."""
    try:
        done = subprocess.run(
            ["ssh-keygen", "-Y", act, *arguments], input=content, capture_output=True, timeout=LONGEST_S, check=False
        )
    except FileNotFoundError:
        raise ValueError("ssh-keygen is not installed; Debian has it in openssh-client") from None
    except subprocess.TimeoutExpired:
        raise ValueError(f"ssh-keygen did not answer within {LONGEST_S:.0f} s") from None
    return done.stdout.strip() if done.returncode == 0 else b""
