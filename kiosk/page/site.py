"""The page itself: sign in with the PIN, see the booth's state, release, reprint, answer a call, close and open.

Every order carries the token of its own sign-in, and no picture is ever shown, sent or stored here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from kiosk.core.view.attendant import DeskIntent, OrderName
from kiosk.core.view.kept_sheet import KeptSheet
from kiosk.page.bridge import Bridge
from kiosk.page.guard import Guard

HERE = Path(__file__).parent
COOKIE, SECURE_COOKIE = "desk", "__Host-desk"
"""The second over HTTPS: a browser takes such a name from this host alone, and over HTTPS alone (RFC 6265bis, 4.1.3.2,
from memory)."""
MOST_BYTES = 1024
"""The largest form accepted; the longest one of the page has a token and a name."""
ORDERS: Mapping[OrderName, str] = {
    "release": "Release the sheet",
    "answer": "Answer the call",
    "reprint": "Print again",
    "shut": "Out of order",
    "open_again": "Open again",
}
QUESTIONS: Mapping[OrderName, tuple[str, str]] = {
    "reprint": ("Print this sheet again?", "It is counted as a reprint. Destroy the sheet that was spoilt."),
    "shut": ("Put the booth out of order?", "A sitter's session ends, and the sitter's pictures are wiped."),
}
"""The orders that need a confirmation: the question, and the consequence."""
FILES = {"page.css": "text/css", "page.js": "text/javascript"}


@dataclass
class Site:
    """The request handlers, and what they share."""

    bridge: Bridge
    guard: Guard
    booth_name: str
    is_https: bool

    def __post_init__(self) -> None:
        self._templates = Environment(loader=FileSystemLoader(HERE), autoescape=True, undefined=StrictUndefined)

    @property
    def cookie(self) -> str:
        """The name of the cookie that holds a sign-in."""
        return SECURE_COOKIE if self.is_https else COOKIE

    async def home(self, request: Request) -> Response:
        """Show how the booth stands, or ask for the PIN."""
        if self.guard.who(self._cookie(request)) is None:
            return self._sign_in_form("")
        return self._page(request, "page.html")

    async def state(self, request: Request) -> Response:
        """Return the part of the page that changes, for the page's own script."""
        if self.guard.who(self._cookie(request), touch=False) is None:
            raise HTTPException(401)
        return self._page(request, "state.html")

    async def sure(self, request: Request) -> Response:
        """Ask again before an order that cannot be taken back; it changes nothing by itself."""
        who = self.guard.who(self._cookie(request))
        if who is None:
            return RedirectResponse("/", 303)
        order, label = self._offered(request.query_params.get("order", ""), QUESTIONS)
        question, consequence = QUESTIONS[order.name]
        return self._html(
            "sure.html",
            question=question,
            consequence=consequence,
            label=label,
            value=_value(order),
            token=who.form_token,
        )

    async def sign_in(self, request: Request) -> Response:
        """Take the PIN; one lock holds for all who ask from the page, and none of them locks the booth's own desk."""
        pin = (await _form(request)).get("pin", "")
        answer = await self.bridge.ask(pin)
        if answer == "right":
            response = RedirectResponse("/", 303)
            token = self.guard.sign_in(request.client.host if request.client else "")
            response.set_cookie(self.cookie, token, secure=self.is_https, httponly=True, samesite="strict")
            return response
        shown = self.bridge.shown
        wait_s = shown.page_wait_s if shown is not None else 0
        if answer == "wrong" and wait_s == 0:
            return self._sign_in_form("That is not the PIN.", 403)
        wait = f"Wait {wait_s} s and try again." if wait_s else "Try again in a moment."
        return self._sign_in_form(f"No PIN is accepted now. {wait}", 429)

    async def sign_out(self, request: Request) -> Response:
        """Sign this phone or till out."""
        await self._trusted(request)
        self.guard.sign_out(self._cookie(request))
        response = RedirectResponse("/", 303)
        response.delete_cookie(self.cookie, secure=self.is_https, httponly=True, samesite="strict")
        return response

    async def order(self, request: Request) -> Response:
        """Pass an order to the booth."""
        order, _ = self._offered((await self._trusted(request)).get("order", ""), ORDERS)
        if not self.bridge.give(order):
            raise HTTPException(503)
        return RedirectResponse("/", 303)

    async def file(self, request: Request) -> Response:
        """Return the style sheet or the script."""
        name = request.path_params["name"]
        if name not in FILES:
            raise HTTPException(404)
        return Response((HERE / name).read_bytes(), media_type=FILES[name])

    def _offered(self, wanted: str, known: Iterable[OrderName]) -> tuple[DeskIntent, str]:
        """Parse one of the known orders from a form's value, and return it with its label.

        Raises
        ------
        HTTPException
            400 for an unknown order, or for a sheet that is no longer kept.
        """
        text, _, key = wanted.partition(":")
        name = next((name for name in known if name == text), None)
        if name is None:
            raise HTTPException(400)
        if name != "reprint":
            return DeskIntent(name), ORDERS[name]
        sheet = next((sheet for sheet in self._kept_sheets() if sheet.key == key), None)
        if sheet is None:
            raise HTTPException(400, "This sheet cannot be printed again now.")
        return DeskIntent(name, key), f"{ORDERS[name]}: {sheet.words}"

    def _kept_sheets(self) -> tuple[KeptSheet, ...]:
        return self.bridge.shown.kept if self.bridge.shown is not None else ()

    async def _trusted(self, request: Request) -> dict[str, str]:
        """Return the fields of a form that was sent from a signed-in page.

        Raises
        ------
        HTTPException
            401 if nobody is signed in, 403 for a form from elsewhere.
        """
        who = self.guard.who(self._cookie(request))
        if who is None:
            raise HTTPException(401)
        form = await _form(request)
        if not who.takes(form.get("token", "")):
            raise HTTPException(403)
        return form

    def _cookie(self, request: Request) -> str:
        return request.cookies.get(self.cookie, "")

    def _page(self, request: Request, template: str) -> Response:
        who, shown = self.guard.who(self._cookie(request), touch=False), self.bridge.shown
        names = [name for name in ORDERS if shown is not None and name in shown.orders and name != "reprint"]
        orders = [(DeskIntent(name), ORDERS[name]) for name in names]
        if shown is not None and "reprint" in shown.orders:
            orders += [self._offered(f"reprint:{sheet.key}", ("reprint",)) for sheet in self._kept_sheets()]
        return self._html(
            template,
            lines=shown.lines if shown else (),
            orders=[(_value(order), words) for order, words in orders if order.name not in QUESTIONS],
            asked=[(_value(order), words) for order, words in orders if order.name in QUESTIONS],
            token=who and who.form_token,
        )

    def _sign_in_form(self, notice: str, status: int = 200) -> Response:
        return self._html("sign_in.html", status, notice=notice)

    def _html(self, template: str, status: int = 200, **values: object) -> Response:
        text = self._templates.get_template(template).render(booth=self.booth_name or "Booth", **values)
        return HTMLResponse(text, status)


def _value(order: DeskIntent) -> str:
    """Return an order as a form's value."""
    return f"{order.name}:{order.argument}" if order.argument else order.name


async def _form(request: Request) -> dict[str, str]:
    """Return the fields of a form.

    Raises
    ------
    HTTPException
        413 if the body is larger than any of the page's own forms, 400 if it is not a form or breaks off.
    """
    body = bytearray()
    try:
        async for part in request.stream():
            body += part
            if len(body) > MOST_BYTES:
                raise HTTPException(413)
    except ClientDisconnect as error:
        raise HTTPException(400) from error
    try:
        fields = parse_qs(body.decode("ascii"), max_num_fields=8)
    except ValueError as error:
        raise HTTPException(400) from error
    return {name: values[0] for name, values in fields.items()}
