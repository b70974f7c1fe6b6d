"""A progress bar on the terminal, for work on many photos."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from typing import TypeVar

Item = TypeVar("Item")


def with_progress(items: Iterable[Item], count: int, doing: str) -> Iterator[Item]:
    """Yield items, with a bar on standard error where that is a terminal and there are several.

    Parameters
    ----------
    items
        The results, as they are finished.
    count
        How many there will be.
    doing
        What is done, before the bar.
    """
    if count < 2 or not sys.stderr.isatty():
        yield from items
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn(doing), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    on_screen = sys.stdout.isatty()
    bar = Progress(*columns, console=Console(stderr=True), transient=True, redirect_stdout=on_screen)
    with bar:
        yield from bar.track(items, total=count)
