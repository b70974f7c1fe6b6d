"""Everything that reads what somebody else has written, as functions of bytes: only named errors may come out."""

import io
import random
import tempfile
from datetime import date
from functools import partial
from pathlib import Path

import numpy as np
from PIL import Image

from kiosk.catalogue import bundle, documents, review
from kiosk.catalogue.badge_designs import read_design
from kiosk.core.base.geometry import Rect, Size
from kiosk.core.print_colour.reading import typed_readings
from kiosk.core.session.business_report import Period
from kiosk.devices.cups.colours import QueueColours, fault_of, in_colours
from kiosk.devices.cups.profile import PrinterProfile
from kiosk.devices.gphoto2.profile import CameraProfile
from kiosk.devices.profile_file import read_profile_file
from kiosk.errors import KioskError
from kiosk.render.drawing.pdf import PdfPage
from kiosk.render.report.worksheet import worksheet
from kiosk.settings import read_settings
from kiosk.store.ledger.reading import read_trade
from kiosk.store.roster.list_file import read_roster
from kiosk.vision.pictures.photo_file import decode_still, read_photo
from tests.store.made_up import Shop
from tests.support.printer_profile import printer_profile
from tests.support.shipped import CATALOGUE

ROOT = Path(__file__).parents[2]
SHARED = documents._Shared.read(documents.shipped_folder())
PALETTE = (
    b"\x00",
    b"\xff",
    b"\xff\xd8",
    b"\n",
    b'"',
    b"[",
    b"]]",
    b"=",
    b"nan",
    b"-1",
    b"1e400",
    b"9" * 30,
    b"'''",
    b"1979-05-27",
)
CAMERA = partial(read_profile_file, kind=CameraProfile)
PRINTER = partial(read_profile_file, kind=PrinterProfile)


def picture(kind):
    """Return a small picture with an orientation and a profile-less palette, as a camera or scanner might send."""
    file = io.BytesIO()
    image = Image.linear_gradient("L").resize((120, 160))
    exif = Image.Exif()
    exif[274] = 6
    (image if kind != "GIF" else image.convert("P")).save(
        file, kind, **({"exif": exif} if kind in ("JPEG", "PNG", "TIFF") else {})
    )
    return file.getvalue()


def in_a_file(read, name):
    def parse(data, folder):
        path = folder / name
        path.write_bytes(data)
        read(path)

    return parse


def answers(path):
    review.read_answers(review.read_worksheet(path), CATALOGUE, date(2026, 12, 1))


def _seeds(*patterns):
    return [path.read_bytes() for pattern in patterns for path in sorted(ROOT.glob(pattern))[:6]]


def _as_a_queues_profile(data, _):
    """Print through a profile that the settings would take."""
    if not fault_of(data, "relative"):
        page = PdfPage(Size(50.8, 50.8))
        page.draw_picture(page.add_picture(np.full((4, 4, 3), 90, np.uint8)), Rect(5, 5, 20, 20))
        in_colours(page.finish(), QueueColours(data, "relative", black_point=True))


def small_ledger():
    """Return the bytes of a ledger with a few sessions."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "ledger.sqlite3"
        Shop(path).trade(5)
        return path.read_bytes()


PICTURES = [picture(kind) for kind in ("JPEG", "PNG", "TIFF")]
TARGETS = {
    "settings": (in_a_file(read_settings, "booth.toml"), _seeds("demo/booth.toml")),
    "document": (in_a_file(SHARED.document, "gb-passport-print.toml"), _seeds("specs/gb-*.toml", "specs/us-*.toml")),
    "worksheet": (in_a_file(answers, "sheet.txt"), [worksheet([CATALOGUE.get("hk-passport")], CATALOGUE).encode()]),
    "bundle's version": (
        in_a_file(lambda path: bundle.version_of(path.parent), "bundle.toml"),
        _seeds("specs/bundle.toml"),
    ),
    "bundle's checksums": (
        lambda data, folder: bundle._sums(folder, data),
        [b"0" * 64 + b"  bundle.toml\n" + b"a" * 64 + b" *gb-passport-print.toml\n"],
    ),
    "camera profile": (
        in_a_file(CAMERA, "any.toml"),
        _seeds("hardware/cameras/*.toml"),
    ),
    "printer profile": (
        in_a_file(PRINTER, "any.toml"),
        _seeds("hardware/printers/*.toml"),
    ),
    "badge design": (in_a_file(read_design, "badge.toml"), _seeds("specs/badges/*.toml")),
    "roster": (in_a_file(read_roster, "list.csv"), ["id;name\n1;Åsa Moor\n".encode(), b"PK\x03\x04"]),
    "photo": (in_a_file(read_photo, "photo.jpg"), PICTURES),
    "still": (lambda data, _: decode_still(data), PICTURES[:1]),
    "colour readings": (
        lambda data, _: typed_readings(data.decode("utf-8", "replace")),
        [b"patch,l,a,b\npaper,94,0,-3\nD1,50,0,0\n", b"patch,r,g,b\npaper,.1,.1,.1\nD1,1,1,1.1\n"],
    ),
    "ICC profile": (_as_a_queues_profile, [printer_profile()]),
    "ledger": (in_a_file(lambda path: read_trade(path, Period.parse("2026")), "ledger.sqlite3"), [small_ledger()]),
}


def mutate(data, chance):
    """Return `data` with some bytes changed, cut out, doubled or put in."""
    data = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 4, 16))):
        at = chance.randrange(len(data) + 1)
        end = min(len(data), at + chance.choice((0, 1, 1, 4, 40, 400)))
        change = chance.randrange(5)
        if change == 0:
            data[at:end] = b""
        elif change == 1:
            data[at:end] = chance.choice(PALETTE)
        elif change == 2:
            data[at:at] = data[at:end] * chance.choice((1, 3, 200))
        elif change == 3 and at < len(data):
            data[at] ^= 1 << chance.randrange(8)
        else:
            data[at:at] = chance.randbytes(chance.choice((1, 4)))
    return bytes(data)


def attack(name, seed, folder):
    """Parse the mutant of a number; return the error that refused it, or None where it was taken."""
    parse, seeds = TARGETS[name]
    chance = random.Random(seed)
    data = (
        mutate(chance.choice(seeds), chance)
        if seeds and chance.random() < 0.95
        else chance.randbytes(chance.randrange(300))
    )
    try:
        parse(data, folder)
    except KioskError as refused:
        return refused
    return None
