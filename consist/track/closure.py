"""Where every place of a layout comes to lie, laid line by line from the first, and whether its loops close.

The ends of a place fall into two sides: those that can be run through to each other are on opposite sides. A place so
has one position, one height and one heading, that of a train which comes in on its first side. Each line past those
that lead to a place for the first time closes a loop, and is held against where its places already lie.
"""

from __future__ import annotations

import cmath
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import degrees, pi, radians, remainder
from typing import Literal

import networkx as nx

from consist.track.layout import Layout, Line, Piece, Place
from consist.wording import Units, in_words

__all__ = ["Closure", "Loop", "Miss", "Pose", "Slip", "close_up", "loop_words"]

MISS_SHARE = 0.02
"""A loop that misses in plan by more than this share of its length does not close."""
MISS_HEADING = radians(10.0)
"""Nor does one whose headings are further apart."""
MISS_GRADE = 0.001
"""Nor one whose heights are further apart than grades told to a tenth of a per cent leave them. Assumption."""
FULL_CIRCLE = 2.0 * pi
LEAST_MM = 1.0
"""Less is not told: nobody lays track to a millimetre."""
TOLD_SLIPS = 3
MOST_TRIES = 200_000
"""Pieces of a loop times its lines: past it slips are not looked for, which would take longer than a check."""


@dataclass(frozen=True)
class Pose:
    """Where something lies in plan (x + iy in mm), how high (mm), and which way it heads (radians, left positive)."""

    at: complex = 0j
    height_mm: float = 0.0
    heading: float = 0.0

    def turned(self) -> Pose:
        """The same place headed the other way."""
        return replace(self, heading=self.heading + pi)

    def along(self, track: Pose) -> Pose:
        """Where one comes to from here by track that leads from the origin to a pose."""
        there = self.at + track.at * cmath.exp(1j * self.heading)
        return Pose(there, self.height_mm + track.height_mm, self.heading + track.heading)


@dataclass(frozen=True)
class Miss:
    """By how much a loop misses: in plan and in height (mm), and in heading (radians).

    Plan and heading are None where the ends of a place on it do not fall into two sides.
    """

    plan_mm: float | None
    heading: float | None
    height_mm: float

    def of(self, length_mm: float) -> float:
        """The worst of them as a share of what is allowed in a loop of that length; up to 1 it closes."""
        shares = [abs(self.height_mm) / (MISS_GRADE * length_mm)]
        if self.plan_mm is not None and self.heading is not None:
            shares += [self.plan_mm / (MISS_SHARE * length_mm), abs(self.heading) / MISS_HEADING]
        return max(shares)


@dataclass(frozen=True)
class Slip:
    """A piece (numbers from 1) whose `turn` the other way, `grade` of the other sign, or `length` mends a loop.

    `by_mm` is what the length lacks, negative where it has too much.
    """

    what: Literal["turn", "grade", "length"]
    line: int
    piece: int
    by_mm: float = 0.0


@dataclass(frozen=True)
class Loop:
    """Lines that lead back to the place where they start, the closing one first.

    `ways` are their numbers in the layout, from 1, negative where a line is run against the way it is written.
    """

    ways: tuple[int, ...]
    length_mm: float
    miss: Miss
    slips: tuple[Slip, ...]

    @property
    def closes(self) -> bool:
        """Whether it misses by no more than is allowed."""
        return self.miss.of(self.length_mm) <= 1.0


@dataclass(frozen=True)
class Closure:
    """A layout laid out: each place's pose, its loops, and the places whose ends do not fall into two sides.

    Places that no line joins to the first lie in a part of their own, each part from the origin on. `starts` are the
    poses in which a train leaves by each line, in the order of the layout.
    """

    parts: tuple[dict[str, Pose], ...]
    loops: tuple[Loop, ...]
    one_sided: tuple[str, ...]
    starts: tuple[Pose, ...]

    @property
    def open(self) -> tuple[Loop, ...]:
        """The loops that do not close."""
        return tuple(loop for loop in self.loops if not loop.closes)


def close_up(layout: Layout) -> Closure:
    """Lay a layout's places along its lines, and close its loops."""
    return _Laid(layout).closure()


