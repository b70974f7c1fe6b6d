"""Who follows what the booth says."""

from __future__ import annotations

from typing import Literal

Care = Literal["self", "child", "lying"]
"""The sitter, a carer for a small child, or a carer for a baby that lies below the camera."""
