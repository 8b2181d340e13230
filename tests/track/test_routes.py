"""Routes: never doubling back, by stops, over loops, and the shortest there is."""

from __future__ import annotations

import itertools

import networkx as nx
import pytest
from builders import layout, line, straight
from hypothesis import assume, given
from hypothesis import strategies as st

from consist.track import Layout, Line, Place, RouteError, find_route

__all__: list[str] = []


def _track(start: str, finish: str, length_mm: float) -> Line:
    return line(start, finish, straight(length_mm))


def _through(name: str, *moves: tuple[str, str]) -> Place:
    return Place(name, frozenset(frozenset(move) for move in moves))


def _junction() -> Layout:
    """A main line through Fork with a branch that may be entered from the west only."""
    return layout(
        _track("West, e", "Fork, west", 100.0),
        _track("Fork, east", "East, w", 200.0),
        _track("Fork, branch", "Mill, s", 300.0),
        places=[_through("Fork", ("west", "east"), ("west", "branch"))],
    )


def test_a_route_runs_the_lines_between_its_stops() -> None:
    route = find_route(_junction(), ["West", "East"])
    assert [one.name for one in route.lines] == ["West to Fork", "Fork to East"]
    assert route.stops_mm == (0.0, 300.0)
    assert route.length_mm == pytest.approx(300.0)


def test_a_line_is_run_either_way() -> None:
    route = find_route(_junction(), ["Mill", "West"])
    assert [one.name for one in route.lines] == ["Mill to Fork", "Fork to West"]


def test_a_train_does_not_double_back_at_a_junction() -> None:
    with pytest.raises(RouteError, match="no allowed way from 'Mill' to 'East' without doubling back; add a stop"):
        find_route(_junction(), ["Mill", "East"])


def test_without_through_any_two_different_ends_may_be_joined() -> None:
    free = layout(*_junction().lines)
    assert find_route(free, ["Mill", "East"]).length_mm == pytest.approx(500.0)


def test_the_same_end_never_joins_itself() -> None:
    """Both lines come to Fork's one end, so the way between them is a reversing move."""
    spur = layout(_track("West, e", "Fork, in", 100.0), _track("East, w", "Fork, in", 100.0))
    with pytest.raises(RouteError, match="without doubling back"):
        find_route(spur, ["West", "East"])


def test_a_train_does_not_turn_back_at_a_stop_either() -> None:
    """West to East and back at once: the far end is dead, so there is no way on."""
    with pytest.raises(RouteError, match="no allowed way from 'East' to 'West'"):
        find_route(_junction(), ["West", "East", "West"])


def test_a_place_no_line_comes_to_is_said_so() -> None:
    lonely = layout(_track("West, e", "East, w", 100.0), places=[Place("Attic")])
    with pytest.raises(RouteError, match="no line comes to 'Attic'; add a \\[\\[line\\]\\] to it"):
        find_route(lonely, ["West", "Attic"])


def test_a_via_stop_leads_the_longer_way() -> None:
    ring = layout(
        _track("West, e", "Fork, west", 100.0),
        _track("Fork, low", "Join, low", 200.0),
        _track("Fork, high", "Ridge, w", 300.0),
        _track("Ridge, e", "Join, high", 300.0),
        _track("Join, east", "East, w", 50.0),
    )
    assert find_route(ring, ["West", "East"]).length_mm == pytest.approx(350.0)
    over = find_route(ring, ["West", "Ridge", "East"])
    assert [name for name, _ in over.places] == ["West", "Fork", "Ridge", "Join", "East"]
    assert over.stops_mm == (0.0, 400.0, 750.0)


def test_a_reversing_loop_lets_a_train_come_back() -> None:
    """In by the throat, round by one leg and out by the other."""
    loop = layout(
        _track("Town, e", "Throat, main", 400.0),
        _track("Throat, left", "Throat, right", 900.0),
        places=[_through("Throat", ("main", "left"), ("main", "right"))],
    )
    back = find_route(loop, ["Town", "Throat", "Town"])
    assert back.length_mm == pytest.approx(400.0 + 900.0 + 400.0)
    assert [name for name, _ in back.places] == ["Town", "Throat", "Throat", "Town"]


def test_the_same_place_may_be_called_at_twice_round_a_circle() -> None:
    circle = layout(_track("Home, a", "Far, a", 300.0), _track("Far, b", "Home, b", 500.0))
    lap = find_route(circle, ["Home", "Far", "Home"])
    assert [name for name, _ in lap.places] == ["Home", "Far", "Home"]
    # either way round is as long
    assert lap.stops_mm in ((0.0, 300.0, 800.0), (0.0, 500.0, 800.0))


