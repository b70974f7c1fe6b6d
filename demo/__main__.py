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
from kiosk.app import Booth, open_booth
from kiosk.core.conformance import Judgement
from kiosk.errors import KioskError
from kiosk.render.report import measured_json
from kiosk.settings import read_settings

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
        print("There is no display: the screens are drawn without one and kept as pictures.")
    logging.basicConfig(level=logging.INFO, format="  %(message)s", stream=sys.stdout)
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
    judgements: list[Judgement] = []

    def go_on() -> bool:
        view, still = booth.loop.view, booth.loop.session.still
        if still is not None and (not judgements or still.judgement is not judgements[-1]):
            judgements.append(still.judgement)
            words = ", ".join(still.judgement.reasons) or "every requirement met"
            print(f"    shot {view.shot}: {still.judgement.verdict} ({words})")
        album.keep(view)
        hand.act(view)
        over = album.has("collect") and view.state == "welcome"
        return not over and view.now_s - began_s < LIMIT_S

    booth.loop.run(go_on)
    return _tell(judgements, album, booth.loop.view.now_s - began_s)


def _tell(judgements: list[Judgement], album: Album, took_s: float) -> int:
    """Write the report and say what was made."""
    sheets = sorted((OUT / "prints").glob("*.pdf"))
    kept = [path for path in (OUT / "session").iterdir() if not path.name.startswith(".")]
    if not sheets or kept or judgements[-1].verdict != "pass":
        print(f"The session did not end with a sheet: {len(sheets)} sheets, {len(kept)} files kept.", file=sys.stderr)
        return 1
    report = OUT / "report.json"
    report.write_text(json.dumps(measured_json(Path("still.jpg"), judgements[-1]), indent=2), encoding="utf-8")
    print(f"Done in {took_s:.0f} s, {len(judgements)} shots; nothing of the sitter was kept in the session folder.")
    print(f"  sheet, {_size(sheets[0])}:  {sheets[0]}")
    print(f"  job record:       {sheets[0].with_suffix('.json')}")
    print(f"  measurements:     {report}")
    print(f"  screens:          {', '.join(path.name for path in album.paths)} in {album.folder}")
    print("The issuing authority decides whether a photo is accepted.")
    return 0


def _size(path: Path) -> str:
    return f"{path.stat().st_size / 1000:.0f} kB"


if __name__ == "__main__":
    sys.exit(main())
