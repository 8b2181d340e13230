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
    with _shown(doing, bar=True) as progress:
        if progress is None:
            yield None
            return
        task = progress.add_task("", total=None)
        yield lambda train, number, count: progress.update(
            task, description=clean(train), completed=number, total=count
        )


@contextmanager
def shown_waiting(doing: str) -> Iterator[None]:
    """The same for work that cannot tell how far it is: what is being done, and for how long."""
    with _shown(doing) as progress:
        if progress is not None:
            progress.add_task("", total=None)
        yield


@contextmanager
def _shown(doing: str, bar: bool = False) -> Iterator[Progress | None]:
    """Progress on a terminal, shown only once the work has lasted a second."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    far = (BarColumn(), MofNCompleteColumn()) if bar else ()
    words = TextColumn(clean(doing) + (" {task.description}" if bar else ""), markup=False)
    progress = Progress(words, *far, TimeElapsedColumn(), console=Console(stderr=True), transient=True)
    waiting = Timer(SHOWN_AFTER_SECONDS, progress.start)
    waiting.daemon = True
    waiting.start()
    try:
        yield progress
    finally:
        waiting.cancel()
        waiting.join()
        progress.stop()
