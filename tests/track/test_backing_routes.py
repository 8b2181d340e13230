"""Routes with stops that a train backs to: where it changes direction it leaves by the end it came in by."""

from __future__ import annotations

import itertools
import random

import networkx as nx
import numpy as np
import pytest
from builders import curve, layout, line, straight

from consist.track import Layout, Line, Place, RouteError, find_route

__all__: list[str] = []

POINTS = Place("Points", frozenset({frozenset({"lower", "stem"}), frozenset({"upper", "stem"})}))
SWITCHBACK = layout(
    line("Foot, out", "Points, lower", straight(400.0), curve(500.0, 60.0)),
    line("Points, stem", "Tail, end", straight(300.0)),
    line("Points, upper", "Top, in", straight(700.0, 2.0)),
    places=[POINTS],
)


def names(lines: tuple[Line, ...]) -> list[str]:
    return [one.name for one in lines]


def test_a_switchback_is_run_by_backing_out_of_its_tail() -> None:
    route = find_route(SWITCHBACK, ["Foot", "Tail", "Top"], pushed=[False, True])
    assert names(route.lines) == ["Foot to Points", "Points to Tail", "Tail to Points", "Points to Top"]
    assert route.turns == (1,)
    first, second = route.runs
    assert (first.backing, second.backing) == (False, True)
    assert (names(first.lines), names(second.lines)) == (names(route.lines[:2]), names(route.lines[2:]))
    assert second.start_mm == route.stops_mm[1] == pytest.approx(first.centreline.end_mm)
    assert second.centreline.end_mm == pytest.approx(route.length_mm)


def test_without_backing_there_is_no_way_out_of_the_tail() -> None:
    with pytest.raises(RouteError, match="without doubling back"):
        find_route(SWITCHBACK, ["Foot", "Tail", "Top"])
    with pytest.raises(RouteError, match="without doubling back"):
        find_route(SWITCHBACK, ["Foot", "Tail", "Top"], pushed=[True, True])


def test_where_it_turns_a_train_never_leaves_by_another_end() -> None:
    """Once backing at Points it can only go where it came from, and its stem is no way back to Foot."""
    with pytest.raises(RouteError, match="no allowed way to 'Top' from 'Points', where the train changes direction"):
        find_route(SWITCHBACK, ["Foot", "Points", "Top"], pushed=[False, True])
    back = find_route(SWITCHBACK, ["Foot", "Points", "Foot"], pushed=[False, True])
    assert names(back.lines) == ["Foot to Points", "Points to Foot"]


def test_the_end_asked_for_where_it_turns_is_the_one_it_comes_in_by() -> None:
    ring = layout(
        line("A, e", "B, w", straight(500.0)),
        line("A, n", "B, n", straight(900.0)),
        places=[Place("B", frozenset())],
    )
    stops, pushed = ["A", "B", "A"], [False, True]
    assert find_route(ring, stops, [None, None, None], pushed).length_mm == pytest.approx(1000.0)
    assert find_route(ring, stops, [None, "n", None], pushed).length_mm == pytest.approx(1800.0)
    with pytest.raises(RouteError, match="changes direction"):
        find_route(ring, stops, ["e", "n", None], pushed)


def test_a_route_backed_all_the_way_is_that_run_forward() -> None:
    there = find_route(SWITCHBACK, ["Foot", "Tail"])
    back = find_route(SWITCHBACK, ["Foot", "Tail"], pushed=[True])
    assert back.lines == there.lines
    assert (back.turns, len(back.runs), back.runs[0].backing) == ((), 1, True)


def test_in_plan_a_train_that_backs_lies_on_the_track_it_came_over() -> None:
    route = find_route(SWITCHBACK, ["Foot", "Points", "Foot"], pushed=[False, True])
    half = route.length_mm / 2.0
    at = np.linspace(0.0, half - 1e-6, 50)
    out, back = route.centreline.at(at), route.centreline.at(route.length_mm - at)
    assert back.x == pytest.approx(out.x, abs=1e-6)
    assert back.y == pytest.approx(out.y, abs=1e-6)
    assert back.z == pytest.approx(out.z, abs=1e-6)
    assert np.cos(back.heading - out.heading) == pytest.approx(-1.0)


