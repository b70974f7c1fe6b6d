"""Go on with the repository's own Python where the one that was started does not know the project.

Every command under tests/bench imports this first. It also makes the package `tests` importable.
"""

from __future__ import annotations

import importlib.util
import os
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
HOME = ROOT / ".venv"
PYTHON = HOME / "bin" / "python"

if importlib.util.find_spec("kiosk") is None:
    if not PYTHON.exists() or Path(sys.prefix).resolve() == HOME.resolve():
        sys.exit(f"{HOME} is not ready: run tests/run first")
    os.execv(PYTHON, [str(PYTHON), *sys.argv])
sys.path.insert(0, str(ROOT))

import kiosk  # noqa: E402, F401  before numpy, as in the booth: it sets how sums are shared out
