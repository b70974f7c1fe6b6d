"""Make the voice's sound files with a speech synthesiser, once, when a booth is set up.

Every instruction and title is spoken in each of the site's languages into `sound.voice_folder`; files that are there
already are kept, so that a recording of a person may take the place of any of them.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import tempfile
from pathlib import Path

from kiosk.commands.output import SETTINGS
from kiosk.errors import EXIT_DONE, CannotWrite, MissingPart, SettingsRefused, os_reason, shown
from kiosk.i18n import Words
from kiosk.system.atomic_files import write_whole

PROGRAM = "espeak-ng"
VOICES = {"en": "en-gb", "fr": "fr-fr", "zh-Hans": "cmn"}
"""The synthesiser's voices whose names differ from the language's tag."""
WORDS_A_MINUTE = 140
"""The rate of speech, slower than the synthesiser's default of 175, for people who read with difficulty (practice)."""
LIMIT_S = 30.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("--settings", type=Path, default=SETTINGS, metavar="FILE", help="the booth's settings")


def run(options: argparse.Namespace) -> int:
    """Make the files, and print their number."""
    from kiosk.settings import read_settings

    settings = read_settings(options.settings)
    if not settings.sound.voice_folder:
        detail = "name the folder for the voice's files"
        raise SettingsRefused(path=settings.file, where="sound.voice_folder", detail=detail)
    folder = settings.path(settings.sound.voice_folder)
    for tag in settings.booth.languages:
        made = speak(tag, folder)
        print(f"{tag}: {made} files made in {shown(folder / tag)}")
    return EXIT_DONE


def speak(tag: str, folder: Path, program: str = PROGRAM) -> int:
    """Make the missing files of one language, and return their number.

    Raises
    ------
    MissingPart
        The program is not installed, or has no voice for the language.
    CannotWrite
        The folder cannot be written.
    """
    from kiosk.screens.spoken import KEYS, SUFFIX

    if shutil.which(program) is None:
        raise MissingPart(part=f"The speech program {program}", detail="it is not on the path")
    voice = VOICES.get(tag, tag)
    if voice not in _voices(program):
        raise MissingPart(part=f"The voice {voice!r} of {program}", detail="it would speak in another language instead")
    words, made = Words.load(tag), 0
    for key in KEYS:
        path = folder / tag / f"{key}{SUFFIX}"
        if path.exists():
            continue
        sound = _spoken(program, voice, words.bare(key))
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, sound)
        except OSError as error:
            raise CannotWrite(path=path, detail=os_reason(error)) from error
        made += 1
    return made


def _voices(program: str) -> set[str]:
    """Return the available voices; given an unknown one, the synthesiser would silently use its default."""
    listed = subprocess.run([program, "--voices"], capture_output=True, text=True, timeout=LIMIT_S, check=False)
    return {columns[1] for line in listed.stdout.splitlines()[1:] if len(columns := line.split()) > 1}


def _spoken(program: str, voice: str, text: str) -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "said.wav"
        call = [program, "-v", voice, "-s", str(WORDS_A_MINUTE), "-w", str(out), "--stdin"]
        spoken = subprocess.run(call, input=text.encode(), capture_output=True, timeout=LIMIT_S, check=False)
        if spoken.returncode or not out.is_file():
            reason = spoken.stderr.decode(errors="replace").strip().splitlines() or ["it made no sound"]
            raise MissingPart(part=f"The voice {voice!r} of {program}", detail=reason[-1].rstrip("."))
        return out.read_bytes()
