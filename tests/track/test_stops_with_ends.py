"""A stop of a route may name the end by which it is left, the last one that by which it is reached."""

import networkx as nx
import pytest

from consist.scales import SCALES
from consist.track import Layout, Line, Piece, Place, RouteError, find_route


def oval(**places: Place) -> Layout:
    lines = (
        Line(("A", "east"), ("B", "west"), (Piece(straight_mm=1000.0),)),
        Line(("B", "east"), ("A", "west"), (Piece(straight_mm=1200.0),)),
    )
    return Layout("Oval", SCALES["HO"], "mm", {"A": Place("A"), "B": Place("B"), **places}, lines)


@pytest.mark.parametrize(
    ("ends", "length_mm"),
    [((), 1000.0), (("east", None), 1000.0), (("west", None), 1200.0), ((None, "east"), 1200.0)],
)
def test_an_end_decides_the_way_round(ends: tuple[str | None, ...], length_mm: float) -> None:
    assert find_route(oval(), ("A", "B"), ends).length_mm == pytest.approx(length_mm)


def test_the_ways_are_those_that_an_independent_search_finds() -> None:
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    for line in oval().lines:
        graph.add_edge(line.start[0], line.finish[0], length=line.length_mm)
    ways = {
        sum(graph.get_edge_data(*edge)["length"] for edge in path)
        for path in nx.all_simple_edge_paths(graph, "A", "B")
    }
    found = {round(find_route(oval(), ("A", "B"), (end, None)).length_mm, 6) for end in ("east", "west")}
    assert found == ways


def test_a_stop_on_the_way_is_left_by_its_end() -> None:
    route = find_route(oval(), ("A", "B", "A"), (None, "east", None))
    assert [line.start for line in route.lines] == [("A", "east"), ("B", "east")]


def test_ends_that_cannot_be_are_said() -> None:
    with pytest.raises(RouteError, match="from 'A, west' to 'B, west'"):
        find_route(oval(), ("A", "B"), ("west", "west"))
