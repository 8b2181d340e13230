"""Routes: the shortest way by stops over a layout, and what can be reached from where, without ever doubling back.

A way is a shortest path in a directed graph whose nodes are (stops already called at, place, end arrived by),
so that a train leaves a place only by a move the place allows from the end it came in by. A train that starts at a
place may leave by any of its ends. What can be reached is asked of the same graph without the stops.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from consist.errors import ConsistError
from consist.track.layout import Layout, Line, Piece

if TYPE_CHECKING:
    import networkx as nx

    from consist.track.centreline import Centreline

__all__ = ["OtherWay", "Route", "RouteError", "find_route", "other_way", "out_of_reach", "separate_parts"]

LONGER_BY = 1.5
"""A way longer by more than half is nobody's choice. Common practice, no source."""

STARTING = ""
"""Stands for the end arrived by at the place where a train starts."""
Stand = tuple[str, str]
"""A place, and the end of it arrived by."""
Node = tuple[int, str, str]
"""Stops called at so far after the first, and where a train stands."""


class RouteError(ConsistError):
    """No way over the layout calls at the stops in order. The text says where it breaks off."""


@dataclass(frozen=True)
class Route:
    """The lines of a route in running order, and where along it each stop lies (mm from the start).

    `ends` has the end of each stop that was asked for, None for any; the last stop's is the one it is reached by.
    """

    stops: tuple[str, ...]
    lines: tuple[Line, ...]
    stops_mm: tuple[float, ...]
    ends: tuple[str | None, ...] = ()

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Every piece of track in running order."""
        return tuple(piece for line in self.lines for piece in line.pieces)

    @cached_property
    def centreline(self) -> Centreline:
        """The route in plan and profile."""
        from consist.track.centreline import Centreline

        return Centreline(self.pieces)

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
        """The stops as they are told: one called at twice in a row is told once."""
        return tuple(stop for stop, _ in itertools.groupby(self.stops))

    def place_at(self, distance_mm: float) -> str:
        """Where a distance along the route lies, in words: at a place, or between two.

        A vehicle whose middle is short of the route's start is said to stand at the first place.
        """
        here, beyond = self.past(distance_mm)
        to_come = [place for place, at in self.places if at > distance_mm]
        if not to_come or beyond <= 0.0 or to_come[0] == here:
            return here
        return f"between {here} and {to_come[0]}"

    def past(self, distance_mm: float) -> tuple[str, float]:
        """The last place passed before a distance, and how far past it that is."""
        here, at = [(place, at) for place, at in self.places if at <= max(distance_mm, 0.0)][-1]
        return here, distance_mm - at


def find_route(layout: Layout, stops: Sequence[str], ends: Sequence[str | None] = ()) -> Route:
    """The shortest route that calls at `stops` (two or more places, in order), first to last.

    `ends` has the end that each stop is left by, None for any; the last one is the end that it is reached by.

    Raises `RouteError` where no allowed way reaches a stop.
    """
    import networkx as nx

    by = [*ends, *[None] * (len(stops) - len(ends))]
    moves, last = _moves(layout), len(stops) - 2
    graph: nx.DiGraph[Node] = nx.DiGraph()
    start: Node = (0, stops[0], STARTING)
    graph.add_node(start)
    for leg, goal in enumerate(stops[1:]):
        leaving = moves if by[leg] is None else _moves(layout, (stops[leg], by[leg]))
        arrives_by = by[-1] if leg == last else None
        for here, there, way in leaving.edges(data=True):
            called_at = there[0] == goal and arrives_by in (None, there[1])
            graph.add_edge((leg, *here), (leg + called_at, *there), **way)
    lengths: dict[Node, float] = nx.single_source_dijkstra_path_length(graph, start, weight="length")
    called = max(calls for calls, _, _ in lengths)
    if called < len(stops) - 1:
        said = [stop if end is None else f"{stop}, {end}" for stop, end in zip(stops, by, strict=True)]
        raise RouteError(_broken_off(layout, stops[called + 1], said[called], said[called + 1]))
    arrived = min((node for node in lengths if node[0] == called), key=lambda node: (lengths[node], node))
    best: list[Node] = nx.dijkstra_path(graph, start, arrived, weight="length")
    lines: list[Line] = [graph.edges[step]["line"] for step in itertools.pairwise(best)]
    at_mm, calls = _ends(lines), [node[0] for node in best]
    stops_mm = tuple(at_mm[calls.index(stop)] for stop in range(len(stops)))
    return Route(tuple(stops), tuple(lines), stops_mm, tuple(by))


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
                    way = find_route(layout, route.stops, ends)
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


def _broken_off(layout: Layout, place: str, start: str, goal: str) -> str:
    if not layout.ends(place):
        return f"no line comes to '{goal}'; add a [[line]] to it in the layout, or mend the route"
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
