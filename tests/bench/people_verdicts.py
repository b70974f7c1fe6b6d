"""What is said of people whom an office would take: verdicts by group, the reasons, what the coach still demands."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np
from people_looks import Look
from people_sets import BANDS, Photograph
from people_words import POSE, SIZE, Tally, for_pose_alone, is_size, is_size_or_backdrop, verdict

GROUPS: Mapping[str, Callable[[Photograph], str]] = {
    "origin": lambda photo: photo.origin,
    "sex": lambda photo: photo.sex,
    "age": lambda photo: photo.band,
}
POINTS = (2, 5, 50, 95, 98)
"""Per cent points of the numbers."""

Lines = tuple[list[str], dict[str, float]]


def grouped(people: Sequence) -> Iterator[tuple[str, list]]:
    """Yield all, and the members of each origin, sex and band of age; whatever has a `photo` is one."""
    yield "all", list(people)
    for key, group in GROUPS.items():
        names = {group(one.photo) for one in people}
        for name in sorted(names, key=lambda name: (BANDS.index(name) if name in BANDS else -1, name)):
            yield f"{key} {name}", [one for one in people if group(one.photo) == name]


def verdict_lines(people: Sequence[Look]) -> Lines:
    """Return one line a group of compliant people: how many pass, are referred and refused, and for pose alone."""
    kinds = {"sizes aside": is_size, "and the backdrop aside": is_size_or_backdrop}
    lines = [
        f"{'compliant people':24}{'':5}" + "".join(f"{name:^36}" for name in kinds),
        f"{'':24}{'n':>5}" + len(kinds) * f"{'pass':>7}{'refer':>7}{'refused':>9}{'pose alone':>12} ",
    ]
    numbers: dict[str, float] = {}
    for name, members in grouped(people):
        line = f"{name:24}{len(members):5}"
        for kind, aside in kinds.items():
            found = Counter(verdict(look.words, aside) for look in members)
            pose = sum(for_pose_alone(look.words, aside) for look in members)
            line += f"{found['pass']:7}{found['refer']:7}{found['fail']:9}{pose:12} "
            key = f"compliant.{name.replace(' ', '.')}.{kind.replace(' ', '_')}"
            numbers |= {f"{key}.{word}": found[word] for word in ("pass", "refer", "fail")} | {f"{key}.pose": pose}
        numbers[f"compliant.{name.replace(' ', '.')}.people"] = len(members)
        lines.append(line)
    sizes = [
        f"{name} {tally.refused} refused, {tally.referred} referred" for name, tally in _sizes(people) if tally.objected
    ]
    return [*lines, f"sizes, by the photographs' pixels: {'; '.join(sizes) or 'all kept'}"], numbers


def _sizes(people: Sequence[Look]) -> Iterator[tuple[str, Tally]]:
    for name in sorted(SIZE):
        yield name, Tally.of(look.words.get(name) for look in people)


def reason_lines(people: Sequence[Look]) -> Lines:
    """Return one line a requirement that is not met by all compliant people, and their number's spread."""
    names = dict.fromkeys(name for look in people for name in look.words)
    origins = sorted({look.photo.origin for look in people})
    lines = [
        f"{'why not':26}{'refused':>8}{'refer':>7}{'unseen':>7}{'alone':>7}   "
        + "  ".join(origins)
        + "   | 2, 5, 50, 95, 98 % of the number",
    ]
    numbers: dict[str, float] = {}
    for name in names:
        tally = Tally.of(look.words.get(name) for look in people)
        numbers |= {f"why.{name}.refused": tally.refused, f"why.{name}.referred": tally.referred}
        if not tally.objected and not tally.unlooked:
            continue
        alone = sum(look.words.get(name) != "pass" and _others_pass(look, name) for look in people)
        parts = []
        for origin in origins:
            of_it = Tally.of(look.words.get(name) for look in people if look.photo.origin == origin)
            parts.append(f"{f'{of_it.refused}+{of_it.referred}':>{len(origin)}}")
        line = f"{name:26}{tally.refused:8}{tally.referred:7}{tally.unlooked:7}{alone:7}   " + "  ".join(parts)
        lines.append(line + _spread([look.values.get(name) for look in people]))
    outside = sorted({look.photo.person for look in people if any(is_outside(look, name) for name in POSE)})
    lines.append(f"own pose outside (yaw, pitch or roll does not pass): {len(outside)}: {', '.join(outside)}")
    numbers["compliant.own_pose_outside"] = len(outside)
    return lines, numbers


def _others_pass(look: Look, name: str) -> bool:
    return all(word == "pass" for other, word in look.words.items() if other != name)


def _spread(values: Sequence[float | None]) -> str:
    known = [value for value in values if value is not None]
    return "   | " + " ".join(f"{value:.3g}" for value in np.percentile(known, POINTS)) if known else ""


def demand_lines(people: Sequence[Look]) -> Lines:
    """Return what the coach still demands of compliant people before a live picture that doesn't change.

    What concerns the pose is told apart where the still, too, finds it outside: that demand has not been met.
    """
    placed = [look for look in people if look.demands is not None]
    asked = Counter(ask for look in placed for ask in _already_met(look))
    rightly = Counter(ask for look in placed for ask in {*look.demands.values()} - _already_met(look))
    content = [look for look in placed if not _already_met(look)]
    lines = [
        f"live: of {len(placed)} compliant people whose head was placed where it belongs, {len(content)} are asked for "
        "nothing that they have met",
    ]
    for ask in sorted({*asked, *rightly}, key=lambda ask: -asked[ask]):
        share = 100 * asked[ask] / max(len(placed), 1)
        of_it = f"; {rightly[ask]} more whose own pose lies outside" if rightly[ask] else ""
        lines.append(f"  {ask:20}{asked[ask]:4}{share:6.0f} %{of_it}")
    for origin in sorted({look.photo.origin for look in placed}):
        members = [look for look in placed if look.photo.origin == origin]
        falsely = Counter(ask for look in members for ask in _already_met(look))
        told = ", ".join(f"{ask} {count}" for ask, count in falsely.most_common())
        lines.append(f"  of {len(members)} {origin}: {told or 'nothing'}")
    numbers: dict[str, float] = {"live.people": len(placed), "live.nothing_demanded": len(content)}
    return lines, numbers | {f"live.demanded.{ask}": count for ask, count in asked.items()}


def is_outside(look: Look, name: str) -> bool:
    """Return whether the still does not pass for a requirement."""
    return look.words.get(name) in ("fail", "refer")


def _already_met(look: Look) -> set[str]:
    """Return what is demanded of a sitter, without turns of the head that the still finds missing too."""
    return {ask for name, ask in (look.demands or {}).items() if not (name in POSE and is_outside(look, name))}
