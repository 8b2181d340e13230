"""A progress bar for work that takes its time, on a terminal only."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from threading import Timer

from consist.report.words import clean

__all__ = ["SHOWN_AFTER_SECONDS", "shown_progress", "shown_waiting"]

SHOWN_AFTER_SECONDS = 1.0
Told = Callable[[str, int, int], None]


@contextmanager
def shown_progress(doing: str = "Checking", *, bar: bool = True) -> Iterator[Told | None]:
    """A callback for `consist.check` and its like that shows how far it is on stderr; None where that is no terminal.

    `doing` is the word before the train's name. The bar comes only once the work has lasted a second, and is gone
    when it is done.
    """
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    far = (BarColumn(), MofNCompleteColumn()) if bar else ()
    words = TextColumn(clean(doing) + (" {task.description}" if bar else ""), markup=False)
    progress = Progress(words, *far, TimeElapsedColumn(), console=Console(stderr=True), transient=True)
    task = progress.add_task("", total=None)
    waiting = Timer(SHOWN_AFTER_SECONDS, progress.start)
    waiting.daemon = True
    waiting.start()
    try:
        yield lambda train, number, count: progress.update(
            task, description=clean(train), completed=number, total=count
        )
    finally:
        waiting.cancel()
        waiting.join()
        progress.stop()


shown_waiting = partial(shown_progress, bar=False)
"""The same for work that cannot tell how far it is: what is being done, and for how long."""
