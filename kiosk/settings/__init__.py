"""The site's settings: a TOML file, perhaps over those of its shop and its chain (`layers.py`).

Unknown keys are refused, and relative paths start at the folder of the booth's own file.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import tomlkit
from pydantic import Field, ValidationError
from tomlkit.items import Array

from kiosk.core.document.confirmation import Confirmation, with_confirmation
from kiosk.errors import CannotWrite, NoSettings, SettingsRefused, SettingsUnreadable, os_reason
from kiosk.settings.attendant import AttendantSettings
from kiosk.settings.cameras import AnyCamera
from kiosk.settings.copies import CopySettings
from kiosk.settings.event import EventSettings
from kiosk.settings.handover import HandoverSettings
from kiosk.settings.layers import Layer, layers_of, merged, origin
from kiosk.settings.ledger import LedgerSettings
from kiosk.settings.light import LightSettings
from kiosk.settings.logs import LogSettings
from kiosk.settings.payment import AnyPayment, NoPayment
from kiosk.settings.power import PowerSettings
from kiosk.settings.printing import AnyPrinter, CupsSettings, PaperSettings
from kiosk.settings.receipt import ReceiptSettings
from kiosk.settings.section import Section
from kiosk.settings.site import BoothSettings, PriceSettings, ScreenSettings, SoundSettings
from kiosk.system.atomic_files import write_whole
from kiosk.system.plain_file import read_plain


class Settings(Section):
    """All settings of one booth, and the file from which they were read."""

    booth: BoothSettings
    camera: AnyCamera = Field(discriminator="backend")
    printer: AnyPrinter = Field(discriminator="backend")
    paper: PaperSettings = PaperSettings()
    screen: ScreenSettings = ScreenSettings()
    sound: SoundSettings = SoundSettings()
    attendant: AttendantSettings = AttendantSettings()
    prices: PriceSettings = PriceSettings()
    payment: AnyPayment = Field(default=NoPayment(), discriminator="backend")
    logs: LogSettings = LogSettings()
    power: PowerSettings = PowerSettings()
    light: LightSettings = LightSettings()
    ledger: LedgerSettings = LedgerSettings()
    copies: CopySettings = CopySettings()
    event: EventSettings | None = None
    handover: HandoverSettings | None = None
    receipt: ReceiptSettings | None = None
    confirmations: list[Confirmation] = Field(default=[])
    file: Path

    @property
    def ledger_file(self) -> Path:
        """The ledger's file, in the state folder."""
        return self.path(self.booth.state_folder) / "ledger.sqlite3"

    @property
    def copies_folder(self) -> Path | None:
        """The folder of the ledger's copies, or None if the ledger is not copied."""
        return self.path(self.copies.folder) if self.copies.folder else None

    @property
    def printing(self) -> Path:
        """The folder of the proofs of scale and of the journal of print jobs, in the state folder."""
        return self.path(self.booth.state_folder) / "printing"

    @property
    def rules(self) -> Path:
        """The folder of installed bundles of rules, in the state folder."""
        return self.path(self.booth.state_folder) / "rules"

    @property
    def voice_folder(self) -> Path | None:
        """The folder with the voice's sound files, or None if none is set or it does not exist yet."""
        folder = self.path(self.sound.voice_folder)
        return folder if self.sound.voice_folder and folder.is_dir() else None

    def path(self, text: str) -> Path:
        """Resolve a path of the settings, relative to the settings file's folder."""
        return (self.file.parent / text).resolve()

    def own_documents(self) -> Path | None:
        """Return the folder of the shop's own documents, or None if none is set.

        Raises
        ------
        SettingsRefused
            The folder does not exist.
        """
        if not self.booth.documents_folder:
            return None
        folder = self.path(self.booth.documents_folder)
        if not folder.is_dir():
            raise SettingsRefused(path=self.file, where="booth.documents_folder", detail=f"{folder} is not a folder")
        return folder


def read_settings(path: Path) -> Settings:
    """Read the settings in `path`.

    Raises
    ------
    SettingsRefused
        The file is not TOML, or has an unknown key or a wrong type; a `NoSettings` if it is missing, and a
        `SettingsUnreadable` if it may not be read.
    """
    try:
        text = read_plain(path).decode("utf-8")
    except FileNotFoundError as error:
        raise NoSettings(path=path) from error
    except OSError as error:
        raise SettingsUnreadable(path=path, detail=os_reason(error)) from error
    except UnicodeDecodeError as error:
        raise SettingsRefused(path=path, where="file", detail=f"not TOML: {error}") from error
    return settings_from(text, path)


