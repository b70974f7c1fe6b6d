"""How often a requirement's word is false, and how often it catches what it is there for: counts against labels."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

COLUMNS = 33
"""Width of a count and three shares."""

POSE = frozenset({"yaw", "pitch", "roll"})
SIZE = frozenset({"inter_eye_distance", "resolution", "head_share", "frame_room"})
"""Follow from the photograph's pixels and edges, not from the sitter."""


@dataclass(frozen=True)
class Question:
    """What a requirement is asked: which values of a label are its defect, and which are free of it.

    Attributes
    ----------
    defect, free
        Values; what is in neither is not counted.
    among
        Column and value that a photograph must have to be counted.
    title
        What the row is called where it isn't the requirement.
    """

    requirement: str
    label: str
    defect: tuple[str, ...]
    free: tuple[str, ...]
    among: tuple[str, str] | None = None
    title: str = ""

    @property
    def name(self) -> str:
        """What the row is called."""
        return self.title or self.requirement

    def is_defect(self, labels: Mapping[str, str]) -> bool | None:
        """Tell whether the defect is there; None where the photograph isn't counted."""
        if self.among is not None and labels.get(self.among[0]) != self.among[1]:
            return None
        value = labels.get(self.label)
        return True if value in self.defect else False if value in self.free else None


_WORN, _BARE = ("spectacles", "1"), ("spectacles", "0")
QUESTIONS = (
    Question("lens_glare", "glare", ("2",), ("0",)),
    Question("lens_glare", "glare", (), ("0",), _BARE, "  no spectacles"),
    Question("lens_glare", "glare", ("2",), ("0",), _WORN, "  spectacles"),
    Question("lens_tint", "tint", ("1",), ("0",)),
    Question("lens_tint", "tint", (), ("0",), _BARE, "  no spectacles"),
    Question("lens_tint", "tint", ("1",), ("0",), _WORN, "  spectacles"),
    Question("frame_width", "rim", ("heavy",), ("none", "rimless", "thin")),
    Question("frame_width", "rim", (), ("none",), _BARE, "  no spectacles"),
    Question("frame_width", "rim", ("heavy",), ("rimless", "thin"), _WORN, "  spectacles"),
    Question("eyes_visible", "hair_over_eye", ("1",), ("0",)),
    Question("eyes_open", "eyes", ("closed",), ("open",)),
    Question("eyes_open", "eyes", (), ("narrow",), None, "  narrow eyes"),
    Question("red_eye", "red_eye", ("1",), ("0",)),
    Question("no_head_coverings", "covering", ("scarf", "hat", "other"), ("none",)),
    Question("mouth_closed", "mouth", ("teeth", "open"), ("closed",)),
    Question("expression_neutrality", "expression", ("smiling",), ("neutral",)),
    Question("single_face_present", "people", (), ("1",)),
    Question("noise", "grain", (), ("none",)),
    Question("natural_colour", "light", (), ("neutral",)),
)


@dataclass(frozen=True)
class Tally:
    """How often each word fell."""

    count: int
    refused: int
    referred: int
    unlooked: int

    @classmethod
    def of(cls, words: Iterable[str | None]) -> Tally:
        """Count words; None where the requirement was not judged."""
        said = list(words)
        unlooked = sum(word in {None, "unmeasured"} for word in said)
        return cls(len(said), said.count("fail"), said.count("refer"), unlooked)

    @property
    def objected(self) -> float:
        """The share that is refused or referred."""
        return (self.refused + self.referred) / self.count if self.count else 0.0

    def told(self) -> str:
        """Return count and shares in per cent: refused, referred, not looked at."""
        if not self.count:
            return f"{'no case':>{COLUMNS}}"
        shares = (100 * part / self.count for part in (self.refused, self.referred, self.unlooked))
        return f"{self.count:6}" + "".join(f"{f'{share:.0f} %':>9}" for share in shares)


Said = tuple[Mapping[str, str], Mapping[str, str]]
"""Labels of a photograph, and the word by requirement."""


def tallies(question: Question, said: Iterable[Said]) -> tuple[Tally, Tally]:
    """Return the words on those without the defect (false ones), and on those with it (caught ones)."""
    parts: dict[bool | None, list[str | None]] = {False: [], True: [], None: []}
    for labels, words in said:
        parts[question.is_defect(labels)].append(words.get(question.requirement))
    return Tally.of(parts[False]), Tally.of(parts[True])


def word_lines(
    title: str, said: Sequence[Said], requirements: Callable[[str], bool] = lambda _: True
) -> tuple[list[str], dict[str, float]]:
    """Return one line a question with its false words and its caught defects, and the numbers."""
    lines = [
        f"{title:24}{'without the defect: false words':>{COLUMNS}}   {'with it: caught':>{COLUMNS}}",
        f"{'':24}" + 2 * f"{'n':>6}{'refused':>9}{'referred':>9}{'unseen':>9}   ",
    ]
    numbers: dict[str, float] = {}
    asked = ""
    for question in QUESTIONS:
        if not requirements(question.requirement):
            continue
        false, caught = tallies(question, said)
        asked = question.name if not question.title else asked
        lines.append(f"{question.name:24}{false.told()}   {caught.told()}")
        name = f"{title}, {asked}{question.title.replace('  ', ', ')}".replace(", ", ".").replace(" ", "_")
        numbers |= {f"{name}.free": false.count, f"{name}.defects": caught.count}
        if false.count:
            numbers |= {f"{name}.false_refused": false.refused, f"{name}.false_referred": false.referred}
        if caught.count:
            numbers |= {f"{name}.caught_refused": caught.refused, f"{name}.caught_referred": caught.referred}
    return lines, numbers


def verdict(words: Mapping[str, str], aside: Callable[[str], bool]) -> str:
    """Return the gravest word of the requirements that aren't left aside: fail, refer or pass."""
    left = {word for name, word in words.items() if not aside(name)}
    return "fail" if "fail" in left else "refer" if left & {"refer", "unmeasured"} else "pass"


def is_size(name: str) -> bool:
    """Tell whether a requirement follows from the pixels."""
    return name in SIZE


def is_size_or_backdrop(name: str) -> bool:
    """Tell whether a requirement follows from the pixels or is about the backdrop."""
    return is_size(name) or name.startswith("background")


def for_pose_alone(words: Mapping[str, str], aside: Callable[[str], bool]) -> bool:
    """Tell whether a photograph is refused, and only for how the head is held."""
    failed = {name for name, word in words.items() if word == "fail" and not aside(name)}
    return bool(failed) and failed <= POSE
