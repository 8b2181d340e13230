"""A progress bar for work that takes its time, on a terminal only."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Timer
from typing import TYPE_CHECKING

from consist.report.words import clean

if TYPE_CHECKING:
    from rich.progress import Progress

__all__ = ["SHOWN_AFTER_SECONDS", "shown_progress", "shown_waiting"]

SHOWN_AFTER_SECONDS = 1.0


@contextmanager
def shown_progress(doing: str = "Checking") -> Iterator[Callable[[str, int, int], None] | None]:
    """A callback for `consist.check` and its like that shows how far it is on stderr; None where that is no terminal.

    `doing` is the word before the train's name. The bar comes only once the work has lasted a second, and is gone
    when it is done.
    """
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn(doing + " {task.description}", markup=False),
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
    )
    progress = Progress(*columns, console=Console(stderr=True), transient=True)
    task = progress.add_task("", total=None)

    def report(train: str, number: int, count: int) -> None:
        progress.update(task, description=clean(train), completed=number, total=count)

    with _once_it_lasts(progress):
        yield report


@contextmanager
def shown_waiting(doing: str) -> Iterator[None]:
    """The same for work that cannot tell how far it is: what is being done, and for how long."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield
        return
    from rich.console import Console
    from rich.progress import Progress, TextColumn, TimeElapsedColumn

    text = TextColumn("{task.description}", markup=False)
    progress = Progress(text, TimeElapsedColumn(), console=Console(stderr=True), transient=True)
    progress.add_task(clean(doing), total=None)
    with _once_it_lasts(progress):
        yield


@contextmanager
def _once_it_lasts(progress: Progress) -> Iterator[None]:
    """Shown only once the work has lasted a second."""
    waiting = Timer(SHOWN_AFTER_SECONDS, progress.start)
    waiting.daemon = True
    waiting.start()
    try:
        yield
    finally:
        waiting.cancel()
        waiting.join()
        progress.stop()
