"""Every error a user can meet: a class with a key, an exit code, one sentence and a next step.

`Recoverable` errors go away by trying again; `NeedsAttendant` errors wait for a person. An expected "no"
(a photo that does not conform) is a value, never an exception.
"""

from __future__ import annotations

from typing import ClassVar

EXIT_DONE = 0
EXIT_NOT_CONFORMING = 1
EXIT_USAGE = 2
EXIT_ENDED = 90
"""The attendant has ended the booth: whatever keeps it running lets it rest."""


class KioskError(Exception):
    """Base of all errors of this project.

    Parameters are the placeholders of `sentence` and `next_step`, kept in `params` for translation.
    """

    key: ClassVar[str] = "internal_error"
    exit_code: ClassVar[int] = 70
    sentence: ClassVar[str] = "Something went wrong inside the program: {detail}."
    next_step: ClassVar[str] = "Start it again; if it happens twice, report it with the log."

    def __init__(self, **params: object) -> None:
        self.params = params
        super().__init__(self.sentence.format(**params))

    def __reduce__(self) -> tuple[object, ...]:
        return _rebuild, (type(self), self.params)

    @property
    def advice(self) -> str:
        """The next step, with its placeholders filled."""
        return self.next_step.format(**self.params)


def _rebuild(kind: type[KioskError], params: dict[str, object]) -> KioskError:
    return kind(**params)


class Recoverable(KioskError):
    """Goes away by trying again."""


class NeedsAttendant(KioskError):
    """Waits for a person."""


class BadInput(KioskError):
    """What the user gave cannot be used."""


class BadCommand(BadInput):
    """The command line is wrong."""

    key = "bad_command"
    exit_code = EXIT_USAGE
    sentence = "That command cannot be done: {detail}."
    next_step = "Add --help to the command for what it takes."


class PinRefused(BadInput):
    """The attendant's PIN cannot be that one."""

    key = "pin_refused"
    exit_code = EXIT_USAGE
    sentence = "That cannot be the attendant's PIN: {detail}."
    next_step = "Choose six to twelve digits that nobody would try first."


class AnswersEnded(BadInput):
    """The answers to the questions of `holdstill setup` ended early."""

    key = "answers_ended"
    exit_code = EXIT_USAGE
    sentence = "No answer came to the question {question!r}; nothing was written."
    next_step = "Answer every question, with an empty line where the default is meant."


class UnreadablePhoto(BadInput):
    """The file is not a picture, or a damaged one."""

    key = "unreadable_photo"
    exit_code = 3
    sentence = "{path} cannot be read as a photo: {detail}."
    next_step = "Give a complete JPEG, PNG or TIFF as the camera wrote it."


class PhotoSizeRefused(BadInput):
    """The picture is too small to measure or too large to open safely."""

    key = "photo_size_refused"
    exit_code = 3
    sentence = "{path} has {width_px} x {height_px} pixels; {limit}."
    next_step = "Give the photo at the camera's own size."


class UnreadableRuler(BadInput):
    """The readings, scan or photo of a ruler page cannot be used."""

    key = "unreadable_ruler"
    exit_code = 3
    sentence = "The ruler page cannot be measured: {detail}."
    next_step = "Scan the whole page flat at 300 dpi or more, or read both lengths with a steel ruler."


class NoFace(BadInput):
    """No face was found."""

    key = "no_face"
    exit_code = 4
    sentence = "No face was found in {path}."
    next_step = "Give a photo of one person facing the camera, head and shoulders."


class SeveralFaces(BadInput):
    """More than one face was found."""

    key = "several_faces"
    exit_code = 5
    sentence = "{count} faces were found in {path}; an identity photo shows one person."
    next_step = "Take the photo again with one person in view."


class UnknownDocument(BadInput):
    """No rules are known by that id."""

    key = "unknown_document"
    exit_code = 6
    sentence = "No document is called {document!r}."
    next_step = "`holdstill documents` lists the ids; the nearest are: {nearest}."


