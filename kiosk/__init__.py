"""Holdstill: a kiosk that photographs a sitter until the picture conforms, then prints it at true scale."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
"""Sums over a face's 478 landmarks are too small to be shared out: waking a second thread takes longer than they do.
Numpy reads this when it is loaded."""

__version__ = "0.2.0"
