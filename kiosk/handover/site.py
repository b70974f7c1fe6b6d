"""What a phone is given: one page for the code on the screen, and the file behind its button; nothing else is there."""

from __future__ import annotations

import base64
import contextlib
import hashlib
from collections.abc import Awaitable, Callable
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from kiosk.handover.keeper import Keeper
from kiosk.handover.sending import Transfer
from kiosk.i18n import Words
from kiosk.page.guard import BURST, PER_S, Allowance, counted
from kiosk.system.clock import Clock

HERE = Path(__file__).parent
STYLE = (HERE / "landing.css").read_text(encoding="ascii")
_STYLE_HASH = base64.b64encode(hashlib.sha256(STYLE.encode()).digest()).decode()
HEADERS: dict[str, str] = {
    "Content-Security-Policy": (
        f"default-src 'none'; style-src 'sha256-{_STYLE_HASH}'; frame-ancestors 'none'; base-uri 'none';"
        " form-action 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
"""The browser is forbidden whatever the page does not need (CSP level 3)."""
PART_BYTES = 1 << 16
"""How much of the file is on its way at a time."""

Scope = dict[str, Any]
Receive = Callable[[], Awaitable[dict[str, Any]]]
Send = Callable[[dict[str, Any]], Awaitable[None]]


class Site:
    """An ASGI application over what the keeper has.

    Parameters
    ----------
    keeper
        Of the file.
    clock
        Of the rate limit.
    """

    def __init__(self, keeper: Keeper, clock: Clock) -> None:
        self._keeper = keeper
        self._requests = Allowance(clock.now_s, BURST, PER_S)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request: with the page or the file for the right code, and for anything else as if nothing was."""
        assert scope["type"] == "http"
        if not self._requests.takes(counted(scope["client"][0])):
            await _answer(scope, send, 429, b"Too many requests. Wait a moment.", "text/plain", {"Retry-After": "5"})
            return
        code, _, name = scope["path"].removeprefix("/").partition("/")
        keeper = self._keeper
        if scope["method"] not in ("GET", "HEAD") or not keeper.opens(code):
            await _answer(scope, send, 404, b"There is nothing here.", "text/plain", {})
        elif not name:
            page = _landing(keeper.language, f"{keeper.code}/{keeper.file_name}").encode()
            await _answer(scope, send, 200, page, "text/html", {})
        elif name == keeper.file_name and (scope["method"] == "HEAD" or keeper.may_fetch()):
            await self._file(scope, send)
        else:
            await _answer(scope, send, 404, b"There is nothing here.", "text/plain", {})

    async def _file(self, scope: Scope, send: Send) -> None:
        """Send the file; when the phone has all of it, the booth has none of it."""
        keeper, code = self._keeper, self._keeper.code
        headers = {"Content-Disposition": f'attachment; filename="{keeper.file_name}"', "Accept-Ranges": "none"}
        size = keeper.file.size
        await send(_start(200, "image/jpeg", size, headers))
        if scope["method"] == "HEAD":
            await send({"type": "http.response.body"})
            return
        with contextlib.closing(Transfer(scope["state"]["transport"])) as transfer:
            keeper.transfers.add(transfer)
            try:
                if await self._sent(code, size, transfer, send) and await transfer.has_arrived() and keeper.opens(code):
                    keeper.taken()
            finally:
                keeper.transfers.discard(transfer)

    async def _sent(self, code: str, size: int, transfer: Transfer, send: Send) -> bool:
        """Send the content, and return whether all of it is on its way."""
        keeper = self._keeper
        for start in range(0, size, PART_BYTES):
            if not keeper.opens(code) or transfer.transport.is_closing():
                transfer.abort()
                return False
            part = keeper.file.read(start, PART_BYTES)
            await send({"type": "http.response.body", "body": part, "more_body": start + PART_BYTES < size})
        return True


async def _answer(scope: Scope, send: Send, status: int, body: bytes, kind: str, headers: dict[str, str]) -> None:
    await send(_start(status, f"{kind}; charset=utf-8", len(body), headers))
    await send({"type": "http.response.body", "body": b"" if scope["method"] == "HEAD" else body})


def _start(status: int, kind: str, length: int, headers: dict[str, str]) -> dict[str, Any]:
    said = {**HEADERS, "Content-Type": kind, "Content-Length": str(length), **headers}
    lines = [(name.lower().encode("latin-1"), value.encode("latin-1")) for name, value in said.items()]
    return {"type": "http.response.start", "status": status, "headers": lines}


@cache
def _landing(language: str, href: str) -> str:
    """Return the page in the sitter's language."""
    words = Words.load(language)
    environment = Environment(loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined)
    return environment.get_template("landing.html").render(
        lang=language,
        dir="rtl" if words.is_right_to_left else "ltr",
        title=words.bare("file.page_title"),
        text=words.bare("file.page_text"),
        label=words.bare("file.page_button"),
        href=href,
        style=STYLE,
    )