def loop_words(loop: Loop, units: Units) -> str:
    """What is wrong with a loop that does not close, and the slips that it looks like, the first few."""
    lines, miss = in_words([str(abs(way)) for way in loop.ways]), loop.miss
    apart = [f"{units.distance(abs(miss.height_mm))} in height"] if abs(miss.height_mm) >= LEAST_MM else []
    if miss.plan_mm is not None and miss.heading is not None:
        turned = [f"{abs(degrees(miss.heading)):.0f} degrees"] if abs(miss.heading) >= radians(0.5) else []
        across = [f"{units.distance(miss.plan_mm)} in plan"] if miss.plan_mm >= LEAST_MM else []
        apart = [*across, *turned, *apart]
    many = len(loop.ways) > 1
    told = f"Line{'s' if many else ''} {lines} lead{'' if many else 's'} back to the start and miss"
    told = f"{told}{'' if many else 'es'} it by {in_words(apart)}, in a loop of {units.distance(loop.length_mm)}"
    if not loop.slips:
        return f"{told}; check the lengths, turns and grades of its pieces."
    return f"{told}; it would close if {in_words([_mending(slip, units) for slip in loop.slips[:TOLD_SLIPS]], 'or')}."


def _mending(slip: Slip, units: Units) -> str:
    piece = f"piece {slip.piece} of line {slip.line}"
    if slip.what == "length":
        return f"{piece} were {units.distance(abs(slip.by_mm))} {'longer' if slip.by_mm > 0.0 else 'shorter'}"
    return f"{piece} {'turned the other way' if slip.what == 'turn' else 'had a grade of the other sign'}"


def _sides(place: Place, ends: Sequence[str]) -> dict[str, int] | None:
    """Which of its two sides each end of a place is on; None where they do not fall into two."""
    if len(ends) <= 1:
        return dict.fromkeys(ends, 0)
    pairs = [tuple(ends)] if place.through is None else [tuple(pair) for pair in place.through]
    joined = nx.Graph(pair for pair in pairs if len(pair) == 2)
    if not {*ends} <= {*joined} or not nx.is_connected(joined) or not nx.is_bipartite(joined):
        return None
    side: dict[str, int] = nx.bipartite.color(joined)
    return {end: int(side[end] != side[ends[0]]) for end in ends}


