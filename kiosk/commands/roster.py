"""Import an event's list of attendees, find people on it, print their badges, and count them."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.arguments import file_in
from kiosk.commands.output import count_of, notice, write
from kiosk.commands.roster_badges import make_badges
from kiosk.commands.roster_database import opened_database, opened_roster
from kiosk.errors import EXIT_DONE, BadCommand, RosterRefused, shown

if TYPE_CHECKING:
    from kiosk.core.event.roster import Expected, Mapped

_SHOWN = 20


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    actions = parser.add_subparsers(title="actions", required=True, metavar="ACTION")
    take = actions.add_parser("import", help="import a list (CSV in UTF-8, or XLSX), all of it or nothing")
    take.add_argument(
        "list",
        type=Path,
        metavar="FILE",
        help="with a heading per column: id, name, badge texts",
    )
    take.add_argument(
        "--map",
        action="append",
        default=[],
        metavar="COLUMN=HEADING",
        help="the heading for a column; several headings are joined, as in name='First+Last'",
    )
    take.add_argument("--design", type=Path, metavar="FILE", help="also check that every name fits this badge")
    take.add_argument("--try", action="store_true", dest="only_try", help="report what is wrong, and change nothing")
    take.set_defaults(run_action=_import)
    find = actions.add_parser("find", help="find people by the beginnings of their names, or by id")
    find.add_argument("text", metavar="TEXT", help="the beginnings of names, or an id")
    find.set_defaults(run_action=_find)
    add = actions.add_parser("add", help="add a person who is not on the list")
    add.add_argument("id", metavar="ID", help="an id that nobody on the list has")
    add.add_argument("name", metavar="NAME", help="the name as on the badge")
    add.add_argument("values", nargs="*", metavar="COLUMN=VALUE", help="organisation=…, role=…")
    add.set_defaults(run_action=_add)
    badges = actions.add_parser(
        "badges", help="make badges without photos for all people who have none yet, to be taken when they come"
    )
    badges.add_argument(
        "--design", type=Path, required=True, metavar="FILE", help="the design, as specs/badges describes it"
    )
    badges.add_argument("--paper", required=True, metavar="NAME", help="a4, letter …, or `card` for a card printer")
    badges.add_argument("--reprint", nargs="+", default=[], metavar="ID", help="reprint the badges of these people")
    badges.add_argument("-o", "--output", type=file_in(".pdf"), required=True, metavar="FILE", help="the PDF")
    badges.set_defaults(run_action=make_badges)
    taken = actions.add_parser("arrived", help="record that people have taken the badges made before they came")
    taken.add_argument("ids", nargs="+", metavar="ID", help="their ids")
    taken.set_defaults(run_action=_arrived)
    report = actions.add_parser("report", help="count the people expected and the badges printed, by station")
    report.add_argument("-o", "--output", type=file_in(".pdf"), metavar="FILE", help="also write a page with charts")
    report.add_argument("--title", default="Event", metavar="TEXT", help="the page's title")
    report.set_defaults(run_action=_report)
    free = actions.add_parser("release", help="give the guests of a station that is out of touch to the others")
    free.add_argument("name", metavar="NAME", help="of the station; only if you know that it printed none of them")
    free.add_argument("--off", action="store_true", help="it is switched off, so that its time need not end first")
    free.set_defaults(run_action=_release)
    for action in (take, find, add, badges, taken, report, free):
        action.add_argument(
            "--roster", required=True, metavar="FILE", help="the event's own file, or postgresql+psycopg://…"
        )
        action.add_argument("--station", default="desk", metavar="NAME", help="this desk's name in the report")


def run(options: argparse.Namespace) -> int:
    """Run the chosen action."""
    code: int = options.run_action(options)
    return code


def _import(options: argparse.Namespace) -> int:
    from kiosk.catalogue.badge_designs import read_design
    from kiosk.core.event.roster import guess_columns, namesakes, read_rows
    from kiosk.render.badge.badge import unprintable
    from kiosk.store.roster.list_file import read_roster

    design = None if options.design is None else read_design(options.design)
    file = read_roster(options.list)
    mapped = {**guess_columns(file.headings), **_mapping(options, file.headings)}
    _print_mapping(mapped)
    people, problems = read_rows(file.rows, mapped, lambda values: unprintable(values, design))
    for problem in problems[:_SHOWN]:
        notice(f"{options.list}: line {problem.line}: {problem.column}: {problem.reason}")
    notice(f"… and {len(problems) - _SHOWN} more" if len(problems) > _SHOWN else "")
    if problems:
        lines = len({problem.line for problem in problems})
        raise RosterRefused(path=options.list, detail=f"{lines} of {len(file.rows)} rows cannot be taken")
    if not people:
        raise RosterRefused(path=options.list, detail="it names nobody, and would take everybody off the roster")
    for name in namesakes(people)[:_SHOWN]:
        notice(f"{name!r} is there more than once, with different ids")
    if options.only_try:
        print(f"{_people(len(people))} can be imported; nothing was changed")
        return EXIT_DONE
    with opened_roster(options, is_new=True) as roster:
        done = roster.import_list(people)
    print(f"{_people(len(people))}: {done.added} new, {done.changed} changed, {done.dropped} no longer on the list")
    return EXIT_DONE


def _mapping(options: argparse.Namespace, headings: Sequence[str]) -> Mapped:
    mapped = {}
    for pair in options.map:
        column, equals, wanted = pair.partition("=")
        chosen = tuple(part.strip() for part in wanted.split("+"))
        unknown = [heading for heading in chosen if heading not in headings]
        if not (equals and column):
            raise BadCommand(detail=f"--map takes COLUMN=HEADING, not {pair!r}")
        if unknown:
            raise BadCommand(detail=f"the list has no heading {unknown[0]!r}; it has {', '.join(headings)}")
        mapped[column] = chosen
    return mapped


def _print_mapping(mapped: Mapped) -> None:
    """Print the heading of each column, and refuse a list without the required columns."""
    from kiosk.core.event.roster import REQUIRED

    for column, headings in mapped.items():
        notice(f"{column} <- {' + '.join(headings)}")
    missing = [column for column in REQUIRED if column not in mapped]
    if missing:
        raise BadCommand(detail=f"no heading matches {missing[0]!r}; name it with --map {missing[0]}=HEADING")


def _find(options: argparse.Namespace) -> int:
    with opened_roster(options) as roster:
        found = roster.find(options.text)
    for expected in found:
        print(_line(expected))
    notice("" if found else "Nobody was found; try the first letters of the name, or add the person at the desk.")
    return EXIT_DONE


def _add(options: argparse.Namespace) -> int:
    from kiosk.core.event.roster import ID, NAME, ListRow, read_rows
    from kiosk.render.badge.badge import unprintable

    pairs = [pair.partition("=") for pair in options.values]
    if not all(column and equals for column, equals, _ in pairs):
        raise BadCommand(detail="further values are COLUMN=VALUE")
    cells = {column: value for column, _, value in pairs} | {ID: options.id, NAME: options.name}
    people, problems = read_rows(
        [ListRow(1, cells)], {key: (key,) for key in cells}, lambda values: unprintable(values, None)
    )
    if not people:
        detail = f"{problems[0].column}: {problems[0].reason}" if problems else "id and name are empty"
        raise BadCommand(detail=detail)
    with opened_roster(options) as roster:
        roster.add_walk_in(people[0])
    print(f"{shown(people[0].name)} is on the roster")
    return EXIT_DONE


def _line(expected: Expected) -> str:
    printed = expected.printed
    person = expected.person
    parts = [person.id, person.name, person.values.get("organisation", "")]
    if printed is not None:
        parts.append(
            f"badge {printed.number} {printed.state} at {printed.station}, {printed.begun_at.astimezone():%H:%M}"
        )
    return shown("  ".join(filter(None, parts)))


def _arrived(options: argparse.Namespace) -> int:
    with opened_roster(options) as roster:
        for key in options.ids:
            roster.take(key)
            print(f"{shown(key)} has arrived")
    return EXIT_DONE


def _people(number: int) -> str:
    return count_of(number, "person", "people")


def _report(options: argparse.Namespace) -> int:
    from kiosk.core.event.turnout import turnout
    from kiosk.render.report.turnout_pdf import figures, turnout_pdf
    from kiosk.system.clock import SystemClock

    with opened_roster(options) as roster:
        so_far = turnout(roster.everybody())
    for name, value in figures(so_far).items():
        print(f"{name:18}{value:>8}")
    for work in so_far.stations:
        minutes = "" if work.minutes_each is None else f", {work.minutes_each:.1f} minutes a person"
        print(f"  {shown(work.station)}: {count_of(work.badges, 'badge')}, {work.failed} failed or unknown{minutes}")
    if options.output is not None:
        write(options.output, turnout_pdf(so_far, options.title, SystemClock().now()))
    return EXIT_DONE


def _release(options: argparse.Namespace) -> int:
    from kiosk.store.roster.leases import release

    with closing(opened_database(options)) as database:
        freed = release(database, options.name, is_off=options.off)
    whose = f"{count_of(freed, 'guest')} of {shown(options.name)}"
    print(f"{whose} {'is' if freed == 1 else 'are'} free for the other stations")
    return EXIT_DONE
