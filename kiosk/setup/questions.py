"""The questions of the setup, one function per section; each returns that section's keys and has no side effects."""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

from kiosk.catalogue.documents import Catalogue
from kiosk.catalogue.installed import in_force
from kiosk.core.document.confirmation import is_trusted
from kiosk.core.document.document import Document
from kiosk.core.sheet.imposition import Margins
from kiosk.core.sheet.media import medium
from kiosk.core.view.kept_sheet import MOST_MINUTES
from kiosk.errors import BadInput
from kiosk.i18n import available, native_name
from kiosk.pipeline.sheet_layout import SheetLayout
from kiosk.settings.site import BoothProfile
from kiosk.setup import readers
from kiosk.setup.ask import InvalidAnswer, Terminal
from kiosk.system.pin_hash import hash_pin

Section = dict[str, Any]
PROFILES: dict[str, str] = {
    "self-service": "a booth where the sitter is alone",
    "staffed": "a counter with staff nearby",
    "event": "a desk that hands out badges",
}
TURNED = {"0": "not at all", "90": "a quarter to the right", "180": "upside down", "270": "a quarter to the left"}
BACKENDS = {
    "gphoto2": "a camera on USB that the booth releases",
    "uvc": "a webcam",
    "folder": "a camera that sends its pictures to a folder",
    "rtsp": "a camera in the network that sends video",
}
WEBCAMS = Path("/dev/v4l/by-id")
_KEPT = "as it is"
"""The answer that keeps an address, which may hold a password."""
BADGE = "event-badge-id1"
ANY_COUNTRY = "icao-generic"
assert set(PROFILES) == set(get_args(BoothProfile))


def site(ask: Terminal, now: Section) -> Section:
    """Ask how the booth is used, and for its name."""
    ask.heading("The booth")
    profile = ask.choice("How is it used?", PROFILES, now["profile"])
    name = ask.value(
        "A name, if there are several booths on this machine; - for none", readers.booth_name, now.get("name") or "-"
    )
    return {"profile": profile, "name": name}


def camera(ask: Terminal, now: Section) -> Section:
    """Ask which camera is used, and how it is mounted."""
    ask.heading("The camera")
    simulated = {"sim": "a simulated sitter, for a demonstration"} if now["backend"] == "sim" else {}
    backend = ask.choice("Which kind is it?", {**BACKENDS, **simulated}, now["backend"])
    same = now if now["backend"] == backend else {}
    if backend == "sim":
        return now
    size = same.get("still_px") or ([1920, 1080] if backend in {"uvc", "rtsp"} else [4000, 6000])
    answers: Section = {"backend": backend}
    if backend == "gphoto2":
        model = "Part of its model's name, where there are several; - for any"
        answers["model"] = ask.value(model, readers.or_none, same.get("model") or "-")
        before = str(same.get("turned_deg", 0))
        answers["turned_deg"] = int(ask.choice("How must its live view be turned?", TURNED, before))
    elif backend == "uvc":
        answers |= _webcam(ask, same)
    elif backend == "rtsp":
        answers |= _network_camera(ask, same)
    else:
        answers["folder"] = ask.text("The folder it sends its pictures to", same.get("folder", "camera"))
    pictures = "Its pictures, upright, width x height in pixels"
    answers["still_px"] = ask.value(pictures, readers.pixels, f"{size[0]} x {size[1]}")
    return answers


def _webcam(ask: Terminal, now: Section) -> Section:
    """Ask which webcam is used; one that is named by its serial number stays named so, unless the answer is none."""
    if now.get("serial"):
        serial = ask.value("Its serial number; - to name it by its number or path", readers.or_none, now["serial"])
        if serial:
            return {"serial": serial}
    found = sorted(map(str, WEBCAMS.iterdir())) if WEBCAMS.is_dir() else []
    ask.say("Found: " + (", ".join(found) if found else "none; connect it before you go on, or give its number."))
    first = found[0] if found else "0"
    return {"serial": None, "device": ask.value("Its number or path", readers.device, str(now.get("device", first)))}


def _network_camera(ask: Terminal, now: Section) -> Section:
    """Ask where the camera is and what it asks for; the password is neither shown nor repeated."""
    address = ask.value(
        "The address of its stream", readers.stream, now.get("address", "rtsp://192.168.1.30:554/stream")
    )
    user = ask.value("Its user; - where it asks for none", readers.or_none, now.get("user") or "-")
    if not user:
        return {"address": address, "user": None, "password": None}
    kept = now.get("password", "") if user == now.get("user") else ""
    password = ask.secret(f"Its password; empty {'keeps the current one' if kept else 'sets none'}")
    return {"address": address, "user": user, "password": password or kept}


