"""A card terminal in a process of its own: it speaks the booth's protocol, keeps books of its own, and misbehaves.

Run as `python -m tests.support.terminal_server FOLDER [CERTIFICATE KEY]`; it prints its port. Its books are the file
`books.json` in the folder; each line of `behaviours` there is used up by one payment.
"""

from __future__ import annotations

import json
import ssl
import sys
import threading
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

PAYS_S = 0.02
"""How long its customer needs for the card."""
TOKEN = "a secret of the lab"


class Terminal:
    """The books, and what the next payment is to be like."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.lock = threading.RLock()
        self.begun_s: dict[str, float] = {}

    def books(self) -> dict[str, dict[str, Any]]:
        """Return all payments by their keys."""
        path = self.folder / "books.json"
        return json.loads(path.read_text()) if path.exists() else {}

    def book(self, key: str, **changes: Any) -> dict[str, Any]:
        """Change a payment, and return it."""
        books = self.books()
        books[key] = {**books.get(key, {"state": "cancelled", "paid": 0, "refunded": 0, "like": "approved"}), **changes}
        whole = self.folder / "books.new"
        whole.write_text(json.dumps(books))
        whole.replace(self.folder / "books.json")
        return books[key]

    def next_behaviour(self, *, peek: bool = False) -> str:
        """Return how the next payment goes, and use that up."""
        path = self.folder / "behaviours"
        lines = path.read_text().split() if path.exists() else []
        if lines and not peek:
            path.write_text("\n".join(lines[1:]))
        return lines[0] if lines else "approved"

    def of(self, key: str) -> dict[str, Any]:
        """Return a payment after its customer has done what there was time for."""
        payment = self.books()[key]
        done = time.monotonic() - self.begun_s.get(key, 0.0) > PAYS_S
        if payment["state"] == "pending" and done and payment["like"] not in ("silent", "late"):
            if payment["like"] == "declined":
                return self.book(key, state="declined")
            return self.book(key, state="approved", paid=payment["amount"])
        return payment


class Handler(BaseHTTPRequestHandler):
    """One request."""

    protocol_version = "HTTP/1.1"
    terminal: Terminal

    def do_GET(self) -> None:
        """Say how the terminal, or a payment, stands."""
        with self.terminal.lock:
            if not self.is_booth():
                return
            if self.path == "/":
                self.misbehave(self.terminal.next_behaviour(peek=True)) or self.say(
                    {"ready": self.terminal.next_behaviour(peek=True) != "fault"}
                )
                return
            key = self.path.split("/")[2]
            if key not in self.terminal.books():
                self.say({}, 404)
                return
            payment = self.terminal.of(key)
            if not self.misbehave(payment["like"]):
                self.show(key, payment)

    def do_PUT(self) -> None:
        """Begin a payment, or pay back."""
        body = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        with self.terminal.lock:
            if not self.is_booth():
                return
            key = self.path.split("/")[2]
            known = self.terminal.books().get(key)
            if self.path.endswith("/refund"):
                self.pay_back(key, known, body["amount"])
                return
            if known is None:
                like = self.terminal.next_behaviour()
                if like == "fault":
                    self.say({}, 503)
                    return
                self.terminal.begun_s[key] = time.monotonic()
                known = self.terminal.book(key, state="pending", amount=body["amount"], like=like)
                if like == "lost":
                    self.terminal.book(key, state="approved", paid=body["amount"], like="approved")
                    self.drop()
                    return
            payment = self.terminal.of(key)
            if not self.misbehave(payment["like"]):
                self.show(key, payment)

    def do_DELETE(self) -> None:
        """End a payment, for good."""
        with self.terminal.lock:
            if not self.is_booth():
                return
            key = self.path.split("/")[2]
            payment = self.terminal.of(key) if key in self.terminal.books() else self.terminal.book(key)
            if payment["state"] == "pending":
                late = payment["like"] == "late"
                change = {"state": "approved", "paid": payment["amount"]} if late else {"state": "cancelled"}
                payment = self.terminal.book(key, **change)
            self.show(key, payment)

    def pay_back(self, key: str, payment: dict[str, Any] | None, amount: int) -> None:
        """Pay back once; the first answer is lost where that was wished."""
        if payment is None or amount > payment["paid"]:
            self.say({}, 409)
            return
        first = not payment["refunded"]
        if first:
            payment = self.terminal.book(key, refunded=amount)
        if first and payment["like"] == "refund_lost":
            self.drop()
        else:
            self.show(key, payment)

    def is_booth(self) -> bool:
        """Return whether the request has the token, or refuse it."""
        if self.headers["Authorization"] == f"Bearer {TOKEN}":
            return True
        self.say({}, 401)
        return False

    def misbehave(self, like: str) -> bool:
        """Answer wrongly, where that is wished; return whether it did."""
        match like:
            case "redirect":
                self.send_response(302)
                self.send_header("Location", "http://192.0.2.1/elsewhere")
                self.send_header("Content-Length", "0")
                self.end_headers()
            case "mute":
                time.sleep(1.0)
                self.drop()
            case "drip":
                self.send_response(200)
                self.send_header("Content-Length", "4000")
                self.end_headers()
                self.drip()
            case "huge":
                self.say({"key": "x" * 100_000})
            case "garbage":
                self.say(["no payment"])
            case _:
                return False
        return True

    def drip(self) -> None:
        """Send a byte at a time for longer than anybody waits."""
        try:
            for _ in range(200):
                self.wfile.write(b" ")
                self.wfile.flush()
                time.sleep(0.02)
        except OSError:
            return

    def show(self, key: str, payment: dict[str, Any]) -> None:
        """Answer with a payment, for another key where that is wished; with things that the booth never asked for."""
        shown = "another" if payment["like"] == "other" and self.command != "DELETE" else key
        self.say({"key": shown, "card": "never", **{name: payment[name] for name in ("state", "paid", "refunded")}})

    def say(self, content: Any, status: int = 200) -> None:
        """Answer."""
        answer = json.dumps(content).encode()
        self.send_response(status)
        self.send_header("Content-Length", str(len(answer)))
        self.end_headers()
        self.wfile.write(answer)

    def drop(self) -> None:
        """Break the connection."""
        self.close_connection = True
        self.connection.close()

    def log_message(self, *args: Any) -> None:
        """Be quiet."""


def main() -> None:
    """Serve until killed."""
    Handler.terminal = Terminal(Path(sys.argv[1]))
    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.handle_error = lambda *args: None  # type: ignore[method-assign]
    if len(sys.argv) > 2:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(*sys.argv[2:4])
        server.socket = context.wrap_socket(server.socket, server_side=True)
    print(server.server_address[1], flush=True)
    server.serve_forever()


if __name__ == "__main__":
    main()
