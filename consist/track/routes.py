"""Routes: the shortest way by stops over a layout, and what can be reached from where, without ever doubling back.

A way is a shortest path in a directed graph whose nodes are (stops already called at, place, end arrived by),
so that a train leaves a place only by a move the place allows from the end it came in by. A train that starts at a
place may leave by any of its ends; where it changes direction it leaves by the end it came in by. What can be reached
is asked of the same graph without the stops.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

from consist.errors import ConsistError
from consist.track.layout import Layout, Line, Piece

if TYPE_CHECKING:
    import networkx as nx

    from consist.track.centreline import Centreline

__all__ = [
    "BACKING",
    "OtherWay",
    "Route",
    "RouteError",
    "Run",
    "find_route",
    "other_way",
    "out_of_reach",
    "separate_parts",
]

LONGER_BY = 1.5
"""A way longer by more than half is nobody's choice. Common practice, no source."""

BACKING = "backing to "
"""Before the name of a stop that is backed to, where stops are told."""
STARTING = ""
"""Stands for the end arrived by at the place where a train starts."""
TURNED = "\n"
"""Before the end arrived by of a train that changes direction; no name of an end holds it."""
Stand = tuple[str, str]
"""A place, and the end of it arrived by."""
Node = tuple[int, str, str]
"""Stops called at so far after the first, and where a train stands."""


class RouteError(ConsistError):
    """No way over the layout calls at the stops in order. The text says where it breaks off."""


@dataclass(frozen=True)
class Run:
    """A stretch of a route run in one direction, `backing` where the train's rear end leads, from a distance on (mm).

    Before its start the track is straight and level for whatever stands behind its leading end.
    """

    lines: tuple[Line, ...]
    start_mm: float
    backing: bool

    @cached_property
    def centreline(self) -> Centreline:
        """The run in plan and profile, by distances along the whole route."""
        from consist.track.centreline import Centreline

        return Centreline([piece for line in self.lines for piece in line.pieces], start_mm=self.start_mm)