class _Laid:
    """A layout being laid, place after place. Ways are numbers of lines, negative against how they are written."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._ways: dict[int, Line] = {}
        self._out: dict[str, list[int]] = {name: [] for name in layout.places}
        for number, line in enumerate(layout.lines, start=1):
            self._out[line.start[0]].append(number)
            self._out[line.finish[0]].append(-number)
        told = {name: _sides(place, layout.ends(name)) for name, place in layout.places.items()}
        self._sided = {name for name, sides in told.items() if sides is not None}
        self._sides = {name: sides or self._as_if(name) for name, sides in told.items()}
        self._tracks: dict[int, Pose] = {}
        self._reached_by: dict[str, int] = {}
        self._poses: dict[str, Pose] = {}

    def _as_if(self, place: str, first: str | None = None) -> dict[str, int]:
        """Sides as if a train could go from where it first comes in to every other end."""
        ends = self._layout.ends(place)
        return {end: int(end != (first or ends[0])) for end in ends}

    def closure(self) -> Closure:
        """The layout laid out, each part of it from its first place on."""
        parts = []
        closing: list[int] = []
        for place in self._layout.places:
            if place not in self._poses:
                before = {*self._poses}
                closing += self._lay_from(place)
                parts.append({name: pose for name, pose in self._poses.items() if name not in before})
        one_sided = tuple(name for name in self._layout.places if name not in self._sided)
        starts = tuple(
            self._leaving(self._poses[line.start[0]], number)
            for number, line in enumerate(self._layout.lines, start=1)
        )
        return Closure(tuple(parts), tuple(map(self._loop, closing)), one_sided, starts)

    def _lay_from(self, first: str) -> list[int]:
        """Lay all that can be reached from a place; the lines that lead to what is laid already."""
        self._poses[first] = Pose()
        waiting, seen, closing = [first], set[int](), []
        for place in waiting:
            for number in self._out[place]:
                if abs(number) in seen:
                    continue
                seen.add(abs(number))
                there = self._way(number).finish[0]
                if there in self._poses:
                    closing.append(number)
                    continue
                if there not in self._sided:
                    self._sides[there] = self._as_if(there, self._way(number).finish[1])
                self._poses[there] = self._after(self._poses[place], number)
                self._reached_by[there] = number
                waiting.append(there)
        return closing

    def _way(self, number: int) -> Line:
        if number not in self._ways:
            line = self._layout.lines[abs(number) - 1]
            self._ways[number] = line if number > 0 else line.reversed()
        return self._ways[number]

    def _leaving(self, pose: Pose, number: int) -> Pose:
        """A place's pose as a train has it that leaves by a line."""
        place, end = self._way(number).start
        return pose if self._sides[place][end] == 1 else pose.turned()

    def _after(self, pose: Pose, number: int, track: Pose | None = None) -> Pose:
        """The pose of the place that a line leads to, from that of the place where it starts."""
        arrived = self._leaving(pose, number).along(track or self._track(number))
        place, end = self._way(number).finish
        return arrived if self._sides[place][end] == 0 else arrived.turned()

    def _track(self, number: int) -> Pose:
        if number not in self._tracks:
            self._tracks[number] = _end_of(self._way(number).pieces)
        return self._tracks[number]

    def _loop(self, closing: int) -> Loop:
        ways = (closing, *self._back(self._way(closing)))
        length = sum(self._layout.lines[abs(way) - 1].length_mm for way in ways)
        miss, _ = self._missed(ways)
        loop = Loop(ways, length, miss, ())
        tries = len(ways) * sum(len(self._way(way).pieces) for way in ways)
        return loop if loop.closes or tries > MOST_TRIES else replace(loop, slips=tuple(self._slips(loop)))

    def _back(self, line: Line) -> list[int]:
        """The ways by which places were first reached, from where a line ends to where it starts."""
        up_from = [self._to_first(place) for place in (line.finish[0], line.start[0])]
        while up_from[0] and up_from[1] and up_from[0][-1] == up_from[1][-1]:
            for ways in up_from:
                ways.pop()
        return [*(-way for way in up_from[0]), *reversed(up_from[1])]

    def _to_first(self, place: str) -> list[int]:
        ways = []
        while place in self._reached_by:
            ways.append(self._reached_by[place])
            place = self._way(ways[-1]).start[0]
        return ways

    def _missed(self, ways: Sequence[int], tracks: Mapping[int, Pose] | None = None) -> tuple[Miss, Pose]:
        """By how much one misses round some lines, some of them with other track, and where one comes to."""
        pose = Pose()
        for way in ways:
            pose = self._after(pose, way, (tracks or {}).get(way))
        sided = all(self._way(way).start[0] in self._sided for way in ways)
        turned = remainder(pose.heading, FULL_CIRCLE)
        return Miss(abs(pose.at) if sided else None, turned if sided else None, pose.height_mm), pose

    def _slips(self, loop: Loop) -> Iterator[Slip]:
        """Each piece whose mending closes a loop, those that close it best first."""
        found: list[tuple[float, int, Slip]] = []
        for way in loop.ways:
            pieces = self._way(way).pieces
            for at, piece in enumerate(pieces):
                number = at + 1 if way > 0 else len(pieces) - at
                for what, mended, by_mm in self._mended(loop, way, at, piece):
                    track = _end_of((*pieces[:at], mended, *pieces[at + 1 :]))
                    miss, _ = self._missed(loop.ways, {way: track})
                    left = miss.of(loop.length_mm)
                    if left <= 1.0:
                        found.append((round(left, 6), len(found), Slip(what, abs(way), number, by_mm)))
        yield from (slip for _, _, slip in sorted(found, key=lambda each: each[:2]))

    def _mended(
        self, loop: Loop, way: int, at: int, piece: Piece
    ) -> Iterator[tuple[Literal["turn", "grade", "length"], Piece, float]]:
        if piece.turn:
            yield "turn", replace(piece, turn=-piece.turn), 0.0
        if piece.grade:
            yield "grade", replace(piece, grade=-piece.grade), 0.0
        if piece.radius_mm is None:
            by_mm = self._lacking(loop, way, at)
            if piece.straight_mm + by_mm > 0.0:
                yield "length", replace(piece, straight_mm=piece.straight_mm + by_mm), by_mm

    def _lacking(self, loop: Loop, way: int, at: int) -> float:
        """How much longer a straight would bring the end of a loop nearest to its start."""
        pose, missed = Pose(), self._missed(loop.ways)[1]
        for other in loop.ways:
            if other == way:
                heading = self._leaving(pose, way).along(_end_of(self._way(way).pieces[:at])).heading
                return -(missed.at * cmath.exp(-1j * heading)).real
            pose = self._after(pose, other)
        raise AssertionError("a way of another loop")


def _end_of(pieces: Sequence[Piece]) -> Pose:
    """Where track laid from the origin, heading along +x, comes to."""
    from consist.track.centreline import Centreline

    track = Centreline(pieces)
    end = track.at(track.length_mm)
    return Pose(complex(float(end.x), float(end.y)), float(end.z), float(end.heading))
