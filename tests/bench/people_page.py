"""A page with the photographs of which most is said falsely, the points and the words beside them."""

from __future__ import annotations

import html
from collections.abc import Sequence

from marked import figure, laid_out
from people_looks import Look
from people_words import QUESTIONS, is_size

WORST = 20
"""Photographs of each set."""
LEGEND = (
    "Green: marked by hand (corners of the eyes, chin, top of the head). Red: measured, with one stated "
    "standard deviation as a bar. A word is false where a label, or a studio's choice of sitters, says so; a defect is "
    "missed where the label names it and the word is pass."
)
MARKED = ("right_eye_outer", "right_eye_inner", "left_eye_inner", "left_eye_outer", "chin", "head_top")


def false_words(look: Look) -> dict[str, str]:
    """Return the words that are false of a photograph: fail and refer without the defect, missed with it."""
    found = {}
    for question in QUESTIONS:
        is_defect, word = question.is_defect(look.photo.labels), look.words.get(question.requirement)
        if is_defect is False and word in {"fail", "refer"}:
            found[question.requirement] = word
        elif is_defect and word not in {"fail", "refer"}:
            found[question.requirement] = "missed"
    if look.photo.is_compliant:
        found |= {name: word for name, word in look.words.items() if word in {"fail", "refer"} and not is_size(name)}
    return found


def page(looks: Sequence[Look]) -> str:
    """Return the page, one set after the other."""
    weight = {"fail": 2, "missed": 2, "refer": 1}
    worst = sorted(looks, key=lambda look: sum(weight[word] for word in false_words(look).values()), reverse=True)
    chosen: list[Look] = []
    for group in dict.fromkeys(look.photo.group for look in looks):
        chosen += [look for look in worst if look.photo.group == group and false_words(look)][:WORST]
    return laid_out(f"The {len(chosen)} photographs with the most false words", LEGEND, [*map(_figure, chosen)])


def _figure(look: Look) -> str:
    false = false_words(look)
    parts = [f"<b>{html.escape(f'{look.photo.group}/{look.photo.file.name}, origin {look.photo.origin}')}</b>"]
    for word, told in (("fail", "falsely refused"), ("refer", "falsely referred"), ("missed", "missed")):
        names = [f"{name} {_number(look, name)}".strip() for name, said in false.items() if said == word]
        if names:
            parts.append(html.escape(f"{told}: {', '.join(names)}"))
    rightly = [f"{name} {word}" for name, word in look.words.items() if word in {"fail", "refer"} and name not in false]
    parts.append(html.escape(f"also: {', '.join(rightly)}" if rightly else ""))
    if look.demands:
        parts.append(html.escape(f"live: {', '.join(dict.fromkeys(look.demands.values()))}"))
    marks = [look.photo.marks[name] for name in MARKED if name in look.photo.marks]
    return figure(look.photo.file, marks, look.seen.points, "<br>".join(filter(None, parts)))


def _number(look: Look, name: str) -> str:
    value = look.values.get(name)
    return "" if value is None else f"{value:.3g}"
