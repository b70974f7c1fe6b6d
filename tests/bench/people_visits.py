"""Who left the booth with a sheet, by group, and why the others did not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from people_booth import FAILED, NO_SHOT, NOBODY, OUTCOMES, SHEET, Visit
from people_verdicts import Lines, grouped

SHORT = ("sheet", "doubtful", "failed", "referred", "refused", "no shot", "nobody")
"""The outcomes as columns."""


def why(visit: Visit) -> str:
    """Return in a few words why somebody left without a sheet, or with a doubtful one."""
    if visit.outcome == NO_SHOT:
        return f"told {visit.stood} without end"
    return ", ".join(visit.reasons) or visit.outcome


def visit_lines(visits: Sequence[Visit]) -> Lines:
    """Return one line a group, the reasons with their counts, and everybody who left without a sheet of their own."""
    lines = [f"{'before the booth':26}{'n':>5}" + "".join(f"{name:>{len(name) + 2}}" for name in SHORT)]
    lines[0] += f"{'pose outside':>14}{'shots':>7}{'median s':>10}{'95 % s':>8}"
    numbers: dict[str, float] = {}
    for name, members in grouped(visits):
        found = Counter(visit.outcome for visit in members)
        outside = sum(bool(visit.pose_outside) and visit.outcome != SHEET for visit in members)
        line = f"{name:26}{len(members):5}"
        line += "".join(f"{found[outcome]:{len(told) + 2}}" for outcome, told in zip(OUTCOMES, SHORT, strict=True))
        served = [visit for visit in members if visit.outcome == SHEET]
        times = [visit.seconds for visit in served]
        spread = f"{np.median(times):10.1f}{np.percentile(times, 95):8.1f}" if served else f"{'-':>10}{'-':>8}"
        shots = f"{np.mean([visit.shots for visit in served]):7.1f}" if served else f"{'-':>7}"
        lines.append(f"{line}{outside:14}{shots}{spread}")
        key = f"booth.{name.replace(' ', '.')}"
        numbers |= {f"{key}.{outcome.replace(', ', '_').replace(' ', '_')}": found[outcome] for outcome in OUTCOMES}
        numbers |= {f"{key}.people": len(members), f"{key}.pose_outside": outside}
        if served:
            numbers |= {f"{key}.median_s": round(float(np.median(times)), 1)}
    left = [visit for visit in visits if visit.outcome != SHEET]
    for title, members in (
        ("no sheet of their own, though the pose lies inside", [visit for visit in left if not visit.pose_outside]),
        ("no sheet of their own, and the pose lies outside", [visit for visit in left if visit.pose_outside]),
    ):
        counted = Counter(why(visit) for visit in members)
        lines += ["", f"{title}: {len(members)}", *(f"  {count:3}  {words}" for words, count in counted.most_common())]
    lines += ["", *map(_line, left), *_notes(visits)]
    numbers["booth.failed_photos_taken_home"] = sum(visit.outcome == FAILED for visit in visits)
    return lines, numbers


def _line(visit: Visit) -> str:
    """Return the line of somebody without a sheet of their own."""
    if visit.outcome == NOBODY:
        return f"  {visit.photo.file.name}: {NOBODY}"
    pose = f"; its {', '.join(visit.pose_outside)} outside" if visit.pose_outside else ""
    dim = "; still dim" if visit.was_dim else ""
    after = f"{visit.shots} shots, {visit.seconds:.0f} s"
    return f"  {visit.photo.file.name} ({visit.photo.origin}): {visit.outcome} after {after}: {why(visit)}{pose}{dim}"


def _notes(visits: Sequence[Visit]) -> list[str]:
    """Return how far the heads were enlarged, and whether anybody went home dim or smiling."""
    enlarged = [visit.enlarged for visit in visits if visit.outcome != NOBODY] or [0.0]
    served = [visit for visit in visits if visit.outcome == SHEET]
    dim, smiling = sum(visit.was_dim for visit in served), sum(visit.smiled for visit in served)
    times = f"{np.median(enlarged):.2f}, at most {max(enlarged):.2f}"
    return [
        "",
        f"heads in the still over those in the photograph: {times} times as large",
        f"sheets of a photo in too little light: {dim}; of the smiling photograph: {smiling}",
    ]
