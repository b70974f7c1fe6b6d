"""Errors of documents and their rules."""

from __future__ import annotations

from kiosk.errors.base import BadInput


class UnknownDocument(BadInput):
    """No document has that id."""

    key = "unknown_document"
    exit_code = 6
    sentence = "No document is called {document!r}."
    next_step = "`holdstill documents` lists the ids; the closest are: {nearest}."


class NoPrintSize(BadInput):
    """A print was requested for a document that is a file to upload."""

    key = "no_print_size"
    exit_code = 6
    sentence = "{document} is a file to upload; its rules give no print size."
    next_step = "Give -o FILE.jpg for that file, or choose a document with a print; `holdstill documents` lists them."


class RulesRefused(BadInput):
    """A document's file does not follow the schema."""

    key = "rules_refused"
    exit_code = 7
    sentence = "{path}: {where}: {detail}."
    next_step = "Correct the key in that file; specs/README.md describes each one."


class WorksheetRefused(BadInput):
    """A worksheet of a review is not filled in as it asks to be; no answer of it was taken."""

    key = "worksheet_refused"
    exit_code = 7
    sentence = "The worksheet cannot be read back, line {line}: {detail}."
    next_step = "Correct that line and read the file back again; `holdstill documents review` writes a new worksheet."


class BundleRefused(BadInput):
    """A bundle of rules is not installed, or there is none to go back to; the rules in force are unchanged."""

    key = "bundle_refused"
    exit_code = 7
    sentence = "The rules in force stay as they are: {detail}."
    next_step = (
        "`holdstill rules show` names what is installed; specs/README.md describes how a bundle is made and signed."
    )
