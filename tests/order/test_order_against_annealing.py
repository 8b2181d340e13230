"""Orders of long trains thoroughly mixed, against annealing on the full model; the benchmark has the long version."""

from __future__ import annotations

import random

import pytest
from annealed_orders import Annealing
from builders import car, curve, engine, spot, straight, world
from unhurried import plan_unhurried

from consist.order import yard_of
from consist.trains import Prepared

__all__: list[str] = []

TRACK = (
    straight(300.0),
    curve(610.0, 100.0, easement_mm=120.0),
    straight(200.0, 1.5),
    curve(760.0, 60.0, "right", grade_percent=1.0),
    straight(2000.0, 0.5),
)
WITHIN = 0.02
TRIALS = 2500
"""Of annealing: a few seconds."""


def mixed(count: int, seed: int, block: int | None) -> Prepared:
    """Cars in no order, in blocks of so many where there are blocks."""
    rng = random.Random(seed)
    cars = [
        spot(
            car(f"C{k}", rng.uniform(20.0, 200.0), rng.uniform(100.0, 280.0)),
            k + 1,
            block=None if block is None else f"Block {k // block}",
        )
        for k in range(count)
    ]
    return world(TRACK, cars, [engine(pull_g=600.0)]).prepared


@pytest.mark.parametrize(
    ("count", "seed", "block", "free"),
    [
        pytest.param(30, 1, None, False, id="no blocks"),
        pytest.param(30, 2, 8, False, id="kept blocks"),
        pytest.param(30, 3, 6, True, id="free blocks"),
    ],
)
def test_a_plan_is_as_good_as_seconds_of_annealing(count: int, seed: int, block: int | None, free: bool) -> None:
    of = mixed(count, seed, block)
    plan = plan_unhurried(of, seconds=1.0, free_blocks=free)
    annealing = Annealing(of, yard_of("T", of.train.cars, free_blocks=free))
    annealing.run(seed, trials=TRIALS)
    assert annealing.use < 0.8 * plan.now.side_use
    assert plan.best.side_use <= annealing.use * (1.0 + WITHIN)
    assert plan.bound <= annealing.use