def test_a_run_is_straight_and_level_before_it_begins_and_told_by_distances_of_the_whole_route() -> None:
    route = find_route(SWITCHBACK, ["Foot", "Tail", "Top"], pushed=[False, True])
    on = route.runs[1].centreline
    before = on.at([on.start_mm - 500.0, on.start_mm - 1.0])
    assert before.curvature.tolist() == [0.0, 0.0]
    assert before.grade.tolist() == [0.0, 0.0]
    assert before.x.tolist() == [-500.0, -1.0]
    assert float(on.at(on.start_mm + 900.0).grade) == pytest.approx(0.02)


def some_layout(seed: int) -> Layout:
    """Places with two to four ends, some moves among them, and lines of whole millimetres between ends."""
    rng = random.Random(seed)
    ends = [(place, end) for place in "ABCDEF" for end in "nesw"[: rng.randint(2, 4)]]
    lines = []
    for number in range(rng.randint(5, 9)):
        start, finish = rng.sample(ends, 2)
        lines.append(line(", ".join(start), ", ".join(finish), straight(100.0 * rng.randint(1, 9) + number)))
    moves = {
        place: frozenset(
            frozenset(pair)
            for pair in itertools.combinations([end for at, end in ends if at == place], 2)
            if rng.random() < 0.6
        )
        for place in "ABCDEF"
    }
    return layout(*lines, places=[Place(name, may) for name, may in moves.items()])


def shortest_by_hand(where: Layout, stops: list[str], pushed: list[bool]) -> float | None:
    """By a graph of (stop, place, end come in by) that takes every step by itself; None where there is no way."""
    graph: nx.DiGraph[object] = nx.DiGraph()
    ways = list(where.directed_lines())
    last = len(stops) - 1

    def arrive(calls: int, place: str, end: str, way: Line, come: object) -> None:
        if place == stops[calls + 1]:
            graph.add_edge(come, (calls + 1, place, end, True), weight=way.length_mm)
        else:
            graph.add_edge(come, (calls, place, end, False), weight=way.length_mm)

    # the shortest of several lines between two ends is the one added last
    for calls in range(last):
        for way in sorted(ways, key=lambda way: -way.length_mm):
            (place, leaves), (there, by) = way.start, way.finish
            if calls == 0 and place == stops[0]:
                arrive(calls, there, by, way, "start")
            for end in where.ends(place):
                turns = calls > 0 and pushed[calls] != pushed[calls - 1]
                runs_on = where.places[place].allows(end, leaves)
                if runs_on:
                    arrive(calls, there, by, way, (calls, place, end, False))
                if calls > 0 and place == stops[calls] and (end == leaves if turns else runs_on):
                    arrive(calls, there, by, way, (calls, place, end, True))
    for place, end in itertools.product("ABCDEF", "nesw"):
        if graph.has_node((last, place, end, True)):
            graph.add_edge((last, place, end, True), "done", weight=0.0)
    if not graph.has_node("start") or not graph.has_node("done"):
        return None
    try:
        return float(nx.dijkstra_path_length(graph, "start", "done"))
    except nx.NetworkXNoPath:
        return None


def test_the_shortest_way_of_many_layouts_is_that_of_a_graph_made_by_hand() -> None:
    found = refused = 0
    for seed in range(400):
        rng, where = random.Random(seed), some_layout(seed)
        joined = [place for place in "ABCDEF" if where.places.get(place) and where.ends(place)]
        stops = [rng.choice(joined)]
        while len(stops) < 4:
            stops.append(rng.choice([place for place in joined if place != stops[-1]]))
        pushed = [rng.random() < 0.5 for _ in range(3)]
        expected = shortest_by_hand(where, stops, pushed)
        try:
            route = find_route(where, stops, pushed=pushed)
        except RouteError:
            assert expected is None, seed
            refused += 1
            continue
        assert expected == pytest.approx(route.length_mm), seed
        assert [run.backing for run in route.runs] == [key for key, _ in itertools.groupby(pushed)]
        for one, two in itertools.pairwise(route.lines):
            turned = one.finish == two.start
            assert turned or where.places[one.finish[0]].allows(one.finish[1], two.start[1])
        found += 1
    assert min(found, refused) > 60, (found, refused)
