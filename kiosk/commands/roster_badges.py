"""Make the badges of an event beforehand, as a file to print."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from kiosk.commands.output import count_of, notice, write
from kiosk.commands.roster_database import opened_roster
from kiosk.errors import EXIT_DONE, BadCommand, UnknownPerson, shown

if TYPE_CHECKING:
    from kiosk.core.event.roster import Badge, BadgeState, Expected, Person


def make_badges(options: argparse.Namespace) -> int:
    """Start the badges, write the PDF, and record them as made; all have failed if one cannot be made or written.

    A reprint for somebody who has arrived is recorded as printed.
    """
    from kiosk.catalogue.badge_designs import read_design
    from kiosk.core.sheet.imposition import Margins
    from kiosk.core.sheet.media import medium
    from kiosk.render.badge.badge_sheet import BadgeOrder, badge_sheets, card_pages, is_card

    design, paper = read_design(options.design), medium(options.paper)
    with opened_roster(options) as roster:
        everybody = list(roster.everybody())
        people = _wanted(everybody, options.reprint)
        arrived = {one.person.id for one in everybody if one.printed is not None and one.printed.state != "made"}
        orders = [BadgeOrder(person.values) for person in people]
        card = is_card(paper, design)
        pdf = card_pages(design, orders) if card else badge_sheets(design, orders, paper, Margins())
        begun: list[Badge] = []
        is_written = False
        try:
            for person in people:
                begun.append(roster.begin(person.id, with_photo=False, reprint=bool(options.reprint)))
            write(options.output, pdf)
            is_written = True
        finally:
            for badge in begun:
                done: BadgeState = "printed" if badge.person in arrived else "made"
                roster.end(badge, done if is_written else "failed")
    print(f"{count_of(len(people), 'badge')} of {design.width_mm:g} x {design.height_mm:g} mm")
    print(f"{shown(options.output)}: print it at 100 %, without fitting to the page")
    notice("Their people count as arrived once `holdstill roster arrived ID` says so.")
    return EXIT_DONE


def _wanted(everybody: Sequence[Expected], reprint: Sequence[str]) -> list[Person]:
    if not reprint:
        waiting = [expected.person for expected in everybody if expected.printed is None]
        if not waiting:
            raise BadCommand(detail="everybody on the list has a badge; name some with --reprint ID")
        return waiting
    known = {expected.person.id: expected.person for expected in everybody}
    for key in reprint:
        if key not in known:
            raise UnknownPerson(person=key)
    return [known[key] for key in dict.fromkeys(reprint)]
