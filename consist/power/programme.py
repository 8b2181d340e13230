"""An integer programme, minimised for one thing after another with what was gained held."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from functools import partial
from threading import Thread
from typing import Any

import numpy as np

__all__ = ["Programme", "Terms", "added"]

Terms = Mapping[int, float]
"""A sum of columns, each with its factor."""
MOST_NODES = 200_000
"""Branches that one solve may look at before it gives up the proof. Nodes, not seconds, so that every machine gives
the same plan."""
WIDEST = 1e5
"""How far apart the weights of one solve may lie: well within what the solver tells apart."""
OPTIMAL, STOPPED = 0, 1  # what scipy.optimize.milp answers


def added(*sums: tuple[float, Terms]) -> Terms:
    """Sums of columns, each so many times, as one."""
    whole: defaultdict[int, float] = defaultdict(float)
    for times, terms in sums:
        for column, factor in terms.items():
            whole[column] += times * factor
    return whole


class Programme:
    """Columns are whole numbers from `low` to `top`; rows hold sums of them within bounds. HiGHS solves it."""

    def __init__(self) -> None:
        self._columns: list[tuple[float, float]] = []
        self._rows: list[tuple[float, float]] = []
        self._cells: list[tuple[int, int, float]] = []
        self._values: list[int] | None = None
        self.proven = True

    def column(self, top: float, low: float = 0.0) -> int:
        """A new column; gives its number."""
        self._columns.append((low, top))
        return len(self._columns) - 1

    def row(self, terms: Terms, low: float = -np.inf, high: float = np.inf) -> None:
        """Hold a sum of columns within bounds."""
        self._cells.extend((len(self._rows), column, factor) for column, factor in terms.items())
        self._rows.append((low, high))

    def value(self, column: int) -> int:
        """What a column is in the last solution."""
        return 0 if self._values is None else self._values[column]

    def minimise(self, terms: Terms) -> bool:
        """Make a sum as small as it can be and hold it there; False where no values fit the rows at all."""
        self._values = self._solve(terms) or self._values
        if self._values is None:
            return False
        self.row(terms, high=sum(factor * self.value(column) for column, factor in terms.items()))
        return True

    def minimise_each(self, sums: Iterable[tuple[Terms, int]]) -> None:
        """Make the first sum as small as it can be, then the second with that held, and so on.

        Each comes with how many values it can take, its factors being whole. As many as fit are solved at once, as
        one sum that is least where the first is, of those where the second is, and so on.
        """
        together: Terms = {}
        width = 1.0
        for terms, values in sums:
            if width * values > WIDEST:
                self.minimise(together)
                together, width = {}, 1.0
            together = added((values, together), (1.0, terms))
            width *= values
        if together:
            self.minimise(together)

    def _solve(self, terms: Terms) -> list[int] | None:
        # loaded with the first use, since only planning power needs it
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        cost = np.array([terms.get(column, 0.0) for column in range(len(self._columns))])
        where, which, factors = zip(*self._cells, strict=True)
        matrix = csr_array((factors, (where, which)), shape=(len(self._rows), len(cost)))
        solve = partial(
            milp,
            cost,
            integrality=[1],
            bounds=Bounds(*np.array(self._columns).T),
            constraints=LinearConstraint(matrix, *np.array(self._rows).T),
            options={"mip_rel_gap": 0.0, "node_limit": MOST_NODES},
        )
        found = _beside(solve)
        if found.status == STOPPED:
            self.proven = False
        if found.x is None or found.status not in (OPTIMAL, STOPPED):
            return None
        return [round(float(value)) for value in found.x]


def _beside(solve: Callable[[], Any]) -> Any:
    """What another thread gives, for which this one waits: the solver lets no Ctrl-C through where it is at work."""
    ended: list[tuple[Any, Exception | None]] = []

    def to_its_end() -> None:
        try:
            ended.append((solve(), None))
        except Exception as error:
            ended.append((None, error))

    at_work = Thread(target=to_its_end, daemon=True)
    at_work.start()
    at_work.join()
    answer, error = ended[0]
    if error is not None:
        raise error
    return answer
