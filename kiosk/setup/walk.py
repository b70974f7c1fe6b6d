"""The setup from start to end: all sections, a summary, and then the file is written or left unchanged."""

from __future__ import annotations

from typing import Any

from kiosk.setup import printing, questions
from kiosk.setup.ask import Terminal
from kiosk.setup.event import event
from kiosk.setup.file import SettingsFile
from kiosk.setup.payment import payment


def walk(file: SettingsFile, ask: Terminal) -> bool:
    """Ask all questions and write the file; return whether it was written.

    Raises
    ------
    AnswersEnded
        The input ended early, and nothing was written.
    CannotWrite
        The file cannot be written and is unchanged.
    """
    ask.say(
        f"This asks for the settings of a booth and writes them to {file.path}. Enter accepts the value in brackets; "
        "Ctrl-C leaves without changing anything."
    )
    answers = _answers(file, ask)
    text = file.text(answers)
    ask.heading("Summary")
    for section, values in answers.items():
        for key, value in values.items():
            if value is None:
                continue
            shown = ("set" if value else "none") if key in {"pin_hash", "database", "password"} else value
            ask.say(f"{section}.{key} = {shown}")
    if not ask.yes(f"Write this to {file.path}", default=True):
        ask.say("Nothing was changed.")
        return False
    file.write(text)
    ask.say(f"{file.path} is written.")
    return True


def _answers(file: SettingsFile, ask: Terminal) -> dict[str, dict[str, Any]]:
    now = file.now
    booth = questions.site(ask, now["booth"])
    camera = questions.camera(ask, now["camera"])
    printer = printing.printer(ask, now["printer"], now["booth"]["state_folder"])
    paper = printing.paper(ask, now["paper"], printer)
    answers: dict[str, dict[str, Any]] = {"booth": booth, "camera": camera, "printer": printer, "paper": paper}
    if booth["profile"] == "event":
        answers["event"] = event(ask, now.get("event", {}), file.path.parent)
    else:
        booth |= questions.documents(ask, now["booth"], booth["profile"], paper, file.path.parent)
    booth |= questions.languages(ask, now["booth"])
    if booth["profile"] != "event":
        prices = answers["prices"] = questions.prices(ask, now["prices"])
        priced = prices.get("sheet") is not None or prices.get("documents")
        answers["payment"] = payment(ask, now["payment"], file.path.parent) if priced else {"backend": "none"}
    answers["attendant"] = questions.attendant(ask, now["attendant"], booth["profile"])
    if booth["name"]:
        answers["ledger"] = questions.office(ask, now["ledger"])
    return answers