class NoPrintSize(BadInput):
    """A print was asked of a document that is a file to upload."""

    key = "no_print_size"
    exit_code = 6
    sentence = "{document} is a file to upload; its rules give no size of a print."
    next_step = "Give -o FILE.jpg for that file, or choose a document with a print; `holdstill documents` lists them."


class UnknownPaper(BadInput):
    """No medium is known by that name."""

    key = "unknown_paper"
    exit_code = 6
    sentence = "No paper is called {paper!r}."
    next_step = "Use a PWG 5101.1 name or one of: {known}."


class RulesRefused(BadInput):
    """A document file breaks its own schema."""

    key = "rules_refused"
    exit_code = 7
    sentence = "{path}: {where}: {detail}."
    next_step = "Correct the key in that file; specs/README.md describes each one."


class SettingsRefused(BadInput):
    """The settings file has an unknown key, a wrong type or a missing device."""

    key = "settings_refused"
    exit_code = 8
    sentence = "{path}: {where}: {detail}."
    next_step = "Correct the key in that file; README.md lists the settings."


class BoothTaken(SettingsRefused):
    """Another booth on this machine has the same name or session folder."""

    key = "booth_taken"
    next_step = "Stop the other booth, or give each its own name and session folder in that file."


class CameraSettingRefused(NeedsAttendant):
    """The camera does not offer a value that the settings file asks for."""

    key = "camera_setting_refused"
    exit_code = 8
    sentence = "The camera cannot be set to {role} = {value!r}: {offered}."
    next_step = "Correct camera.adjust in the settings file, or turn the camera's mode dial to M."


class CannotWrite(BadInput):
    """An output file or folder cannot be written; nothing was left behind."""

    key = "cannot_write"
    exit_code = 9
    sentence = "{path} cannot be written: {detail}."
    next_step = "Choose a folder you may write to, with free space."


class PhotoDoesNotFit(BadInput):
    """The frame the document asks for reaches outside the picture."""

    key = "photo_does_not_fit"
    exit_code = 10
    sentence = "The frame of {document} reaches outside {path}: {detail}."
    next_step = "Take the photo again with more room around the head."


class TooFewPixels(BadInput):
    """The crop has fewer pixels than the print needs; nothing is enlarged."""

    key = "too_few_pixels"
    exit_code = 10
    sentence = "{path} gives {found_dpi:.0f} pixels per inch at print size; {document} needs {needed_dpi:.0f}."
    next_step = "Take the photo with more pixels, or stand nearer to the camera."


class UploadNotMade(BadInput):
    """No picture of the photo lies within the sizes and bytes of a file to upload."""

    key = "upload_not_made"
    exit_code = 10
    sentence = "{path} gives no file that {document} takes: {detail}."
    next_step = "Take the photo again: with more light if it is grainy, with more pixels if it is too plain."


class SheetDoesNotFit(BadInput):
    """The photos asked for do not fit the printable area of the paper."""

    key = "sheet_does_not_fit"
    exit_code = 11
    sentence = "{count} photos of {width_mm:g} x {height_mm:g} mm do not fit {paper} with its margins; {fit} do."
    next_step = "Choose a larger paper or fewer copies."


class PhotosDoNotFit(BadInput):
    """The photos of several sizes do not fit the paper together."""

    key = "photos_do_not_fit"
    exit_code = 11
    sentence = "{photos} do not fit {paper} together with its margins."
    next_step = "Choose a larger paper or fewer copies."


class RosterRefused(BadInput):
    """A list of attendees cannot be read, or has rows that cannot be taken; nothing of it was."""

    key = "roster_refused"
    exit_code = 12
    sentence = "{path}: {detail}."
    next_step = "Correct the list and import it again; nothing of it was taken."


class UnknownPerson(BadInput):
    """Nobody on the roster has that id."""

    key = "unknown_person"
    exit_code = 12
    sentence = "Nobody on the roster has the id {person!r}."
    next_step = "Search by name with `holdstill roster find`, or add the person at the desk."


