"""Check a badge design and show it at true size."""

from __future__ import annotations

import argparse
from pathlib import Path

from kiosk.commands.arguments import file_in
from kiosk.commands.output import write
from kiosk.errors import EXIT_DONE, shown


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    actions = parser.add_subparsers(title="actions", required=True, metavar="ACTION")
    design = actions.add_parser("design", help="check a design and draw it at true size, with short and long texts")
    design.add_argument("design", type=Path, metavar="FILE", help="the design, as specs/badges describes it")
    design.add_argument(
        "-o", "--output", required=True, type=file_in(".pdf"), metavar="FILE", help="the PDF to write, on A4"
    )
    design.set_defaults(run_action=_design)


def run(options: argparse.Namespace) -> int:
    """Run the chosen action."""
    code: int = options.run_action(options)
    return code


def _design(options: argparse.Namespace) -> int:
    from kiosk.catalogue.badge_designs import read_design
    from kiosk.render.badge.badge_preview import preview_pdf

    design = read_design(options.design)
    write(options.output, preview_pdf(design))
    print(f"{design.title}: {design.width_mm:g} x {design.height_mm:g} mm ({design.size_source})")
    print(f"It prints the columns {', '.join(design.columns)}.")
    print(f"{shown(options.output)}: print it at 100 %, without fitting to the page")
    return EXIT_DONE
