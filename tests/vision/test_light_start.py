"""What a command loads to measure one photo: none of the libraries that mediapipe brings for drawing and for tasks."""

import subprocess
import sys
from pathlib import Path

SITTER = Path(__file__).parents[2] / "demo" / "sitter" / "yaw+00_pitch+00.jpg"
PROGRAM = """
import sys
from kiosk.cli import main
code = main(["measure", sys.argv[1], "--document", "gb-passport-print", "--json"])
print(code, *sorted(sys.modules), file=sys.stderr)
"""


def test_one_photo_is_measured_without_what_only_drawing_needs() -> None:
    told = subprocess.run([sys.executable, "-c", PROGRAM, SITTER], check=True, capture_output=True, text=True)
    code, *loaded = told.stderr.split()
    assert code == "0"
    assert "mediapipe.python.solutions.face_mesh" in loaded
    needless = ("matplotlib", "mediapipe.tasks", "skia", "pikepdf", "fontTools", "pygame", "sqlalchemy", "rich")
    assert not set(needless) & set(loaded)
