"""The settings of a booth on a private print server, for the commands that print on it."""

from pathlib import Path


def cups_booth(path: Path, port: int, queue: str, *lines: str) -> Path:
    """Write the settings of a booth with one queue, followed by further lines of its printer and of other tables."""
    rest = "\n".join(lines)
    path.write_text(
        f"""[booth]
documents = ["gb-passport-print"]
state_folder = "state"
[camera]
backend = "uvc"
[printer]
backend = "cups"
queue = "{queue}"
port = {port}
{rest}
"""
    )
    return path
