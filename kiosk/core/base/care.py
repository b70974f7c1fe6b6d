"""Who follows the booth's instructions."""

from __future__ import annotations

from typing import Literal

Care = Literal["self", "child", "lying"]
"""The sitter alone, a carer with a small child, or a carer with a baby that lies below the camera."""
