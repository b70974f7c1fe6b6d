"""Install bundles of rules, killed at one change of a file after another: a process with `cut.c` preloaded."""

import ctypes
import json
import os
import shutil
import sys
from pathlib import Path

from kiosk.catalogue.bundle import read_bundle
from kiosk.catalogue.installed import install


def sweep(bundle_folder: Path, signers: Path, rules: Path, out: Path) -> int:
    """Install a bundle over copies of `rules`, each killed one change later; return how many there were."""
    library, bundle = ctypes.CDLL(None), read_bundle(bundle_folder, signers)
    changes = 0
    for torn in (0, 1):
        nth = 0
        while True:
            nth += 1
            copy = out / f"{nth}-{torn}"
            shutil.copytree(rules, copy, symlinks=True)
            child = os.fork()
            if child == 0:
                library.cut_arm(nth, torn)
                install(copy, bundle, lambda _: None)
                os._exit(0)
            _, status = os.waitpid(child, 0)
            changes += 1
            if not os.WIFSIGNALED(status):
                break
    return changes


if __name__ == "__main__":
    print(json.dumps(sweep(*map(Path, sys.argv[1:]))))
