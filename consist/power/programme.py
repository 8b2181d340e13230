"""An integer programme, minimised for one thing after another with what was gained held."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

__all__ = ["Programme", "Terms"]

Terms = Mapping[int, float]
"""A sum of columns, each with its factor."""
MOST_NODES = 200_000
"""Branches that one solve may look at before it gives up the proof. Nodes, not seconds, so that every machine gives
the same plan."""
WIDEST = 1e5
"""How far apart the weights of one solve may lie: well within what the solver tells apart."""
OPTIMAL, STOPPED = 0, 1  # what scipy.optimize.milp answers


class Programme:
    """Columns are whole numbers from `low` to `top`; rows hold sums of them within bounds. HiGHS solves it."""

    def __init__(self) -> None:
        self._lows: list[float] = []
        self._tops: list[float] = []
        self._rows: list[tuple[Terms, float, float]] = []
        self._values: list[int] | None = None
        self.proven = True

    def column(self, top: float, low: float = 0.0) -> int:
        """A new column; gives its number."""
        self._lows.append(low)
        self._tops.append(top)
        return len(self._tops) - 1

    def row(self, terms: Terms, low: float = -np.inf, high: float = np.inf) -> None:
        """Hold a sum of columns within bounds."""
        self._rows.append((terms, low, high))

    def value(self, column: int) -> int:
        """What a column is in the last solution."""
        return 0 if self._values is None else self._values[column]

    def minimise(self, terms: Terms) -> bool:
        """Make a sum as small as it can be and hold it there; False where no values fit the rows at all."""
        values = self._solve(terms)
        if values is not None:
            self._values = values
        if self._values is None:
            return False
        self.row(terms, high=self._sum(terms))
        return True

    def minimise_each(self, sums: Sequence[tuple[Terms, int]]) -> None:
        """Make the first sum as small as it can be, then the second with that held, and so on.

        Each comes with how many values it can take, its factors being whole. As many as fit are solved at once.
        """
        batch: list[tuple[Terms, int]] = []
        width = 1.0
        for terms, values in sums:
            if batch and width * values > WIDEST:
                self.minimise(_one_after_another(batch))
                batch, width = [], 1.0
            batch.append((terms, values))
            width *= values
        if batch:
            self.minimise(_one_after_another(batch))

    def _sum(self, terms: Terms) -> float:
        return sum(factor * self.value(column) for column, factor in terms.items())

    def _solve(self, terms: Terms) -> list[int] | None:
        # loaded with the first use, since only planning power needs it
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        cost = np.zeros(len(self._tops))
        for column, factor in terms.items():
            cost[column] = factor
        cells = [
            (number, column, factor)
            for number, (row, _, _) in enumerate(self._rows)
            for column, factor in row.items()
        ]
        where, which, factors = zip(*cells, strict=True)
        matrix = csr_array((factors, (where, which)), shape=(len(self._rows), len(self._tops)))
        found = milp(
            cost,
            integrality=np.ones(len(cost), dtype=np.int64),
            bounds=Bounds(np.array(self._lows), np.array(self._tops)),
            constraints=LinearConstraint(
                matrix, np.array([low for _, low, _ in self._rows]), np.array([high for _, _, high in self._rows])
            ),
            options={"mip_rel_gap": 0.0, "node_limit": MOST_NODES},
        )
        if found.status == STOPPED:
            self.proven = False
        if found.x is None or found.status not in (OPTIMAL, STOPPED):
            return None
        return [round(float(value)) for value in found.x]


def _one_after_another(sums: Sequence[tuple[Terms, int]]) -> Terms:
    """One sum that is least where the first is, of those where the second is, and so on."""
    together: dict[int, float] = {}
    weight = 1.0
    for terms, values in reversed(sums):
        for column, factor in terms.items():
            together[column] = together.get(column, 0.0) + weight * factor
        weight *= values
    return together