@dataclass(frozen=True)
class Route:
    """The lines of a route in running order, and where along it each stop lies (mm from the start).

    `ends` has the end of each stop that was asked for, None for any; the last stop's is the one it is reached by.
    `pushed` tells of each stop after the first whether the train backs to it; where it is empty it backs to none.
    """

    stops: tuple[str, ...]
    lines: tuple[Line, ...]
    stops_mm: tuple[float, ...]
    ends: tuple[str | None, ...] = ()
    pushed: tuple[bool, ...] = ()

    @property
    def turns(self) -> tuple[int, ...]:
        """The numbers of the stops at which the train changes direction."""
        return _turns(self.pushed)

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """The route parted where the train changes direction."""
        if not self.turns:
            return (Run(self.lines, 0.0, self.backs_to(1)),)
        edges = [0, *self.turns, len(self.stops) - 1]
        starts, found = _ends(self.lines), []
        for first, last in itertools.pairwise(edges):
            from_mm, to_mm = self.stops_mm[first], self.stops_mm[last]
            lines = tuple(line for line, at in zip(self.lines, starts, strict=False) if from_mm <= at < to_mm)
            found.append(Run(lines, from_mm, self.backs_to(first + 1)))
        return tuple(found)

    def backs_to(self, stop: int) -> bool:
        """Whether the train backs to a stop, by number."""
        return bool(self.pushed) and stop > 0 and self.pushed[stop - 1]

    def leads_at(self, distance_mm: float) -> Literal["head", "rear"]:
        """The end of the train that leads there."""
        return "rear" if self.runs[self.run_at(distance_mm)].backing else "head"

    def run_at(self, distance_mm: float) -> int:
        """The number of the run that a distance lies on; where two meet, of the first."""
        return sum(run.start_mm < distance_mm for run in self.runs[1:])

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Every piece of track in running order."""
        return tuple(piece for line in self.lines for piece in line.pieces)

    @cached_property
    def centreline(self) -> Centreline:
        """The whole route in plan and profile, turned about on the spot where the train changes direction."""
        from consist.track.centreline import Centreline

        turned = [
            sum(len(line.pieces) for each in self.runs[:k] for line in each.lines) for k in range(len(self.runs))
        ]
        return Centreline(self.pieces, turned_at=turned[1:])

    @property
    def length_mm(self) -> float:
        """The length of the whole route."""
        return self.centreline.length_mm

    @cached_property
    def places(self) -> tuple[tuple[str, float], ...]:
        """Every place on the route with its distance from the start, first and last included."""
        ends = _ends(self.lines)
        found = [(self.lines[0].start[0], 0.0)]
        for line, from_mm, to_mm in zip(self.lines, ends, ends[1:], strict=False):
            # lines that are not joined each begin at a place of their own
            found += [(line.start[0], from_mm)] if line.start[0] != found[-1][0] else []
            found.append((line.finish[0], to_mm))
        return tuple(found)

    @property
    def called(self) -> tuple[str, ...]:
        """The stops as they are told: one called at twice in a row is told once, one backed to as such."""
        told = (f"{BACKING}{stop}" if self.backs_to(number) else stop for number, stop in enumerate(self.stops))
        return tuple(stop for stop, _ in itertools.groupby(told))

    def place_at(self, distance_mm: float, run: int | None = None) -> str:
        """Where a distance along the route lies, in words: at a place, or between two, and whether it is backed over.

        A vehicle whose middle is short of the start of the route, or of a `run` of it by number, is said to stand at
        the first place.
        """
        on = self.runs[self.run_at(distance_mm) if run is None else run]
        distance_mm = max(distance_mm, on.start_mm)
        here, beyond = self.past(distance_mm)
        to_come = [place for place, at in self.places if at > distance_mm]
        between = bool(to_come) and beyond > 0.0 and to_come[0] != here
        where = f"between {here} and {to_come[0]}" if between else here
        return f"{where}, backing" if on.backing else where

    def past(self, distance_mm: float) -> tuple[str, float]:
        """The last place passed before a distance, and how far past it that is."""
        here, at = [(place, at) for place, at in self.places if at <= max(distance_mm, 0.0)][-1]
        return here, distance_mm - at


def find_route(
    layout: Layout, stops: Sequence[str], ends: Sequence[str | None] = (), pushed: Sequence[bool] = ()
) -> Route:
    """The shortest route that calls at `stops` (two or more places, in order), first to last.

    `ends` has the end that each stop is left by, None for any; the last one is the end that it is reached by.
    `pushed` tells of each stop after the first whether the train backs to it.

    Raises `RouteError` where no allowed way reaches a stop.
    """
    import networkx as nx

    by = [*ends, *[None] * (len(stops) - len(ends))]
    turns = _turns(pushed)
    moves, last = _moves(layout), len(stops) - 2
    graph: nx.DiGraph[Node] = nx.DiGraph()
    start: Node = (0, stops[0], STARTING)
    graph.add_node(start)
    for leg, goal in enumerate(stops[1:]):
        leaving = moves if by[leg] is None else _moves(layout, (stops[leg], by[leg]))
        arrives_by = by[-1] if leg == last else None
        back_out = _out_again(layout, stops[leg], by[leg]) if leg in turns else ()
        for here, there, way in itertools.chain(leaving.edges(data=True), back_out):
            called_at = there[0] == goal and arrives_by in (None, there[1])
            turned = TURNED if called_at and leg + 1 in turns else ""
            step = (leg, *here), (leg + called_at, there[0], turned + there[1])
            known = graph.get_edge_data(*step)
            if known is None or way["length"] < known["length"]:
                graph.add_edge(*step, **way)
    lengths: dict[Node, float] = nx.single_source_dijkstra_path_length(graph, start, weight="length")
    called = max(calls for calls, _, _ in lengths)
    if called < len(stops) - 1:
        said = [stop if end is None else f"{stop}, {end}" for stop, end in zip(stops, by, strict=True)]
        about = called in turns
        raise RouteError(_broken_off(layout, stops[called + 1], said[called], said[called + 1], about))
    arrived = min((node for node in lengths if node[0] == called), key=lambda node: (lengths[node], node))
    best: list[Node] = nx.dijkstra_path(graph, start, arrived, weight="length")
    lines: list[Line] = [graph.edges[step]["line"] for step in itertools.pairwise(best)]
    at_mm, calls = _ends(lines), [node[0] for node in best]
    stops_mm = tuple(at_mm[calls.index(stop)] for stop in range(len(stops)))
    return Route(tuple(stops), tuple(lines), stops_mm, tuple(by), tuple(pushed))


def _turns(pushed: Sequence[bool]) -> tuple[int, ...]:
    """The numbers of the stops between which and the next the direction is not that before them."""
    return tuple(stop for stop, (one, other) in enumerate(itertools.pairwise(pushed), start=1) if one != other)


def _out_again(layout: Layout, place: str, by: str | None) -> Iterator[tuple[Stand, Stand, dict[str, Any]]]:
    """The moves out of a place by each end that a train has come in by, or by the one asked for."""
    for way in layout.directed_lines():
        if way.start[0] == place and by in (None, way.start[1]):
            yield (place, TURNED + way.start[1]), way.finish, {"length": way.length_mm, "line": way}


@dataclass(frozen=True)
class OtherWay:
    """Another way by the same stops: where it parts from the one taken, by which ends, and how long it is."""

    stop: str
    taken: str
    other: str
    length_mm: float


def other_way(layout: Layout, route: Route) -> OtherWay | None:
    """The shortest other way by a route's stops, which leaves one of them, or reaches the last, by another end.

    None where the ends asked for leave no choice, or where it is half as long again, so that nobody would take it.
    """
    if layout.apart or not layout.has_loops:
        return None
    found = []
    named = route.ends or (None,) * len(route.stops)
    for number, (stop, asked) in enumerate(zip(route.stops, named, strict=True)):
        taken = _end_taken(route, number)
        for end in () if asked is not None else layout.ends(stop):
            if end != taken:
                ends = [*named[:number], end, *named[number + 1 :]]
                try:
                    way = find_route(layout, route.stops, ends, route.pushed)
                except RouteError:
                    continue
                found.append(OtherWay(stop, taken, end, sum(line.length_mm for line in way.lines)))
    best = min(found, key=lambda each: each.length_mm, default=None)
    taken_mm = sum(line.length_mm for line in route.lines)
    return best if best is not None and best.length_mm < LONGER_BY * taken_mm else None


def _end_taken(route: Route, number: int) -> str:
    """The end by which a route leaves a stop, or reaches its last one."""
    if number == len(route.stops) - 1:
        return route.lines[-1].finish[1]
    starts = _ends(route.lines)
    return next(line.start[1] for line, at in zip(route.lines, starts, strict=False) if at >= route.stops_mm[number])


def _ends(lines: Sequence[Line]) -> list[float]:
    """Where lines laid end to end begin, and where the last of them ends, in mm."""
    return list(itertools.accumulate((line.length_mm for line in lines), initial=0.0))


def _broken_off(layout: Layout, place: str, start: str, goal: str, about: bool) -> str:
    if not layout.ends(place):
        return f"no line comes to '{goal}'; add a [[line]] to it in the layout, or mend the route"
    if about:
        return (
            f"no allowed way to '{goal}' from '{start}', where the train changes direction and leaves by the end it "
            "came in by; change it at another stop"
        )
    return (
        f"no allowed way from '{start}' to '{goal}' without doubling back; add a stop on the way, or a "
        "`through` move at a place between them in the layout"
    )


def out_of_reach(layout: Layout) -> dict[str, tuple[str, ...]]:
    """The places from which some others cannot be reached without reversing, each with those others.

    All are in the order of the layout's file.
    """
    import networkx as nx

    graph = _moves(layout)
    missing = {}
    for place in layout.places:
        reached = {there for there, _ in nx.descendants(graph, (place, STARTING))}
        others = tuple(other for other in layout.places if other != place and other not in reached)
        if others:
            missing[place] = others
    return missing


def separate_parts(layout: Layout) -> tuple[tuple[str, ...], ...]:
    """The parts of the layout that no track joins, each as its places; one part where all is joined."""
    import networkx as nx

    joined: nx.Graph[str] = nx.Graph()
    joined.add_nodes_from(layout.places)
    joined.add_edges_from((line.start[0], line.finish[0]) for line in layout.lines)
    order = {place: number for number, place in enumerate(layout.places)}
    parts = [tuple(sorted(part, key=order.__getitem__)) for part in nx.connected_components(joined)]
    return tuple(sorted(parts, key=lambda part: order[part[0]]))


def _moves(layout: Layout, only: tuple[str, str | None] = ("", None)) -> nx.DiGraph[Stand]:
    """What a train can run without reversing, from each place and end it came in by, over the shortest line each.

    A place that `only` names is left by that end alone.
    """
    import networkx as nx

    graph: nx.DiGraph[Stand] = nx.DiGraph()
    graph.add_nodes_from((place, STARTING) for place in layout.places)
    for way in layout.directed_lines():
        place, leaves_by = way.start
        if place == only[0] and leaves_by != only[1]:
            continue
        for arrived_by in (STARTING, *layout.ends(place)):
            if arrived_by == STARTING or layout.places[place].allows(arrived_by, leaves_by):
                here = place, arrived_by
                known = graph.get_edge_data(here, way.finish)
                if known is None or way.length_mm < known["length"]:
                    graph.add_edge(here, way.finish, length=way.length_mm, line=way)
    return graph
