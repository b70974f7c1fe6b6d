"""Holdstill: a kiosk that photographs a sitter until the picture conforms, then prints it at true scale."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
"""Sums over a face's 478 landmarks are too small for several threads: waking a second one takes longer than the sum.
Numpy reads the variable when it is loaded."""

__version__ = "0.2.0"
