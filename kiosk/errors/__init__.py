"""All errors that users can meet, one file per subject; each has a key, an exit code, a sentence and a next step."""

from kiosk.errors.base import (
    EXIT_DONE,
    EXIT_ENDED,
    EXIT_NOT_CONFORMING,
    EXIT_USAGE,
    BadInput,
    KioskError,
    NeedsAttendant,
    Recoverable,
    all_errors,
    os_reason,
)
from kiosk.errors.camera import CameraCardFull, CameraFault, CameraSettingRefused, DeviceTimeout
from kiosk.errors.command import AnswersEnded, BadCommand, CannotWrite, PinRefused
from kiosk.errors.ledger import LedgerBusy, LedgerDamaged, LedgerFault, LedgerForeign, LedgerNewer, LedgerShared
from kiosk.errors.photo import (
    NoFace,
    PhotoDoesNotFit,
    PhotoSizeRefused,
    SeveralFaces,
    TooFewPixels,
    UnreadablePhoto,
    UploadNotMade,
)
from kiosk.errors.printer import PrinterFault, ScaleUnproven, SheetUnknown, UnreadableRuler
from kiosk.errors.roster import BadgePrinted, HeldElsewhere, PhotoGone, RosterRefused, RosterUnreachable, UnknownPerson
from kiosk.errors.rules import NoPrintSize, RulesRefused, UnknownDocument
from kiosk.errors.sheet import PhotosDoNotFit, SheetDoesNotFit, UnknownPaper
from kiosk.errors.site import BoothTaken, MissingPart, NoDisplay, PageRefused, SettingsRefused

__all__ = [
    "EXIT_DONE",
    "EXIT_ENDED",
    "EXIT_NOT_CONFORMING",
    "EXIT_USAGE",
    "AnswersEnded",
    "BadCommand",
    "BadInput",
    "BadgePrinted",
    "BoothTaken",
    "CameraCardFull",
    "CameraFault",
    "CameraSettingRefused",
    "CannotWrite",
    "DeviceTimeout",
    "HeldElsewhere",
    "KioskError",
    "LedgerBusy",
    "LedgerDamaged",
    "LedgerFault",
    "LedgerForeign",
    "LedgerNewer",
    "LedgerShared",
    "MissingPart",
    "NeedsAttendant",
    "NoDisplay",
    "NoFace",
    "NoPrintSize",
    "PageRefused",
    "PhotoDoesNotFit",
    "PhotoGone",
    "PhotoSizeRefused",
    "PhotosDoNotFit",
    "PinRefused",
    "PrinterFault",
    "Recoverable",
    "RosterRefused",
    "RosterUnreachable",
    "RulesRefused",
    "ScaleUnproven",
    "SettingsRefused",
    "SeveralFaces",
    "SheetDoesNotFit",
    "SheetUnknown",
    "TooFewPixels",
    "UnknownDocument",
    "UnknownPaper",
    "UnknownPerson",
    "UnreadablePhoto",
    "UnreadableRuler",
    "UploadNotMade",
    "all_errors",
    "os_reason",
]
