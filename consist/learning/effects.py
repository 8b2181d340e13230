"""What each thing that is not known does to a figure of a train, fitted to the draws made of all of them.

Nothing is worked out again: the figure's logarithm in each draw is fitted by least squares by the deviates drawn.
What all vehicles share counts with its square, and the friction and the angle of flanges together up to the third
degree, since past a certain flange cars tip before it climbs. What single cars weigh and how they roll counts
together, each car by its weight, as it does in the pull; and a single vehicle's figure counts for itself where it
does clearly more than that and than the noise of the draws.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from consist.learning.spread import COUNT, Unknown, Unknowns, What

__all__ = ["Effects"]

Floats = NDArray[np.float64]
Key = tuple[What, str | None]

CLEAR, MOST_SINGLE = 4.0, 12
"""A single figure counts for itself from so many standard errors on, the clearest first, and so many at the most."""
ADD_UP: tuple[What, ...] = ("rolling", "weight")
"""What adds up in the pull."""
TOGETHER: tuple[What, What] = "flange friction", "flange angle"
NOTHING = 1e-300


class Effects:
    """The effects on one figure, whose logarithms in the draws are of shape (draws,)."""

    def __init__(self, known: Unknowns, logs: Floats) -> None:
        self._known, self._logs = known, logs
        # each term of the fit with what it is of: it vanishes once one of those is known
        self._terms: list[tuple[tuple[What, ...], Floats]] = [((), np.ones(COUNT))]
        for one in known.shared:
            self._terms += [((one.what,), one.drawn), ((one.what,), one.drawn**2 - 1.0)]
        drawn = {one.what: one.drawn for one in known.shared}
        if drawn.keys() >= {*TOGETHER}:
            friction, angle = (drawn[what] for what in TOGETHER)
            both = friction * angle
            self._terms += [(TOGETHER, each) for each in (both, friction * both, angle * both)]
            self._terms += [((what,), drawn[what] ** 3) for what in TOGETHER]
        self._summed = {what: len(self._terms) + at for at, what in enumerate(filter(known.singles, ADD_UP))}
        self._terms += [((), _sum(known.singles(what))) for what in self._summed]
        self._single: dict[Key, int] = {}
        self._fit()
        while len(self._single) < MOST_SINGLE and (clearest := self._clearest()) is not None:
            self._single[clearest.what, clearest.name] = len(self._terms)
            self._terms.append(((), clearest.drawn))
            self._fit()

    def _fit(self) -> None:
        matrix = np.array([column for _, column in self._terms]).T
        self._found = np.linalg.lstsq(matrix, self._logs, rcond=None)[0]
        self._left: Floats = self._logs - matrix @ self._found

    def _clearest(self) -> Unknown | None:
        """The single figure that tells most of what is not fitted yet, where it tells it clearly."""
        singles = [one for one in self._known.single if (one.what, one.name) not in self._single]
        if not singles:
            return None
        drawn = np.array([one.drawn for one in singles])
        clear = np.abs(drawn @ self._left) / (np.linalg.norm(drawn, axis=1) * np.std(self._left) + NOTHING)
        at = int(np.argmax(clear))
        return singles[at] if clear[at] > CLEAR else None

    @property
    def of_each(self) -> Mapping[Key, Floats]:
        """What each does to the logarithm in each draw, of shape (draws,); rolling without a name is that of all."""
        found: dict[Key, Floats] = {(one.what, None): self._shared(one.what) for one in self._known.shared}
        found |= {(one.what, one.name): self._by_itself(one) for one in self._known.single}
        if rolling := self._known.singles("rolling"):
            each = [self._own(one) * one.drawn for one in rolling]
            found["rolling", None] = _total([self._shared("rolling"), *each])
        return found

    def _shared(self, what: What) -> Floats:
        mine = [number for number, (of, _) in enumerate(self._terms) if what in of]
        return _total(self._found[number] * self._terms[number][1] for number in mine)

    def _by_itself(self, one: Unknown) -> Floats:
        """A single figure's effect, with what comes to it by way of all that share its rolling."""
        drawn = one.drawn
        if one.what == "rolling" and self._known.rolling is not None:
            drawn = drawn + self._known.rolling_shared * self._known.rolling.drawn
        return self._own(one) * drawn

    def _own(self, one: Unknown) -> float:
        """What a deviate of one does to the logarithm."""
        own = 0.0
        if one.what in self._summed:
            own += float(self._found[self._summed[one.what]]) * one.grams
        if (one.what, one.name) in self._single:
            own += float(self._found[self._single[one.what, one.name]])
        return own


def _sum(singles: Iterable[Unknown]) -> Floats:
    """The deviates of several together, each by its vehicle's weight."""
    return _total(one.grams * one.drawn for one in singles)


def _total(effects: Iterable[Floats]) -> Floats:
    return sum(effects, np.zeros(COUNT))
