"""Bundles of rules, signed by a real key of OpenSSH's, as somebody who keeps a shop's rules makes them."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
from pathlib import Path

from kiosk.catalogue.bundle import NAMESPACE, SIGNATURE, SUMS
from kiosk.catalogue.documents import BUNDLE, SHARED, shipped_folder

FEW = (
    "gb-passport-print",
    "us-passport-print",
    "hr-passport",
    "schengen-visa",
    "schengen-visa-de",
    "event-badge-id1",
    "staff-badge-id1",
)
"""The documents of a bundle: enough for a booth, few enough to be read quickly."""


class Signer:
    """A key, and the file of allowed signers that names it."""

    def __init__(self, folder: Path, name: str = "rules@shop.example") -> None:
        folder.mkdir()
        self.key, self.signers = folder / "key", folder / "signers"
        subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", self.key], check=True)
        public = self.key.with_suffix(".pub").read_text(encoding="ascii").split()
        self.signers.write_text(f'{name} namespaces="{NAMESPACE}" {public[0]} {public[1]}\n', encoding="ascii")

    def bundle(self, folder: Path, version: str, *changes: tuple[str, str, str]) -> Path:
        """Make a bundle out of a few of the shipped rules, with texts replaced in some files, and sign it."""
        folder.mkdir()
        for name in (*SHARED, *(f"{name}.toml" for name in FEW)):
            shutil.copyfile(shipped_folder() / name, folder / name)
        (folder / BUNDLE).write_text(f'version = "{version}"\n', encoding="utf-8")
        for name, old, new in changes:
            text = (folder / name).read_text(encoding="utf-8")
            assert old in text
            (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")
        self.sign(folder)
        return folder

    def sign(self, folder: Path, namespace: str = NAMESPACE) -> None:
        """Write the checksums of what is in a folder, and sign them."""
        lines = [f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.name}\n" for path in folder.glob("*.toml")]
        (folder / SUMS).write_text("".join(sorted(lines)), encoding="ascii")
        (folder / SIGNATURE).unlink(missing_ok=True)
        command = ["ssh-keygen", "-q", "-Y", "sign", "-n", namespace, "-f", self.key, folder / SUMS]
        subprocess.run(command, check=True, capture_output=True)
