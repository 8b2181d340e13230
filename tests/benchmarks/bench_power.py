"""How long it takes to plan the power of thirty trains from twenty engines. Prints, never asserts.

Run it as `python tests/benchmarks/bench_power.py`.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path
from random import Random

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parents[2])]

# the path has to be set before the package and the tests' own helpers are found
from builders import car, curve, engine, layout, line, session, spot, straight, train  # noqa: E402

from consist.power.plan import plan_power  # noqa: E402
from consist.session import Session, Train  # noqa: E402

__all__ = ["main"]

TRAINS, ENGINES, CARS = 30, 20, 25
TARGET_SECONDS = 10.0
SEEDS = (1, 2, 3)
PLACES = ("Yard", "Junction", "Summit", "Harbor", "Quarry")
SHIFT_MINUTES = 600


def _session(seed: int) -> Session:
    """Trains of some 25 cars all evening over five places and two hills, from engines of four classes."""
    draw = Random(seed)
    where = layout(
        line("Yard, e", "Junction, w", straight(4000.0), curve(760.0, 90.0, easement_mm=200.0), straight(3000.0)),
        line("Junction, e", "Summit, w", straight(2000.0), curve(700.0, 540.0, grade_percent=2.2), straight(2000.0)),
        line("Junction, s", "Quarry, n", straight(3000.0, 1.5), curve(610.0, 120.0, grade_percent=2.0)),
        line("Harbor, e", "Yard, w", straight(3000.0), curve(650.0, 75.0), straight(4000.0, 0.8)),
    )
    kinds = {"Big": (560.0, 135.0), "Mixed": (430.0, 100.0), "Small": (340.0, 78.0), "Yard goat": (230.0, 52.0)}
    roster = [
        replace(engine(f"{k:02}", weight, pull, engine_class=name, truck_centers_mm=130.0), home=draw.choice(PLACES))
        for k, (name, (weight, pull)) in zip(range(ENGINES), list(kinds.items()) * ENGINES, strict=False)
    ]
    trains: list[Train] = []
    for k in range(TRAINS):
        start, finish = draw.choice([(a, b) for a in PLACES for b in PLACES if a != b])
        depart = draw.randrange(SHIFT_MINUTES)
        cars = [
            spot(car(f"C{k}-{n}", 80.0 + 10.0 * draw.randrange(8), 130.0 + 10.0 * draw.randrange(6)), n + 1)
            for n in range(draw.randrange(CARS - 15, CARS + 5))
        ]
        times = (depart, depart + draw.randrange(20, 60))
        trains.append(train(where, cars, name=f"Train {k + 1}", stops=(start, finish), times=times))
    return session(where, *trains, roster=roster)


def main() -> None:
    """Print the figures of a few evenings."""
    print(f"{TRAINS} trains, {ENGINES} engines of four classes (target {TARGET_SECONDS:.0f} s, proven):")
    for seed in SEEDS:
        of = _session(seed)
        started = time.perf_counter()
        plan = plan_power(of)
        taken = time.perf_counter() - started
        combos = sum(len(one.combos) for one in plan.trains)
        print(
            f"  evening {seed}  {taken:6.2f} s, {'proven' if plan.proven else 'not proven'}; {combos} combinations, "
            f"{plan.engines_used} engines used, {plan.engines_assigned} assigned, {len(plan.short)} trains short"
        )


if __name__ == "__main__":
    main()
