"""Show, install, roll back and compare the rules of the documents, without a new program.

A bundle is a folder of documents with a version, checksums and a signature; specs/README.md describes how one is made.
A running booth takes other rules over when it starts again.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from kiosk.commands.output import SETTINGS, are_there, notice
from kiosk.errors import EXIT_DONE, BadCommand, BundleRefused, RulesRefused

if TYPE_CHECKING:
    from kiosk.settings import Settings


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    actions = parser.add_subparsers(title="actions", required=True, metavar="ACTION")
    show = actions.add_parser("show", help="show which rules are in force, and which others are installed")
    show.set_defaults(run_action=_show)
    install = actions.add_parser("install", help="install a signed bundle, and put it in force")
    install.add_argument("bundle", type=Path, metavar="FOLDER", help="the bundle")
    install.set_defaults(run_action=_install)
    back = actions.add_parser("rollback", help="go back to the bundle before, or to the program's own rules")
    back.set_defaults(run_action=_roll_back)
    compare = actions.add_parser(
        "diff", help="say in words how two bundles, or a bundle and the rules in force, differ"
    )
    compare.add_argument("bundles", nargs="+", type=Path, metavar="FOLDER", help="the new one, or the old and the new")
    compare.set_defaults(run_action=_diff)
    for action in (show, install, back, compare):
        action.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")


def run(options: argparse.Namespace) -> int:
    """Run the chosen action."""
    code: int = options.run_action(options)
    return code


def _show(options: argparse.Namespace) -> int:
    from kiosk.settings import read_settings

    _say_what_is_in_force(read_settings(options.settings))
    return EXIT_DONE


def _say_what_is_in_force(settings: Settings) -> None:
    from kiosk.catalogue.bundle import version_of
    from kiosk.catalogue.documents import shipped_folder
    from kiosk.catalogue.installed import in_force, versions

    folder = in_force(settings.rules)
    own = "the program's own" if folder == shipped_folder() else "an installed bundle"
    print(f"In force: version {version_of(folder)}, {own}")
    others = [str(version) for version in versions(settings.rules) if folder != settings.rules / str(version)]
    if others:
        print(f"Also installed: {', '.join(others)}")
    if folder != shipped_folder():
        print(f"The program's own: version {version_of(shipped_folder())}")


def _install(options: argparse.Namespace) -> int:
    from kiosk.catalogue.badge_designs import PHOTO_RULES
    from kiosk.catalogue.bundle import read_bundle
    from kiosk.catalogue.documents import Catalogue
    from kiosk.catalogue.installed import install
    from kiosk.settings import read_settings

    settings = read_settings(options.settings)
    if not settings.booth.rules_signers:
        raise BadCommand(detail="rules_signers under [booth] names nobody whose bundles may be installed")
    bundle = read_bundle(options.bundle, settings.path(settings.booth.rules_signers))

    def check(folder: Path) -> None:
        try:
            catalogue = Catalogue.beside(settings.own_documents(), folder)
        except RulesRefused as refusal:
            raise BundleRefused(detail=str(refusal).replace(f"{folder}", f"{options.bundle}").rstrip(".")) from refusal
        for name in (*settings.booth.documents, *PHOTO_RULES.values()):
            catalogue.get(name)

    install(settings.rules, bundle, check)
    notice(f"Signed by {bundle.signer}. A running booth takes these rules over when it starts again.")
    _say_what_is_in_force(settings)
    return EXIT_DONE


def _roll_back(options: argparse.Namespace) -> int:
    from kiosk.catalogue.installed import roll_back
    from kiosk.settings import read_settings

    settings = read_settings(options.settings)
    roll_back(settings.rules)
    notice("A running booth takes these rules over when it starts again.")
    _say_what_is_in_force(settings)
    return EXIT_DONE


def _diff(options: argparse.Namespace) -> int:
    from kiosk.catalogue.documents import Catalogue
    from kiosk.catalogue.installed import in_force
    from kiosk.render.report.rule_changes import changes
    from kiosk.settings import read_settings

    if len(options.bundles) > 2:
        raise BadCommand(detail="two bundles are compared, or one with the rules in force")
    *before, after = options.bundles
    if before:
        old = Catalogue.load(before[0])
    else:
        old = Catalogue.load(in_force(read_settings(options.settings).rules) if are_there(options.settings) else None)
    print("\n\n".join(changes(old, Catalogue.load(after))) or "The rules are the same.")
    return EXIT_DONE
