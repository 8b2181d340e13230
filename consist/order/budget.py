"""How much work a search may do, counted in looks so that the same seed gives the same answer on any machine."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import copy
from math import inf
from time import monotonic

__all__ = ["Budget", "ended_by_ctrl_c", "looks_in"]

LOOKS_A_SECOND = 16e6
"""Looks at one car at one position of the head in a second, on a machine half as fast as a middling one."""


def looks_in(seconds: float) -> float:
    """How many looks there is time for in some seconds."""
    return max(seconds * LOOKS_A_SECOND, 1.0)


class Budget:
    """So many looks, and seconds after which whatever is left is given up, which only a slow machine comes to.

    `stopped` may be set at any time to end the search with what it has; `late` is whether its seconds ended it.
    """

    def __init__(self, looks: float, seconds: float = inf, clock: Callable[[], float] = monotonic) -> None:
        self.left = float(looks)
        self.stopped = self.late = False
        self._clock, self._until = clock, clock() + seconds

    def take(self, looks: float) -> None:
        """Take some looks off."""
        self.left -= looks

    def split(self, share: float) -> tuple[Budget, Budget]:
        """A budget of that share of the looks and seconds left, and one of the other looks and all the seconds.

        What the first leaves of its seconds so goes to the second.
        """
        first, second, now = copy(self), copy(self), self._clock()
        first.left, second.left = share * self.left, (1.0 - share) * self.left
        first._until = now + share * (self._until - now)
        return first, second

    def spent(self) -> bool:
        """Whether no look is left, or time is up."""
        self.late = self.late or self._clock() > self._until
        return self.stopped or self.late or self.left <= 0.0


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
