"""The web application: its routes, and what stands before every answer.

Every response forbids the browser whatever the page does not need (CSP level 3).
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.base import BaseHTTPMiddleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from kiosk.core.view.metrics import Installed
from kiosk.page.bridge import Bridge
from kiosk.page.guard import Guard
from kiosk.page.site import Site

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; form-action 'self'; "
        "frame-ancestors 'none'; base-uri 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
}
METRICS = "/metrics"
"""Where Prometheus looks by default (`metrics_path`)."""
HTTPS_HEADERS: Mapping[str, str] = {"Strict-Transport-Security": "max-age=31536000"}
"""A year (RFC 6797, 6.1.1): a name that was served with a certificate once is not asked for without."""


def site(
    bridge: Bridge, guard: Guard, booth_name: str, hosts: list[str], installed: Installed | None, *, is_https: bool
) -> Starlette:
    """Return the web application, which responds only to requests for its own host names.

    Where `installed` is given, a monitoring server may read the metrics.
    """
    of = Site(bridge, guard, booth_name, is_https)
    headers = {**HEADERS, **(HTTPS_HEADERS if is_https else {})}
    return Starlette(
        routes=[
            Route("/", of.home),
            Route("/state", of.state),
            Route("/sure", of.sure),
            Route("/sign-in", of.sign_in, methods=["POST"]),
            Route("/sign-out", of.sign_out, methods=["POST"]),
            Route("/order", of.order, methods=["POST"]),
            *_metrics(bridge, guard, installed),
            Route("/{name}", of.file),
        ],
        middleware=[
            Middleware(BaseHTTPMiddleware, dispatch=_guarded(guard, headers)),
            Middleware(TrustedHostMiddleware, allowed_hosts=hosts, www_redirect=False),
        ],
        exception_handlers={HTTPException: _refused},
    )


def _metrics(bridge: Bridge, guard: Guard, installed: Installed | None) -> list[Route]:
    """Return the route of the metrics; its library is loaded only where they are read."""
    if installed is None:
        return []
    from kiosk.page.openmetrics import MetricsPage

    return [Route(METRICS, MetricsPage(bridge, guard, installed).metrics)]


def _guarded(
    guard: Guard, headers: Mapping[str, str]
) -> Callable[[Request, Callable[[Request], Awaitable[Response]]], Awaitable[Response]]:
    """Return what stands before every answer: the rate limit, and the check where a form comes from."""

    async def before(request: Request, answer: Callable[[Request], Awaitable[Response]]) -> Response:
        address = request.client.host if request.client else ""
        origin = request.headers.get("origin")
        if not guard.may_ask(address, metrics=request.url.path == METRICS):
            response: Response = PlainTextResponse("Too many requests. Wait a moment.", 429, {"Retry-After": "5"})
        elif request.method == "POST" and origin not in (None, f"{request.url.scheme}://{request.url.netloc}"):
            response = PlainTextResponse("This form comes from elsewhere.", 403)
        else:
            response = await answer(request)
        response.headers.update(headers)
        return response

    return before


async def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    return PlainTextResponse(error.detail, error.status_code)