def documents(ask: Terminal, now: Section, profile: str, paper_now: Section, folder: Path) -> Section:
    """Ask which documents are offered; refuse those that do not fit the paper, and name those to be confirmed."""
    ask.heading("The documents")
    base = in_force((folder / now["state_folder"]).resolve() / "rules")
    own = ask.value(
        "A folder of documents of your own; - for none",
        readers.own_folder(folder, base),
        now.get("documents_folder") or "-",
    )
    catalogue = Catalogue.beside(folder / own if own else None, base)
    prints = {document.id: document for document in catalogue.all() if document.size is not None}
    default = now["documents"]
    if not default:
        country = ask.value("The country, in two letters; - for none", readers.country, "-")
        default = _usual(prints, country, profile)
    titles = {name: document.title for name, document in prints.items()}
    layout = SheetLayout(medium(paper_now["medium"]), Margins(*paper_now["margins_mm"]), paper_now["gutter_mm"])
    while True:
        chosen = ask.several("Which are offered", titles, default)
        refused = _refusals(layout, [prints[name] for name in chosen])
        for refusal in refused:
            ask.say(f"  {refusal} {refusal.advice}")
        if not refused:
            break
    for name in chosen:
        if not is_trusted(prints[name], ()):
            ask.say(f"  {name} stays hidden until it is confirmed: holdstill documents confirm {name}")
    return {"documents": chosen, "documents_folder": own}


def languages(ask: Terminal, now: Section) -> Section:
    """Ask which languages are offered."""
    ask.heading("The languages")
    known = {tag: native_name(tag) for tag in available()}
    return {"languages": ask.several("Which are offered, the first one first", known, now["languages"])}


def prices(ask: Terminal, now: Section) -> Section:
    """Ask what a sheet costs."""
    ask.heading("The prices")
    shown = "What a sheet costs, shown beside each document; - to show none"
    price = ask.value(shown, readers.price, str(now.get("sheet", "-")))
    others = {key: value for key, value in now.items() if key != "sheet"}
    if price is None:
        return others
    currency = ask.value("In which currency, by its three letters", readers.currency, now["currency"])
    return {**others, "sheet": price, "currency": currency}


def attendant(ask: Terminal, now: Section, profile: str) -> Section:
    """Ask for the attendant's PIN, who releases sheets, and who decides on a doubtful photo."""
    ask.heading("The attendant")
    pin_hash = _pin(ask, now["pin_hash"])
    if not pin_hash:
        return {"pin_hash": "", "release": "free", "doubt": None, "reprint_minutes": None}
    waits = now["release"] == "attendant" if now["pin_hash"] else profile == "staffed"
    releases = ask.yes("Does each sheet wait until the attendant releases it", default=waits)
    doubt = {} if profile == "event" else _doubt(ask, now)
    again = f"For how many minutes a sheet can be printed again, {MOST_MINUTES} at most; 0 keeps none"
    minutes = ask.value(again, readers.minutes, str(now.get("reprint_minutes", 0)))
    release = "attendant" if releases else "free"
    return {"pin_hash": pin_hash, "release": release, **doubt, "reprint_minutes": minutes}


def office(ask: Terminal, now: Section) -> Section:
    """Ask for the database of an office to which a booth of several sends its facts; a known address is not shown."""
    ask.heading("The office")

    def read(text: str) -> str:
        if text == _KEPT:
            return str(now["database"])
        if text != "-" and not text.startswith("postgresql+psycopg://"):
            raise InvalidAnswer("an address begins with postgresql+psycopg://")
        return "" if text == "-" else text

    shown = "The address of the office's database, if this booth is one of several; - for none"
    database = ask.value(shown, read, _KEPT if now["database"] else "-")
    if not database:
        return {"database": "", "region": ""}
    region = ask.text("The booth's region in the office's reports; - for none", now["region"] or "-")
    return {"database": database, "region": "" if region == "-" else region}


def _doubt(ask: Terminal, now: Section) -> Section:
    """Ask who decides on a doubtful photo; with a PIN the attendant is the default, which is not written out."""
    question = "Is the attendant asked about a doubtful photo; no lets the sitter print it as not certain"
    if not ask.yes(question, default=now.get("doubt") != "sitter"):
        return {"doubt": "sitter"}
    return {"doubt": "attendant"} if "doubt" in now else {}


def _pin(ask: Terminal, current_hash: str) -> str:
    """Ask for a PIN twice and return its hash; an empty answer keeps the current one, if any."""
    while True:
        empty = "keeps the current one" if current_hash else "sets none"
        pin = ask.secret(f"A PIN of 6 to 12 digits for the attendant; empty {empty}")
        if not pin:
            return current_hash
        if pin != ask.secret("The same again"):
            ask.say("  The two are not the same.")
            continue
        try:
            return hash_pin(pin)
        except BadInput as refusal:
            ask.say(f"  {refusal} {refusal.advice}")


def _usual(prints: dict[str, Document], country: str, profile: str) -> list[str]:
    """Return the usual offer of such a booth: the country's own prints, passports first, and a badge at an event."""
    local = [name for name, document in prints.items() if document.country == country and is_trusted(document, ())]
    local.sort(key=lambda name: "passport" not in prints[name].kinds)
    first = [BADGE] if profile == "event" else []
    return [*first, *local] or [ANY_COUNTRY]


def _refusals(layout: SheetLayout, chosen: list[Document]) -> list[BadInput]:
    refused = []
    for document in chosen:
        try:
            layout.impose(document)
        except BadInput as refusal:
            refused.append(refusal)
    return refused
