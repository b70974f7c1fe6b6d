"""What a booth stands in, as a visit needs it: made up on a stepped clock, or real on the machine's own."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Protocol

from kiosk.core.view.intent import Intent
from kiosk.core.view.sitter import SessionView
from tests.support.marked_pictures import Mark
from tests.support.pace import Pace


class Body(Protocol):
    """A camera's body before which sitters come and go, whose pictures are marked."""

    late_s: float

    def sit(self, sitter: int) -> None:
        """Let somebody sit down before it."""

    def press(self, *, is_held: bool = False) -> None:
        """Take a picture by the body's own button; one that is held back is told of in the next capture."""

    def pull(self) -> None:
        """Pull the cable."""

    def plug(self) -> None:
        """Connect it again."""

    def fail(self, fault: str) -> None:
        """Let something go wrong at its next turn."""

    def was_ordered(self, exposure: int) -> bool:
        """Return whether a still was ordered, or taken in the moment of one that was."""

    def left(self) -> int:
        """Return how many files lie on it."""


class Queue(Protocol):
    """A queue of a print server with the printer behind it."""

    @property
    def name(self) -> str:
        """Its name."""

    @property
    def is_on(self) -> bool:
        """Whether the printer is switched on."""

    @property
    def gives_up(self) -> bool:
        """Whether the printer aborts the next sheet."""

    @property
    def unrest(self) -> str:
        """What is on its way, or that the printer is off; nothing where it is at rest."""

    def switch_off(self) -> None:
        """Switch the printer off without notice."""

    def switch_on(self) -> None:
        """Switch the printer on again."""

    def hinder(self, reason: str) -> None:
        """Keep the printer from beginning a sheet for a printer-state-reason; nothing lets it."""

    def jam(self, reason: str) -> None:
        """Keep a begun sheet from coming out for a printer-state-reason; nothing lets it."""

    def give_up_next(self) -> None:
        """Have the printer abort the next sheet before it begins it."""

    def pause(self) -> None:
        """Stop the queue."""

    def resume(self) -> None:
        """Let the queue go on."""

    def accept(self, is_accepting: bool) -> None:
        """Take sheets, or refuse them."""

    def cancel_all(self) -> None:
        """Cancel every job as anybody may."""

    def tray(self) -> list[Mark | None]:
        """Return the marks of the pages in the tray, None for one that was cut off."""

    def clear_tray(self) -> None:
        """Take out what lies in the tray."""


class Server(Protocol):
    """A print server."""

    def kill(self) -> None:
        """End it as the kernel ends a process."""

    def start(self) -> None:
        """Start it again."""


class Booth(Protocol):
    """A booth that is open."""

    @property
    def view(self) -> SessionView:
        """What is shown."""

    @property
    def is_at_rest(self) -> bool:
        """Whether its camera is ready and no sheet is on its way."""

    def touch(self, intent: Intent) -> None:
        """Touch the screen."""

    def turn(self, seconds: float) -> SessionView:
        """Let one turn of the loop and so many seconds pass, and return what is shown."""

    def submitted(self) -> list[str]:
        """Return the keys of the sheets that were sent since the last call."""

    def kill_camera(self) -> None:
        """Kill the process that has the camera."""

    def left_behind(self) -> list[str]:
        """Let it do all that it was given; return what is left of a sitter, of whom nothing may be."""


class Seen(Protocol):
    """Whom the vision has seen."""

    @property
    def live(self) -> set[Mark]:
        """The marks of the live pictures since they were emptied."""

    @property
    def measured(self) -> set[Mark]:
        """The marks of the stills since they were emptied."""


class Surroundings(Protocol):
    """What a booth stands in."""

    @property
    def pace(self) -> Pace:
        """How long things last."""

    @property
    def sends_again(self) -> bool:
        """Whether a sheet called unknown may come out twice whose queue or server was stopped and went on."""

    @property
    def folder(self) -> Path:
        """Where the booth keeps what outlives it."""

    @property
    def body(self) -> Body:
        """The camera's body."""

    @property
    def queues(self) -> Collection[Queue]:
        """The queues in the order of the booth."""

    @property
    def server(self) -> Server | None:
        """Its print server, where it can be killed."""

    @property
    def sights(self) -> Seen:
        """Whom the vision has seen."""

    @property
    def booth(self) -> Booth:
        """The booth that is open."""

    def now_s(self) -> float:
        """Return the time."""

    def open_again(self) -> None:
        """Kill the booth, and open it anew on what it has left."""

    def told(self) -> str:
        """Return what the booth's log has told last, where it keeps one."""
