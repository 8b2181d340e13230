"""Which places a train can run to from which, never reversing.

As with routes, the graph's nodes are (place, end arrived by), so that a train leaves a place only by a move that
the place allows from the end it came in by. A train that starts at a place may leave by any of its ends.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from consist.track.layout import Layout

if TYPE_CHECKING:
    import networkx as nx

__all__ = ["out_of_reach", "separate_parts"]

Node = tuple[str, str]
STARTING = ""
"""Stands for the end arrived by at the place where a train starts."""


def out_of_reach(layout: Layout) -> dict[str, tuple[str, ...]]:
    """The places from which some others cannot be reached without reversing, each with those others.

    All are in the order of the layout's file.
    """
    import networkx as nx

    graph = _graph(layout)
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


def _graph(layout: Layout) -> nx.DiGraph[Node]:
    import networkx as nx

    graph: nx.DiGraph[Node] = nx.DiGraph()
    graph.add_nodes_from((place, STARTING) for place in layout.places)
    for way in layout.directed_lines():
        place, leaves_by = way.start
        graph.add_edge((place, STARTING), way.finish)
        for arrived_by in layout.ends(place):
            if layout.places[place].allows(arrived_by, leaves_by):
                graph.add_edge((place, arrived_by), way.finish)
    return graph
