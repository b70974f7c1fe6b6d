"""Check what the disks say of themselves (SMART), from the answers that the machine's own service has left.

Only an administrator may ask a disk. Therefore `holdstill-disks.service` asks each with smartctl(8) twice a day and
leaves the answers in a folder, as they came; where there is no such folder, nothing is said about disks.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from kiosk.core.view.finding import Finding

ANSWERS = Path("/run/holdstill-disks")
MOST_USED_PERCENT = 90
"""The share of an NVMe disk's life that is warned of; the maker rates its life as 100 (NVM Express base specification,
SMART / Health Information, "Percentage Used", from memory)."""
_NEXT = "Copy what matters and replace the disk soon; `holdstill ledger --restore` brings the books onto the new one."


def disk_findings(answers: Path = ANSWERS) -> Iterator[Finding]:
    """Yield a finding on each disk that has answered; none of them keeps the booth closed."""
    for path in sorted(answers.glob("*.json")):
        try:
            answer = json.loads(path.read_text(encoding="utf-8"))
            complaint = _complaint(answer)
        except (OSError, ValueError, TypeError, AttributeError):
            complaint = "its answer cannot be read"
        if complaint is None:
            continue
        good = complaint == ""
        sentence = f"The disk {path.stem} says that it is well." if good else f"The disk {path.stem}: {complaint}."
        yield Finding(
            "disk_health", "well" if good else "failing", "", good, sentence, "" if good else _NEXT, "machine"
        )


def _complaint(answer: dict[str, Any]) -> str | None:
    """Return what is wrong with a disk, empty if nothing is; None for one that keeps no such record."""
    status = answer.get("smart_status")
    if status is None:
        return None
    if not status["passed"]:
        return "it expects to fail within a day or has failed already"
    attributes = answer.get("ata_smart_attributes", {}).get("table", [])
    failed = [each["name"].replace("_", " ") for each in attributes if each.get("when_failed") == "now"]
    if failed:
        return f"{failed[0]} is below the maker's limit"
    health = answer.get("nvme_smart_health_information_log", {})
    if health.get("available_spare", 100) < health.get("available_spare_threshold", 0):
        return "it is running out of spare blocks"
    if health.get("percentage_used", 0) >= MOST_USED_PERCENT:
        return f"{health['percentage_used']} % of the life that its maker gives it are used up"
    return ""