def test_of_two_lines_between_the_same_ends_the_shorter_is_run() -> None:
    two = layout(_track("West, e", "East, w", 500.0), _track("West, e", "East, w", 400.0))
    assert find_route(two, ["West", "East"]).length_mm == pytest.approx(400.0)


def test_a_longer_way_in_is_taken_where_the_shorter_one_leads_nowhere() -> None:
    """The short way comes to Fork by an end that has no move on to East."""
    trap = layout(
        _track("West, n", "Fork, spur", 50.0),
        _track("West, s", "Fork, main", 500.0),
        _track("Fork, east", "East, w", 100.0),
        places=[_through("Fork", ("main", "east"))],
    )
    assert find_route(trap, ["West", "East"]).length_mm == pytest.approx(600.0)


def test_an_end_short_of_a_stop_counts_for_the_way_after_it() -> None:
    """The nearest way to the stop arrives by the wrong end for going on: the whole trip is what is shortest."""
    pinned = layout(
        _track("West, n", "Stop, north", 100.0),
        _track("West, s", "Stop, south", 300.0),
        _track("Stop, far", "East, w", 100.0),
        places=[_through("Stop", ("south", "far"))],
    )
    assert find_route(pinned, ["West", "Stop", "East"]).stops_mm == (0.0, 300.0, 400.0)


@pytest.mark.parametrize(
    ("distance_mm", "where"),
    [
        (-50.0, "West"),
        (0.0, "West"),
        (40.0, "between West and Fork"),
        (100.0, "Fork"),
        (250.0, "between Fork and East"),
        (300.0, "East"),
        (999.0, "East"),
    ],
)
def test_place_at_says_where_a_distance_lies(distance_mm: float, where: str) -> None:
    assert find_route(_junction(), ["West", "East"]).place_at(distance_mm) == where


def test_past_tells_the_last_place_and_how_far_behind_it_is() -> None:
    route = find_route(_junction(), ["West", "East"])
    assert route.past(150.0) == ("Fork", 50.0)
    assert route.past(99.0) == ("West", 99.0)


@st.composite
def _layouts(draw: st.DrawFn) -> Layout:
    """Four places with two or three ends each, joined by lines of odd lengths; some places restrict their moves."""
    ends = [(place, end) for place in "ABCD" for end in "123"]
    lines = []
    for k in range(draw(st.integers(4, 7))):
        start, finish = draw(st.sampled_from(ends)), draw(st.sampled_from(ends))
        # lengths of different powers of two: no two ways can be equally long
        lines.append(_track(f"{start[0]}, {start[1]}", f"{finish[0]}, {finish[1]}", 64.0 + 2.0**k / 4.0))
    moves = list(itertools.combinations("123", 2))
    limited = draw(st.sets(st.sampled_from("ABCD")))
    places = [_through(name, *draw(st.sets(st.sampled_from(moves)))) for name in sorted(limited)]
    return layout(*lines, places=places)


def _shortest_by_trying(of: Layout, start: str, goal: str) -> float | None:
    """The least length over all simple paths of a graph whose nodes are a line run in one direction."""
    ways = of.directed_lines()
    graph: nx.DiGraph[int] = nx.DiGraph()
    graph.add_nodes_from(range(len(ways)))
    for (k, one), (m, other) in itertools.product(enumerate(ways), repeat=2):
        if one.finish[0] == other.start[0] and of.places[one.finish[0]].allows(one.finish[1], other.start[1]):
            graph.add_edge(k, m)
    first = [k for k, way in enumerate(ways) if way.start[0] == start]
    last = {k for k, way in enumerate(ways) if way.finish[0] == goal}
    found = [ways[k].length_mm for k in first if k in last]
    for k in first:
        for path in nx.all_simple_paths(graph, k, last - {k}):
            found.append(sum(ways[step].length_mm for step in path))
    return min(found, default=None)


@given(_layouts(), st.permutations("ABCD"))
def test_the_route_is_the_shortest_of_all_that_are_allowed(of: Layout, names: list[str]) -> None:
    start, goal = names[:2]
    assume(start in of.places and goal in of.places)
    expected = _shortest_by_trying(of, start, goal)
    if expected is None:
        with pytest.raises(RouteError):
            find_route(of, [start, goal])
        return
    route = find_route(of, [start, goal])
    assert route.length_mm == pytest.approx(expected)
    for one, following in itertools.pairwise(route.lines):
        assert one.finish[0] == following.start[0]
        assert of.places[one.finish[0]].allows(one.finish[1], following.start[1])
