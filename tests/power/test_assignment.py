"""Plans of an evening against every plan there is, and against a minimum-cost flow."""

from __future__ import annotations

import itertools
from random import Random

import networkx as nx
import pytest
from evenings import best_cost, cost_of, evening, of_class

from consist.power.assignment import Evening, Trip, assign

__all__: list[str] = []


@pytest.mark.parametrize("seed", range(40))
def test_no_plan_of_all_there_are_is_better(seed: int) -> None:
    """`cost_of` follows every engine, and fails for one in two places at once."""
    of = evening(seed)
    found = assign(of)
    assert found.proven
    assert cost_of(of, found.engines) == best_cost(of)


@pytest.mark.parametrize("seed", range(100, 125))
def test_with_kept_engines_no_plan_of_all_there_are_is_better(seed: int) -> None:
    of = evening(seed, kept=True)
    found, best = assign(of), best_cost(of)
    assert found.possible == (best is not None)
    if found.possible:
        assert cost_of(of, found.engines) == best


def test_the_evenings_tried_are_of_every_sort() -> None:
    """Otherwise the two tests above could pass on evenings in which nothing is at stake."""
    costs = [best_cost(evening(seed)) for seed in range(40)]
    assert {cost[0] for cost in costs if cost} >= {0, 1, 2}
    assert any(cost and cost[1] < cost[2] for cost in costs), "no engine runs twice"
    kept = [best_cost(evening(seed, kept=True)) for seed in range(100, 125)]
    assert 5 <= sum(cost is None for cost in kept) <= 20


def _flow(of: Evening) -> int:
    """The fewest engines of one class for all trips, by networkx: each trip a tie with so many that must run."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    needs = {trip.train: sum(trip.choices[0].values()) for trip in of.trips}
    total = sum(needs.values())
    graph.add_node("shed", demand=-total)
    graph.add_node("end", demand=total)
    graph.add_edge("shed", "end", weight=0, capacity=total)
    for trip in of.trips:
        # what must run through a trip leaves at its far side and is called for at its near side
        graph.add_node(f"to {trip.train}", demand=needs[trip.train])
        graph.add_node(f"from {trip.train}", demand=-needs[trip.train])
        graph.add_edge("shed", f"to {trip.train}", weight=1, capacity=total)
        graph.add_edge(f"from {trip.train}", "end", weight=0, capacity=total)
        for after in of.trips:
            if after.start == trip.finish and trip.arrive + of.turn_minutes <= after.depart:
                graph.add_edge(f"from {trip.train}", f"to {after.train}", weight=0, capacity=total)
    cost, _ = nx.network_simplex(graph)
    return int(cost)


@pytest.mark.parametrize("seed", range(8))
def test_one_class_uses_as_few_as_a_minimum_cost_flow(seed: int) -> None:
    """Twelve trips, engines enough at every place, so that none is short and only how many run is at stake."""
    draw = Random(seed)
    trips = []
    for k in range(12):
        start, finish = draw.choice(list(itertools.permutations("PQR", 2)))
        depart = 600 + draw.randrange(400)
        trips.append(
            Trip(f"T{k}", start, finish, depart, depart + draw.randrange(10, 60), ({"A": draw.randrange(1, 4)},))
        )
    pool = [of_class(f"{place}{k}", "A", place) for place in "PQR" for k in range(36)]
    of = Evening.of(trips, pool, 10.0)
    cost = cost_of(of, assign(of).engines)
    assert cost[0] == 0
    assert cost[1] == _flow(of)
    assert cost[1] < cost[2], "no engine runs twice, so that nothing is tried"


def test_the_order_of_trips_and_engines_makes_no_difference() -> None:
    of = evening(7, trips=6, engines=6)
    trips = {trip.depart: trip for trip in of.trips}.values()  # trips that leave together may stand either way
    of = Evening.of(list(trips), of.engines, of.turn_minutes)
    turned = Evening.of(of.trips[::-1], of.engines[::-1], of.turn_minutes)
    assert len(of.trips) == 5
    assert assign(of).engines == assign(turned).engines


def test_equals_go_by_name_and_to_the_train_that_leaves_first() -> None:
    """Two engines for three trains that run at once, one of which could only have a class that nobody owns."""
    trips = [
        Trip("Late", "P", "Q", 610, 640, ({"A": 1}, {"B": 1})),
        Trip("Early", "P", "Q", 600, 640, ({"A": 1}, {"B": 1})),
        Trip("Middle", "P", "Q", 605, 640, ({"B": 1},)),
    ]
    of = Evening.of(trips, [of_class("9", "A", "P"), of_class("8", "A", "P")], 10.0)
    assert assign(of).engines == {"Early": ("8",), "Middle": (), "Late": ("9",)}


def test_an_engine_is_free_once_it_is_turned_and_past_midnight_too() -> None:
    there = Trip("There", "P", "Q", 1430, 1450, ({"A": 1},))
    pool = [of_class("1", "A", "P")]
    for depart, expected in ((1460, ("1",)), (1459, ())):
        of = Evening.of([there, Trip("Back", "Q", "P", depart, depart + 20, ({"A": 1},))], pool, 10.0)
        assert assign(of).engines == {"There": ("1",), "Back": expected}


def test_engines_used_come_before_engines_assigned() -> None:
    """Two of class A on both trips are two engines used; one of class B on the first would be three, though fewer
    are assigned in all. The first trip would rather have B, which is fewer engines for itself."""
    trips = [
        Trip("There", "P", "Q", 600, 640, ({"B": 1}, {"A": 2})),
        Trip("Back", "Q", "P", 700, 740, ({"A": 2},)),
    ]
    pool = [
        of_class("1", "A", "P"),
        of_class("2", "A", "P"),
        of_class("3", "A", "Q"),
        of_class("4", "A", "Q"),
    ]
    of = Evening.of(trips, [*pool, of_class("9", "B", "P")], 10.0)
    plan = assign(of).engines
    assert plan == {"There": ("1", "2"), "Back": ("1", "2")}
    assert cost_of(of, plan) == (0, 2, 4)
    assert cost_of(of, {"There": ("9",), "Back": ("3", "4")}) == (0, 3, 3)


def test_of_plans_with_as_many_engines_used_fewer_are_assigned() -> None:
    """The first trip needs two anyway; the second then goes with one of them, and not with both."""
    trips = [
        Trip("There", "P", "Q", 600, 640, ({"A": 2},)),
        Trip("Back", "Q", "P", 700, 740, ({"A": 2}, {"A": 1})),
    ]
    of = Evening.of(trips, [of_class("1", "A", "P"), of_class("2", "A", "P")], 10.0)
    assert cost_of(of, assign(of).engines) == (0, 2, 3)


def test_an_evening_without_trips() -> None:
    of = Evening.of([], [of_class("1", "A", "P")], 10.0)
    assert assign(of).engines == {}
