"""What cannot be reached without reversing, against the router itself."""

from __future__ import annotations

import builders

from consist.track import Layout, Place, RouteError, find_route, out_of_reach, separate_parts

__all__: list[str] = []


def fork(*, through: bool) -> Layout:
    """Three lines at Fork; where `through`, a train cannot go between the two on the right."""
    moves = frozenset({frozenset(("left", "high")), frozenset(("left", "side"))})
    return builders.layout(
        builders.line("West, out", "Fork, left", builders.straight(1000.0)),
        builders.line("Fork, high", "Hill, in", builders.straight(1000.0)),
        builders.line("Fork, side", "Mill, in", builders.straight(1000.0)),
        places=[Place("Fork", moves)] if through else [],
    )


def balloon() -> Layout:
    """A line to a loop that turns trains round."""
    moves = frozenset({frozenset(("stem", "left")), frozenset(("stem", "right"))})
    return builders.layout(
        builders.line("Yard, out", "Throat, stem", builders.straight(500.0)),
        builders.line("Throat, left", "Throat, right", builders.curve(500.0, 300.0)),
        builders.line("Throat, stem", "Siding, in", builders.straight(700.0)),
        places=[Place("Throat", moves)],
    )


def test_a_fork_with_every_move_reaches_all() -> None:
    assert out_of_reach(fork(through=False)) == {}


def test_a_fork_without_a_move_parts_its_two_branches() -> None:
    assert out_of_reach(fork(through=True)) == {"Hill": ("Mill",), "Mill": ("Hill",)}


def test_a_loop_lets_a_train_come_back() -> None:
    assert out_of_reach(balloon()) == {}  # Yard to Siding leads round the loop


def test_it_agrees_with_the_router() -> None:
    for layout in (fork(through=False), fork(through=True), balloon()):
        missing = out_of_reach(layout)
        for start in layout.places:
            for goal in layout.places:
                if start == goal:
                    continue
                try:
                    find_route(layout, [start, goal])
                    found = True
                except RouteError:
                    found = False
                assert found == (goal not in missing.get(start, ())), (start, goal)


def test_parts_that_no_track_joins() -> None:
    layout = builders.layout(
        builders.line("A, out", "B, in", builders.straight(100.0)),
        builders.line("C, out", "D, in", builders.straight(100.0)),
    )
    assert separate_parts(layout) == (("A", "B"), ("C", "D"))
    assert out_of_reach(layout)["A"] == ("C", "D")
    (whole,) = separate_parts(fork(through=True))
    assert sorted(whole) == ["Fork", "Hill", "Mill", "West"]
