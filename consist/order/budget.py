"""How much work a search may do, counted in trials so that the same seed gives the same answer on any machine."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from time import monotonic

__all__ = ["Budget", "ended_by_ctrl_c", "trials_in"]

SECONDS_A_CAR = 80e-6
SECONDS_A_HEAD = 15e-9
"""What a trial takes for each car, and besides for each head it looks at; measured on a middling machine."""
GRACE = 10.0
"""A slow machine gets this many times the seconds before it is stopped where it is."""


def trials_in(seconds: float, cars: int, heads: int) -> int:
    """About how many orders of so many cars can be tried over so many heads in some seconds."""
    return max(int(seconds / (max(cars, 1) * (SECONDS_A_CAR + SECONDS_A_HEAD * heads))), 1)


class Budget:
    """So many trials, and a time at which to stop whatever is left.

    `stopped` may be set at any time to end the search with what it has.
    """

    def __init__(self, trials: float, seconds: float | None = None, clock: Callable[[], float] = monotonic) -> None:
        self.left = float(trials)
        self.stopped = False
        self._clock = clock
        self._until = None if seconds is None else clock() + GRACE * seconds

    def take(self, trials: float) -> None:
        """Take some trials off."""
        self.left -= trials

    def spent(self) -> bool:
        """Whether no trial is left, or time is up."""
        if self._until is not None and self._clock() > self._until:
            self.stopped = True
        return self.stopped or self.left <= 0.0


@contextmanager
def ended_by_ctrl_c(*budgets: Budget) -> Iterator[None]:
    """While this lasts Ctrl-C stops the budgets, so that a search ends with the best it has found.

    A second Ctrl-C interrupts as ever. Outside the main thread, where no signal comes, nothing changes.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.getsignal(signal.SIGINT)

    def stop(_number: int, _frame: object) -> None:
        for budget in budgets:
            budget.stopped = True
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
