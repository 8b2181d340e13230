"""A railroad known by its hardest places alone: each is a run of its own, on its grade and round its curve."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from consist.track.layout import Line, Piece
from consist.track.routes import Route

__all__ = ["HardestPlace", "hardest_route"]


@dataclass(frozen=True)
class HardestPlace:
    """A curve on a grade (rise over run), its `turn` in radians; run up, and down too where it is run `both` ways."""

    name: str
    radius_mm: float | None
    grade: float = 0.0
    turn: float = 0.0
    easement_mm: float = 0.0
    both: bool = False

    @property
    def curve(self) -> Piece:
        """Its curve, or nothing of a straight where it has none."""
        if self.radius_mm is None:
            return Piece(self.grade)
        return Piece(self.grade, radius_mm=self.radius_mm, turn=1, angle=self.turn, easement_mm=self.easement_mm)


def hardest_route(places: Iterable[HardestPlace], train_mm: float) -> Route:
    """The route of a train of that length over hardest places, one after another.

    At each there is straight track of the train's length on its grade, its curve, and the same again. Between two
    of them the train stands on level track.

    >>> loop = HardestPlace("The loop", 600.0, grade=0.02, turn=3.0, both=True)
    >>> route = hardest_route([loop], 1000.0)
    >>> route.stops, round(route.length_mm)
    (('foot of The loop', 'top of The loop, down'), 8600)
    """
    lines = tuple(_joined(list(_runs(places)), train_mm))
    length = sum(line.length_mm for line in lines)
    return Route((lines[0].start[0], lines[-1].finish[0]), lines, (0.0, length))


def _runs(places: Iterable[HardestPlace]) -> Iterator[tuple[str, Piece]]:
    for place in places:
        yield place.name, place.curve
        if place.both:
            yield f"{place.name}, down", place.curve.reversed()


def _joined(runs: list[tuple[str, Piece]], train_mm: float) -> Iterator[Line]:
    before: tuple[str, str] | None = None
    for name, curve in runs:
        on_grade = Piece(curve.grade, straight_mm=train_mm)
        foot, start, end, top = ((each, "") for each in (f"foot of {name}", name, f"end of {name}", f"top of {name}"))
        if before is not None:
            yield Line(before, foot, (Piece(straight_mm=train_mm),))
        before = top
        yield Line(foot, start, (on_grade,))
        yield Line(start, end, (curve,))
        yield Line(end, top, (on_grade,))
