"""An installation of rules is killed at each of its changes of a file: the rules before or after are in force."""

import json
import os
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

from kiosk.catalogue.bundle import read_bundle, version_of
from kiosk.catalogue.documents import Catalogue, shipped_folder
from kiosk.catalogue.installed import CURRENT, in_force, install, versions
from tests.support.signed_rules import Signer

HERE = Path(__file__).parent
FEW = ("gb-passport-print.toml", "bundle.toml")
"""The files of the bundles here: few, so that the sweep stays short."""


def small_bundle(signer, folder, days):
    signer.bundle(folder, str(version_of(shipped_folder()).day + timedelta(days=days)))
    for path in folder.glob("*.toml"):
        if path.name not in FEW:
            path.unlink()
    signer.sign(folder)
    return folder


def test_a_kill_leaves_the_rules_before_or_after(tmp_path):
    """Three versions are installed, so that the fourth one also removes the first."""
    signer, rules, out = Signer(tmp_path / "key"), tmp_path / "rules", tmp_path / "out"
    folders = [small_bundle(signer, tmp_path / f"bundle{days}", days) for days in (1, 2, 3, 4)]
    for folder in folders[:3]:
        install(rules, read_bundle(folder, signer.signers), lambda _: None)
    out.mkdir()
    library = tmp_path / "cut.so"
    subprocess.run(["gcc", "-O1", "-shared", "-fPIC", "-o", library, HERE / "cut.c", "-ldl"], check=True)
    command = [sys.executable, "-m", "tests.crash.rules", folders[3], signer.signers, rules, out]
    environment = {**os.environ, "LD_PRELOAD": str(library)}
    done = subprocess.run(command, cwd=HERE.parents[1], env=environment, capture_output=True, text=True, check=True)
    assert json.loads(done.stdout) > 30
    before, after = (version_of(folder) for folder in folders[2:])
    seen = set()
    for left in sorted(out.iterdir()):
        bundle = in_force(left)
        seen.add(version_of(bundle))
        assert set(Catalogue.load(bundle).documents) == {"gb-passport-print"}, left
        install(left, read_bundle(folders[3], signer.signers), lambda _: None)
        assert version_of(in_force(left)) == after
        assert len(versions(left)) == 3
        assert {path.name for path in left.iterdir()} == {CURRENT, *map(str, versions(left))}, "nothing is left behind"
    assert seen == {before, after}
