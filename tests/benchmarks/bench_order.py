"""What planning an order takes and how good it is, on the HO sample layout. Prints times and ratios; asserts nothing.

Seconds are the processor's own, so that what else the machine does counts for nothing. Run it as
`python tests/benchmarks/bench_order.py [SECONDS OF ANNEALING] [SEEDS]`.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import islice
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from annealed_orders import Annealing
from unhurried import plan_by_clock

from consist.order import OrderPlan, Planner, yard_of
from consist.order.budget import Budget, looks_in
from consist.order.yard import every_order
from consist.session import Session, Train, load
from consist.trains import Orders, Prepared, prepared

__all__ = ["main"]

SAMPLE = Path(__file__).resolve().parents[2] / "sample_sessions" / "club_night"
TRAIN = "Fast Freight 15"
PROOF_SECONDS, PLAN_SECONDS, ANNEALING_SECONDS, WITHIN = 0.5, 2.0, 60.0, 0.01
SEEDS = 6
SIZES = (30, 35, 40)
BLOCK = 7
"""Cars in a block, where there are blocks."""


def train_of(session: Session, number: int, seed: int, *, block: int | None = None) -> Train:
    """A train of so many cars drawn from the whole roster, in no order at all, over the sample's hill."""
    pool = [car for train in session.trains for car in train.cars]
    drawn = random.Random(seed).sample(pool, number)
    model = next(train for train in session.trains if train.name == TRAIN)
    last = len(model.route.stops) - 1
    cars = tuple(
        replace(
            car, spot=k + 1, block=None if block is None else f"Block {k // block}", hold=None, joins=0, leaves=last
        )
        for k, car in enumerate(drawn)
    )
    return replace(model, cars=cars)


def seconds(work: Callable[[], object], repeats: int = 5) -> float:
    """The median time of some repeats, after one that fills tables and caches."""
    work()
    taken = []
    for _ in range(repeats):
        started = time.process_time()
        work()
        taken.append(time.process_time() - started)
    return statistics.median(taken)


def _seven(session: Session) -> None:
    for seed in range(3):
        of = prepared(session, train_of(session, 7, seed))
        started = time.process_time()
        found = Planner(of, yard_of("T", of.train.cars)).best(Budget(float("inf")), seed=1)
        taken = time.process_time() - started
        print(f"7 cars: proven {found.proven} in {taken:.2f} s (wanted {PROOF_SECONDS:g} s)")


def _against_annealing(session: Session, annealing_seconds: float, seeds: int) -> None:
    print(
        f"plan in {PLAN_SECONDS:g} s against {annealing_seconds:g} s of annealing (wanted within {100 * WITHIN:g} %)"
    )
    for block, free in ((None, False), (BLOCK, False), (BLOCK, True)):
        over = []
        for seed in range(seeds):
            of = prepared(session, train_of(session, SIZES[seed % len(SIZES)], seed, block=block))
            plan, taken = _planned(of, free)
            annealing = Annealing(of, yard_of(of.train.name, of.train.cars, free_blocks=free))
            annealing.run(seed, seconds=annealing_seconds, clock=time.process_time)
            over.append(plan.best.side_use / annealing.use - 1.0)
            kind = "no" if block is None else "free" if free else "kept"
            cut_off = ", ended by the clock" if plan.interrupted else ""
            print(
                f"  {len(of.train.cars)} cars, {kind} blocks, seed {seed}: {plan.now.side_use:.4f} to "
                f"{plan.best.side_use:.4f} in {taken:.1f} s{cut_off}, bound {plan.bound:.4f} "
                f"({100 * plan.gap:.1f} % below), {len(plan.frontier)} steps; annealed {annealing.use:.4f} by "
                f"{annealing.trials} trials: {100 * over[-1]:+.2f} %",
                flush=True,
            )
        print(f"  mean {100 * statistics.mean(over):+.2f} %, worst {100 * max(over):+.2f} %")


def _planned(of: Prepared, free: bool) -> tuple[OrderPlan, float]:
    of.run()
    started = time.process_time()
    plan = plan_by_clock(of, time.process_time, seconds=PLAN_SECONDS, free_blocks=free)
    return plan, time.process_time() - started


def _trials(session: Session) -> None:
    of = prepared(session, train_of(session, 40, 5))
    given = tuple(range(40))
    full = seconds(lambda: Orders(of).trip(given))
    orders = Orders(of)
    orders.trip(given)
    yard = yard_of(of.train.name, of.train.cars)
    batch = np.concatenate([*islice(every_order(yard, orders.kinds), 1)])[:400]
    many = seconds(lambda: orders.at_places(batch)) / len(batch)
    looks = looks_in(1.0) * many / (40 * orders.places)
    print(f"one order of 40 cars: {1e6 * many:.0f} us at {orders.places} places, {1000 * full:.0f} ms in full")
    print(f"  a second's looks take {looks:.2f} s")


def main() -> None:
    """Print the figures."""
    session = load(SAMPLE)
    _seven(session)
    _trials(session)
    given = sys.argv[1:]
    annealing_seconds = float(given[0]) if given else ANNEALING_SECONDS
    _against_annealing(session, annealing_seconds, int(given[1]) if len(given) > 1 else SEEDS)


if __name__ == "__main__":
    main()
