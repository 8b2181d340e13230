"""Trains run in full against the plain model: no peak missed by half a per cent, none told that is not there.

`tests/benchmarks/bench_accuracy.py` does the same for hundreds of sessions, the plain model looking at every
millimetre, and prints the worst difference.
"""

from __future__ import annotations

import numpy as np
from against_plain import FIGURES, Difference, differences
from each_millimetre import each_millimetre_of
from many_sessions import random_session

from consist.trains import prepared

__all__: list[str] = []

SHARE = 0.005
SEEDS = range(24)
STEP_MM = 8.0
"""The plain model looks at every joint under every truck besides, where the sharpest peaks are."""
MORE_SEEDS = range(1000, 1080)
LEAST_USE, LEAST_G = 1e-4, 1e-3


def test_every_peak_of_random_sessions_is_that_of_the_plain_model(record_property: object) -> None:
    worst: dict[str, Difference] = {}
    for seed in SEEDS:
        for one in differences(random_session(seed), STEP_MM):
            worst[one.figure] = max(one, worst.get(one.figure, one))
    assert set(worst) == set(FIGURES)
    for name, one in worst.items():
        record_property(name, one.share)  # type: ignore[operator]
        print(f"{name}: {100.0 * one.share:.4f} % at worst, in session {one.seed}")
    assert max(one.share for one in worst.values()) <= SHARE, worst


def test_no_peak_of_many_random_sessions_is_missed() -> None:
    """The package's evaluator at every millimetre and joint in the plain model's place, so that many can be run."""
    worst = 0.0
    for seed in MORE_SEEDS:
        drawn = random_session(seed)
        of = prepared(drawn.session, drawn.train)
        for leg in of.run().legs:
            expected = each_millimetre_of(leg.vehicles, of.tables, leg.limits, leg.from_mm, leg.to_mm)
            for name, least in (
                ("use", LEAST_USE),
                ("tension", LEAST_G),
                ("buff", LEAST_G),
                ("power_use", LEAST_USE),
                ("hold_use", LEAST_USE),
            ):
                found = np.maximum(getattr(leg.peaks, name).value, 0.0)
                want = np.maximum(getattr(expected, name), 0.0)
                bounded = np.isfinite(want)
                assert np.array_equal(np.isinf(found), ~bounded), (seed, name)
                missing = (want[bounded] - found[bounded]) / np.maximum(want[bounded], least)
                worst = max(worst, float(missing.max(initial=0.0)))
                assert worst <= SHARE, (seed, name)
    print(f"{100.0 * worst:.4f} % at worst")
