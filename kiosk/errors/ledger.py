"""The ledger."""

from __future__ import annotations

from kiosk.errors.base import KioskError


class LedgerFault(KioskError):
    """The ledger cannot be used as it is."""

    key = "ledger_fault"
    exit_code = 25
    sentence = "The ledger {path} cannot be used: {detail}."
    next_step = "Name the ledger's file with --file, or the folder it lies in under booth.state_folder of the settings."


class LedgerDamaged(LedgerFault):
    """The ledger is damaged; it is set aside and a new one is begun."""

    key = "ledger_damaged"
    sentence = "The ledger {path} is damaged: {detail}."
    next_step = "The booth keeps it beside the new one that it begins; SQLite's `.recover` may save its rows."


class LedgerNewer(LedgerFault):
    """The ledger was written by a newer version; it is set aside and a new one is begun."""

    key = "ledger_newer"
    sentence = "The ledger {path} is of version {found}; this program knows {known}."
    next_step = "The booth keeps it beside the new one that it begins; bring the program up to date to read it."


class LedgerBusy(LedgerFault):
    """Another program holds the ledger; what happens is kept in memory and written later."""

    key = "ledger_busy"
    sentence = "The ledger {path} is held by another program."
    next_step = "Close that program; the booth goes on, and writes what happened as soon as it can."


class LedgerForeign(LedgerFault):
    """The file is a database of something else; it was not touched."""

    key = "ledger_foreign"
    sentence = "{path} is a database, but not a booth's ledger."
    next_step = "Name another folder under booth.state_folder in the settings."


class LedgerShared(LedgerFault):
    """Another booth writes the ledger."""

    key = "ledger_shared"
    sentence = "Another booth is running with the ledger {path}."
    next_step = "End it, or give each booth a folder of its own under booth.state_folder in the settings."