def settings_from(text: str, path: Path) -> Settings:
    """Parse settings in `text`, which was read from `path` or is about to be written there.

    Raises
    ------
    SettingsRefused
        The text or a layer is not TOML, or has an unknown key or a wrong type; or a layer is missing.
    """
    layers = layers_of(text, path)
    table = merged(layers)
    if "file" in table:
        raise SettingsRefused(path=origin(layers, ["file"]), where="file", detail="unknown key")
    try:
        settings = Settings.model_validate_json(json.dumps({**table, "file": str(path.resolve())}, default=str))
    except ValidationError as error:
        raise refusal(path, error, layers) from error
    if not settings.booth.documents and settings.event is None:
        raise SettingsRefused(path=path, where="booth.documents", detail="name the documents on offer, or set [event]")
    if settings.light.flash is not None and (settings.booth.burst or 1) > 1:
        raise SettingsRefused(path=path, where="booth.burst", detail="a flash allows one still per shot")
    if settings.ledger.database and not settings.booth.name:
        raise SettingsRefused(path=path, where="booth.name", detail="name the booth, for the office's database")
    if settings.receipt is not None:
        _check_receipt(settings, settings.receipt)
    return settings


def _check_receipt(settings: Settings, receipt: ReceiptSettings) -> None:
    """Refuse a receipt of sheets that cost nothing, and one on a queue that prints the sheets."""
    if settings.prices.sheet is None and not settings.prices.documents:
        detail = "a receipt says what a sheet costs: set prices.sheet, or prices.documents"
        raise SettingsRefused(path=settings.file, where="receipt", detail=detail)
    printer = settings.printer
    queues = [more.queue for more in settings.paper.more]
    if isinstance(printer, CupsSettings):
        queues += [printer.queue, printer.second.queue if printer.second is not None else ""]
    if receipt.queue and receipt.queue in queues:
        detail = f"the queue {receipt.queue} prints sheets; a receipt printer has a queue of its own"
        raise SettingsRefused(path=settings.file, where="receipt.queue", detail=detail)


def add_confirmation(path: Path, confirmation: Confirmation) -> bool:
    """Enter a confirmation in the settings file, leaving the rest as it was written, comments included.

    Earlier ones of the same document that it makes superfluous are removed. Return False, and write nothing, where it
    is itself superfluous.

    Raises
    ------
    SettingsRefused
        The settings file is missing or already has a fault.
    CannotWrite
        The file cannot be written and is unchanged.
    """
    known = read_settings(path).confirmations
    if confirmation in known or confirmation not in with_confirmation(known, confirmation):
        return False
    settings = tomlkit.parse(path.read_text(encoding="utf-8"))
    before = known[len(known) - len(settings.get("confirmations", [])) :]
    after = with_confirmation(before, confirmation)
    confirmed = settings.setdefault("confirmations", tomlkit.aot())
    for index in reversed([index for index, old in enumerate(before) if old not in after]):
        del confirmed[index]
    entry = tomlkit.inline_table() if isinstance(confirmed, Array) else tomlkit.table()
    entry.update(confirmation.model_dump(exclude_none=True))
    confirmed.append(entry)
    text = tomlkit.dumps(settings)
    settings_from(text, path)
    try:
        write_whole(path, text.encode())
    except OSError as error:
        raise CannotWrite(path=path, detail=os_reason(error)) from error
    return True


_UNKNOWN_KEY = ("extra_forbidden", "unexpected_keyword_argument")


def refusal(path: Path, error: ValidationError, layers: Sequence[Layer] = (), within: str = "") -> SettingsRefused:
    """Return the first validation error of the settings, with its key and the file that has it, as this program's.

    Parameters
    ----------
    path
        The booth's file, which is named if no layer has the key.
    within
        The key of the section that was validated, if that is not all of them.
    """
    first = error.errors(include_url=False, include_context=False)[0]
    loc = first["loc"]
    of_a_backend = loc[:1] in (("camera",), ("printer",), ("payment",)) and not within
    keys = [*filter(None, [within]), *(str(part) for part in (loc[:1] + loc[2:] if of_a_backend else loc))]
    detail = "unknown key" if first["type"] in _UNKNOWN_KEY else first["msg"]
    file = (origin(layers, keys) if keys else None) or path
    return SettingsRefused(path=file, where=".".join(keys), detail=detail[:1].lower() + detail[1:])
