"""Routes: the shortest way by stops over a layout, and what can be reached from where, without ever doubling back.

A way is a shortest path in a directed graph whose nodes are (stops already called at, place, end arrived by),
so that a train leaves a place only by a move the place allows from the end it came in by. A train that starts at a
place may leave by any of its ends. What can be reached is asked of the same graph without the stops.
"""

from __future__ import annotations

import itertools
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from consist.errors import ConsistError
from consist.track.layout import Layout, Line
from consist.track.pieces import Piece

if TYPE_CHECKING:
    import networkx as nx

    from consist.track.centreline import Centreline

__all__ = ["Route", "RouteError", "find_route", "out_of_reach", "separate_parts"]

STARTING = ""
"""Stands for the end arrived by at the place where a train starts."""
Node = tuple[int, str, str]
"""Stops called at so far after the first, the place, and the end of it arrived by."""


class RouteError(ConsistError):
    """No way over the layout calls at the stops in order. The text says where it breaks off."""


@dataclass(frozen=True)
class Route:
    """The lines of a route in running order, and where along it each stop lies (mm from the start)."""

    stops: tuple[str, ...]
    lines: tuple[Line, ...]
    stops_mm: tuple[float, ...]

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
        passed = [(self.lines[0].start[0], 0.0)]
        distance = 0.0
        for line in self.lines:
            distance += line.length_mm
            passed.append((line.finish[0], distance))
        return tuple(passed)

    def place_at(self, distance_mm: float) -> str:
        """Where a distance along the route lies, in words: at a place, or between two.

        A vehicle whose middle is short of the route's start is said to stand at the first place.
        """
        if distance_mm <= 0.0:
            return self.places[0][0]
        for (before, start), (after, finish) in itertools.pairwise(self.places):
            if start < distance_mm < finish:
                return f"between {before} and {after}"
            if distance_mm == finish:
                return after
        return self.places[-1][0]

    def past(self, distance_mm: float) -> tuple[str, float]:
        """The last place passed before a distance, and how far past it that is."""
        passed = self.places[0]
        for place in self.places:
            if place[1] <= distance_mm:
                passed = place
        return passed[0], distance_mm - passed[1]


def find_route(layout: Layout, stops: Sequence[str]) -> Route:
    """The shortest route that calls at `stops` (two or more places, in order), first to last.

    Raises `RouteError` where no allowed way reaches a stop.
    """
    import networkx as nx

    graph: nx.DiGraph[Node] = nx.DiGraph()
    start: Node = (0, stops[0], STARTING)
    graph.add_node(start)
    arrivals = [start]
    for leg, (here, goal) in enumerate(itertools.pairwise(stops)):
        arrivals = _add_leg(graph, layout, leg, goal, arrivals)
        if not arrivals:
            raise RouteError(_broken_off(layout, here, goal))
    lengths: dict[Node, float] = nx.single_source_dijkstra_path_length(graph, start, weight="length")
    goal_node = min(arrivals, key=lambda node: (lengths[node], node))
    best: list[Node] = nx.dijkstra_path(graph, start, goal_node, weight="length")
    lines: list[Line] = [graph.edges[step]["line"] for step in itertools.pairwise(best)]
    return _as_route(tuple(stops), lines, [node[0] for node in best[1:]])


def _add_leg(graph: nx.DiGraph[Node], layout: Layout, leg: int, goal: str, starts: list[Node]) -> list[Node]:
    """Add all that can be run from the nodes `starts` until `goal` is come to; the nodes arrived at."""
    ways = layout.directed_lines()
    waiting, seen = deque(starts), set(starts)
    arrivals: list[Node] = []
    while waiting:
        node = waiting.popleft()
        _, here, arrived_by = node
        for way in ways:
            if way.start[0] != here or not _may_leave(layout, here, arrived_by, way.start[1]):
                continue
            there, end = way.finish
            arrived = (leg + 1 if there == goal else leg, there, end)
            known = graph.get_edge_data(node, arrived)
            if known is None or way.length_mm < known["length"]:
                graph.add_edge(node, arrived, length=way.length_mm, line=way)
            if arrived in seen:
                continue
            seen.add(arrived)
            (arrivals if there == goal else waiting).append(arrived)
    return arrivals


def _may_leave(layout: Layout, place: str, arrived_by: str, leaves_by: str) -> bool:
    """Whether a train may leave by that end; one that starts here may use any."""
    return arrived_by == STARTING or layout.places[place].allows(arrived_by, leaves_by)


def _as_route(stops: tuple[str, ...], lines: list[Line], called: list[int]) -> Route:
    stops_mm, distance, done = [0.0], 0.0, 0
    for line, calls in zip(lines, called, strict=True):
        distance += line.length_mm
        if calls > done:
            stops_mm.append(distance)
            done = calls
    return Route(stops, tuple(lines), tuple(stops_mm))


def _broken_off(layout: Layout, start: str, goal: str) -> str:
    if not layout.ends(goal):
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


def _moves(layout: Layout) -> nx.DiGraph[tuple[str, str]]:
    import networkx as nx

    graph: nx.DiGraph[tuple[str, str]] = nx.DiGraph()
    graph.add_nodes_from((place, STARTING) for place in layout.places)
    for way in layout.directed_lines():
        place, leaves_by = way.start
        graph.add_edge((place, STARTING), way.finish)
        for arrived_by in layout.ends(place):
            if _may_leave(layout, place, arrived_by, leaves_by):
                graph.add_edge((place, arrived_by), way.finish)
    return graph