class BadgePrinted(BadInput):
    """A badge was printed for this person before; a second one must be asked for."""

    key = "badge_printed"
    exit_code = 12
    sentence = "{person} has had a badge from {station} since {when}."
    next_step = "Ask for a reprint if it was lost; the report counts it."


class HeldElsewhere(Recoverable):
    """Another station alone may print this person's badge now."""

    key = "held_elsewhere"
    exit_code = 26
    sentence = "{person} belongs to the station {station} now: {detail}."
    next_step = "Try again in a moment, or send the person to that station."


class RosterUnreachable(Recoverable):
    """The database of the roster does not answer, or is damaged."""

    key = "roster_unreachable"
    exit_code = 26
    sentence = "The roster does not answer: {detail}."
    next_step = "Check the network and the database; nothing is lost, and the station goes on when it answers."


class CameraFault(Recoverable):
    """The camera stopped answering or refused a command."""

    key = "camera_fault"
    exit_code = 20
    sentence = "The camera does not answer: {detail}."
    next_step = "Check its cable, battery and switch; the booth connects again by itself."

    @property
    def advice(self) -> str:
        """The next step that was given with the error, where its cause is known, else the usual one."""
        return str(self.params.get("advice", self.next_step))


class CameraCardFull(NeedsAttendant):
    """The camera's card has no room for another picture."""

    key = "camera_card_full"
    exit_code = 20
    sentence = "The camera's card is full."
    next_step = "Empty the card or put in another; the booth goes on by itself."


class DeviceTimeout(Recoverable):
    """An operation on a device took longer than its limit."""

    key = "device_timeout"
    exit_code = 20
    sentence = "{device} did not finish {operation} within {limit_s:g} s."
    next_step = "The booth restarts the device; if it happens again, check its cable."


class PrinterFault(NeedsAttendant):
    """The printer refused the sheet or stopped."""

    key = "printer_fault"
    exit_code = 21
    sentence = "The printer {printer} stopped: {detail}."
    next_step = "Ask the attendant to look at the printer."


class SheetUnknown(PrinterFault):
    """Nobody can tell whether the sheet came out; it is never sent again by itself."""

    key = "sheet_unknown"
    sentence = "It is not known whether {printer} has printed the sheet: {detail}."
    next_step = "Ask the attendant to look in the tray and to destroy a sheet that nobody takes."


class ScaleUnproven(PrinterFault):
    """The printer's scale is not proven, so that it must not print documents."""

    key = "scale_unproven"
    exit_code = 24
    sentence = "The printer {printer} must not print documents: {detail}."
    next_step = "Print a page with `holdstill ruler`, measure it, and record what the ruler reads."


class NoDisplay(NeedsAttendant):
    """No screen could be opened."""

    key = "no_display"
    exit_code = 22
    sentence = "No screen could be opened: {detail}."
    next_step = "Start it on the booth's own screen, or with --headless."


class PageRefused(NeedsAttendant):
    """The attendant's page cannot be served."""

    key = "page_refused"
    exit_code = 8
    sentence = "The attendant's page cannot be served at {address}:{port}: {detail}."
    next_step = "Correct attendant.page in the settings file: an address of this machine, a free port, its certificate."


class MissingPart(NeedsAttendant):
    """A program or file that the command needs is not installed."""

    key = "missing_part"
    exit_code = 23
    sentence = "{part} is missing: {detail}."
    next_step = "Install it as README.md describes, then start again."


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


def all_errors() -> list[type[KioskError]]:
    """Return every concrete error class, the source of the exit-code table."""
    found: list[type[KioskError]] = []
    queue: list[type[KioskError]] = [KioskError]
    while queue:
        kind = queue.pop(0)
        queue.extend(kind.__subclasses__())
        if kind is KioskError or "key" in vars(kind):
            found.append(kind)
    return sorted(found, key=lambda kind: (kind.exit_code, kind.key))
