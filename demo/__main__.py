"""Run the main job on the demo scenario, and tell what was made and where."""

from __future__ import annotations

import argparse
import json
import logging
import os
import shutil
import sys
from pathlib import Path

from demo.album import Album
from demo.hand import Hand
from kiosk.booth.assembly import Booth, open_booth
from kiosk.catalogue.documents import Catalogue
from kiosk.core.judging.conformance import Judgement
from kiosk.core.judging.override import REASONS
from kiosk.core.session.events import Still
from kiosk.errors import KioskError
from kiosk.render.report.measurement import measured_json
from kiosk.render.report.measurement_pdf import report_page
from kiosk.render.sheet.photo import Photo
from kiosk.settings import read_settings
from kiosk.vision.pictures.photo_file import decode_still

HERE = Path(__file__).parent
OUT = HERE / "out"
LIMIT_S = 180.0
DOCUMENT = "gb-passport-print"


def main() -> int:
    """Return 0 when a sheet was printed and nothing of the sitter was kept."""
    parser = argparse.ArgumentParser(prog="demo/run", description=__doc__)
    parser.add_argument("--play", action="store_true", help="stay open for a person, with the mouse as the finger")
    parser.add_argument("--headless", action="store_true", help="draw without a screen")
    options = parser.parse_args()
    headless = options.headless or not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    if headless and options.play:
        print("There is no display to play on. Start this on a machine with a screen.", file=sys.stderr)
        return 22
    if headless:
        print("The screens are drawn without a display and kept as pictures.")
    logging.basicConfig(level=logging.WARNING, format="  %(message)s", stream=sys.stdout)
    logging.getLogger("kiosk").setLevel(logging.INFO)
    shutil.rmtree(OUT, ignore_errors=True)
    OUT.mkdir()
    try:
        with open_booth(read_settings(HERE / "booth.toml"), headless=headless) as booth:
            if options.play:
                booth.loop.run(lambda: True)
                return 0
            return _perform(booth)
    except KioskError as error:
        print(f"demo/run: {error}\n  {error.advice}", file=sys.stderr)
        return error.exit_code


def _perform(booth: Booth) -> int:
    """Let the sitter go through one session."""
    print(f"The sitter at the counter of The Paper Lantern wants {DOCUMENT}; all devices are simulated.")
    hand, album = Hand(booth.screen, DOCUMENT), Album(booth.screen, OUT / "screens")
    began_s = booth.loop.view.now_s
    judged: list[Judgement] = []
    stills: list[Still] = []

    def go_on() -> bool:
        view, session = booth.loop.view, booth.loop.session
        if session.judged is not None and (not judged or session.judged is not judged[-1]):
            judged.append(session.judged)
            words = ", ".join(session.judged.reasons) or "every requirement met"
            print(f"    shot {view.shot}: {session.judged.verdict} ({words})")
        if session.still is not None:
            stills[:] = [session.still]
        album.keep(view)
        hand.act(view)
        over = album.has("collect") and view.state == "welcome"
        return not over and view.now_s - began_s < LIMIT_S

    booth.loop.run(go_on)
    return _tell(stills, len(judged), album, booth.loop.view.now_s - began_s)


def _tell(stills: list[Still], shots: int, album: Album, took_s: float) -> int:
    """Write the report and say what was made."""
    sheets = sorted((OUT / "prints").glob("*.pdf"))
    kept = [path for path in (OUT / "session").iterdir() if not path.name.startswith(".")]
    if not sheets or kept or not (stills and stills[-1].passed):
        print(f"The session did not end with a sheet: {len(sheets)} sheets, {len(kept)} files kept.", file=sys.stderr)
        return 1
    _report(stills[-1])
    print(f"Done in {took_s:.0f} s, {shots} shots; nothing of the sitter was kept in the session folder.")
    print(f"  sheet:         {sheets[0]}")
    print(f"  job record:    {sheets[0].with_suffix('.json')}")
    print(f"  measurements:  {OUT / 'report.pdf'} and report.json")
    print(f"  {len(album.paths)} screens:    {album.folder}")
    print("The issuing authority decides whether a photo is accepted.")
    return 0


def _report(still: Still) -> None:
    """Write the measurement report, as a page to read and as data."""
    catalogue = Catalogue.load()
    document = catalogue.get(DOCUMENT)
    photo = Photo(decode_still(still.photo_jpeg), document.frame_mm)
    override = REASONS[still.override] if still.override else ""
    page = report_page(
        photo,
        still.judgement,
        document,
        catalogue.sources,
        simulated=True,
        override=override,
        accepted=still.accepted,
    )
    (OUT / "report.pdf").write_bytes(page.finish())
    data = json.dumps(measured_json(Path("still.jpg"), still.judgement), indent=2)
    (OUT / "report.json").write_text(data, encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
