"""What planning an order costs, on the HO sample layout. Prints times and ratios; asserts nothing.

Run it as `python tests/benchmarks/bench_order.py`.
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from consist.order import Planner, plan_order, yard_of
from consist.order.budget import Budget
from consist.session import Session, Train, load
from consist.trains import Orders, prepared

__all__ = ["main"]

SAMPLE = Path(__file__).resolve().parents[2] / "sample_sessions" / "club_night"
TRAIN = "Fast Freight 15"
PROOF_SECONDS, FORTY_SECONDS, WITHIN, CHEAPER = 3.0, 5.0, 0.02, 10.0
LONG_TRIALS = 4000.0
RESTARTS = 4
BATCH = 400


def train_of(session: Session, number: int, seed: int) -> Train:
    """A train of so many cars drawn from the whole roster, in no order at all, over the sample's hill."""
    pool = [car for train in session.trains for car in train.cars]
    drawn = random.Random(seed).sample(pool, number)
    model = next(train for train in session.trains if train.name == TRAIN)
    last = len(model.route.stops) - 1
    cars = tuple(replace(car, spot=k + 1, block=None, hold=None, joins=0, leaves=last) for k, car in enumerate(drawn))
    return replace(model, cars=cars)


def seconds(work: Callable[[], object], repeats: int = 5) -> float:
    """The median time of some repeats, after one that fills tables and caches."""
    work()
    taken = []
    for _ in range(repeats):
        started = time.perf_counter()
        work()
        taken.append(time.perf_counter() - started)
    return statistics.median(taken)


def _planner(session: Session, train: Train) -> Planner:
    return Planner(prepared(session, train), yard_of(train.name, train.cars))


def _seven(session: Session) -> None:
    for seed in range(3):
        planner = _planner(session, train_of(session, 7, seed))
        started = time.perf_counter()
        found = planner.best(Budget(float("inf")), seed=1)
        taken = time.perf_counter() - started
        print(f"7 cars: proven {found.complete} in {taken:.2f} s (target {PROOF_SECONDS:g} s)")


def _forty(session: Session) -> None:
    train = train_of(session, 40, 5)
    started = time.perf_counter()
    plan = plan_order(prepared(session, train), seconds=FORTY_SECONDS)
    taken = time.perf_counter() - started
    planner = _planner(session, train)
    long = min(planner.best(Budget(LONG_TRIALS), seed).use for seed in range(2, 2 + RESTARTS))
    over = plan.best.side_use / long - 1.0
    print(f"40 cars: worst use {plan.now.side_use:.4f} as drawn, {plan.best.side_use:.4f} after {taken:.1f} s")
    print(f"  {100 * over:.1f} % over the best of {RESTARTS} long searches from other seeds, {long:.4f}")
    print(f"  (targets {FORTY_SECONDS:g} s and {100 * WITHIN:g} %)")


def _changed_orders(session: Session) -> None:
    train = train_of(session, 40, 5)
    known = prepared(session, train)
    orders = Orders(known)
    orders.in_full(range(orders.cars))
    chance = random.Random(1)
    batch = np.array([chance.sample(range(orders.cars), orders.cars) for _ in range(BATCH)], dtype=np.intp)
    changed = seconds(lambda: orders.at_places(batch)) / BATCH
    again = seconds(lambda: known.run())
    print(f"one order of 40 cars in a batch of {BATCH}: {1e6 * changed:.0f} microseconds, a full run {again:.2f} s")
    print(f"  a full run over one order at few places: {again / changed:,.0f} to 1 (target {CHEAPER:g} to 1)")


def main() -> None:
    """Print the figures."""
    session = load(SAMPLE)
    _seven(session)
    _forty(session)
    _changed_orders(session)


if __name__ == "__main__":
    main()
