"""Errors of the ledger."""

from __future__ import annotations

from kiosk.errors.base import BadInput, KioskError, Recoverable


class LedgerFault(KioskError):
    """The ledger cannot be used as it is."""

    key = "ledger_fault"
    exit_code = 25
    sentence = "The ledger {path} cannot be used: {detail}."
    next_step = "Name the ledger's file with --file, or its folder as booth.state_folder in the settings."


class LedgerDamaged(LedgerFault):
    """The ledger is damaged; it is set aside and a new one is started."""

    key = "ledger_damaged"
    sentence = "The ledger {path} is damaged: {detail}."
    next_step = "The booth keeps it beside a new one; SQLite's `.recover` may save its rows."


class LedgerNewer(LedgerFault):
    """The ledger was written by a newer version; it is set aside and a new one is started."""

    key = "ledger_newer"
    sentence = "The ledger {path} has version {found}; this program supports up to {known}."
    next_step = "The booth keeps it beside a new one; update the program to read it."


class LedgerBusy(LedgerFault):
    """Another program holds the ledger; facts are kept in memory and written later."""

    key = "ledger_busy"
    sentence = "The ledger {path} is held by another program."
    next_step = "Close that program; the booth continues, and writes its records as soon as it can."


class LedgerForeign(LedgerFault):
    """The file is the database of another program and was not touched."""

    key = "ledger_foreign"
    sentence = "{path} is a database, but not a booth's ledger."
    next_step = "Name another folder under booth.state_folder in the settings."


class LedgerShared(LedgerFault):
    """Another booth writes to the ledger."""

    key = "ledger_shared"
    sentence = "Another running booth uses the ledger {path}."
    next_step = "Stop it, or give each booth its own booth.state_folder in the settings."


class CopyDamaged(LedgerFault):
    """The copy of the ledger is not as it was written; the ledger was not touched."""

    key = "copy_damaged"
    sentence = "The copy {path} cannot be restored: {detail}."
    next_step = "Restore an older copy from the same folder; the ledger is as it was."


class OfficeUnreachable(Recoverable):
    """The office's database does not respond, or refuses what a booth sends or an office asks."""

    key = "office_unreachable"
    exit_code = 26
    sentence = "The office's database does not respond: {detail}."
    next_step = (
        "Check the network, the database and the role's rights; a booth goes on, and keeps its facts until then."
    )


class NoSuchBooth(BadInput):
    """The office's database has never heard of such a booth or region."""

    key = "no_such_booth"
    exit_code = 12
    sentence = "The office's database has never heard of {what}."
    next_step = (
        "`holdstill ledger --all` shows all booths and their regions; a booth appears when it first sends facts."
    )
