"""The settings file as it is edited: what stands in it stays, comments and order too; what is answered is put in."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.items import Table

from kiosk.errors import CannotWrite, os_reason
from kiosk.settings import settings_from
from kiosk.system.atomic_files import write_whole

TEMPLATE = Path(__file__).with_name("template.toml")
SYSTEM = Path("/etc/holdstill")
SYSTEM_PLACES = {
    "booth": {"session_folder": "/run/holdstill", "state_folder": "/var/lib/holdstill"},
    "printer": {"folder": "/var/lib/holdstill/prints"},
    "logs": {"folder": "/var/log/holdstill"},
}
"""Where a booth installed by hardware/os keeps things: Filesystem Hierarchy Standard 3.0."""

Answers = Mapping[str, Mapping[str, Any]]


class SettingsFile:
    """One settings file, there or not yet.

    Raises
    ------
    SettingsRefused
        It is there and has a fault of its own, which a person has to mend.
    CannotWrite
        Its folder is not there.
    """

    def __init__(self, path: Path, system: Path = SYSTEM) -> None:
        self.path = path
        self.is_new = not path.exists()
        if not path.parent.is_dir():
            raise CannotWrite(path=path, detail="its folder is not there")
        if self.is_new:
            self._text = _new(SYSTEM_PLACES if path.parent == system else {})
        else:
            self._text = path.read_text(encoding="utf-8")
            settings_from(self._text, path)

    @property
    def now(self) -> dict[str, dict[str, Any]]:
        """What is set, section by section; what the file leaves out is as in the template."""
        template, own = (tomlkit.parse(text).unwrap() for text in (_new({}), self._text))
        own = {section: values for section, values in own.items() if isinstance(values, dict)}
        devices = {"camera": own["camera"], "printer": own["printer"]}
        event = {"event": own["event"]} if "event" in own else {}
        return {**{section: {**template[section], **own.get(section, {})} for section in template}, **devices, **event}

    def text(self, answers: Answers) -> str:
        """Return the file with the answers in it; a key whose answer is None is taken out, and an event that is none.

        Raises
        ------
        SettingsRefused
            They do not make settings.
        """
        edited, template = tomlkit.parse(self._text), tomlkit.parse(_new({}))
        for section, values in answers.items():
            table = edited.get(section)
            if table is None:
                table = edited[section] = template.get(section, tomlkit.table())
            _drop_others(section, table, values)
            for key, value in values.items():
                if value is None:
                    table.pop(key, None)
                elif table.get(key) != value:
                    table[key] = value
        if "event" not in answers:
            edited.pop("event", None)
        text = tomlkit.dumps(edited)
        settings_from(text, self.path)
        return text

    def write(self, text: str) -> None:
        """Write the file whole; a new one may be read by its folder's group, which on a booth is the booth's.

        Raises
        ------
        CannotWrite
            What stood there still stands.
        """
        try:
            write_whole(self.path, text.encode())
            if self.is_new:
                self.path.chmod(0o640)
        except OSError as error:
            raise CannotWrite(path=self.path, detail=os_reason(error)) from error


def _new(places: Answers) -> str:
    """Return the template, with its places in it."""
    template = tomlkit.parse(TEMPLATE.read_text(encoding="utf-8"))
    for section, values in places.items():
        for key, value in values.items():
            template[section][key] = value
    return tomlkit.dumps(template)


def _drop_others(section: str, table: Table, values: Mapping[str, Any]) -> None:
    """Take out the keys of another device, which would be refused, and a price that is no longer shown."""
    changes = "backend" in values and table.get("backend") != values["backend"]
    for key in list(table):
        if (changes and key not in values) or (section == "prices" and key == "sheet" and key not in values):
            del table[key]
