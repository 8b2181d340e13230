"""What logs teach: of railroads with nothing wrong, with a bad joint, with a bad car, and of few runs."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from made_up_railroads import Railroad

from consist.intake import LoggedRun, StretchUses
from consist.learning.lessons import _came_off, _ridden, learned

__all__: list[str] = []


def test_a_log_of_a_perfect_railroad_teaches_nothing_that_is_not_there() -> None:
    """Half of them run as the model says, and the other half never lose a car."""
    told = 0
    for seed in range(8):
        even = Railroad(scatter=0.25).runs(150, np.random.default_rng(seed))
        never = [replace(run, what="clean", car="", at=()) for run in even]
        for runs in (even, never):
            found = learned(runs)
            told += sum(one.worse for one in (*found.track, *found.cars))
        assert found.off == 0
        assert (found.track, found.cars) == ((), ())
        assert found.margins.care[2] < 2.0
    # one railroad in twenty may seem to have something wrong with it by chance
    assert told <= 1


def test_a_bad_joint_and_a_bad_car_are_both_found_and_told_apart() -> None:
    of = Railroad(scatter=0.3, track={2: 0.8}, cars={7: 0.9})
    found = learned(of.runs(400, np.random.default_rng(3)))
    assert [one.name for one in found.track if one.worse] == ["C to D"]
    assert [one.name for one in found.cars if one.worse] == ["C 7"]
    assert found.track[0].name == "C to D"
    assert found.track[0].shift[0] > 0.2
    assert found.track[0].off > 2.0 * found.track[0].expected
    assert found.cars[0].off > 2.0 * found.cars[0].expected


def test_how_far_a_railroad_is_off_the_model_is_told() -> None:
    found = learned(Railroad(bias=0.4, scatter=0.2).runs(400, np.random.default_rng(5)))
    assert found.bias[0] <= 0.4 <= found.bias[2]
    care = np.exp(0.4 + 2.326 * 0.2)
    assert found.margins.care[0] <= care <= found.margins.care[2]
    assert found.margins.hold[1] < found.margins.care[1]
    assert found.enough
    assert found.runs_wanted == 0


def test_few_runs_say_that_little_is_known_and_more_runs_need_fewer_more() -> None:
    runs = Railroad(scatter=0.3).runs(600, np.random.default_rng(1))
    few, many = learned(runs[:12]), learned(runs)
    assert not few.enough
    assert few.runs_wanted is not None
    assert few.runs_wanted > 0
    assert many.enough
    # what was said holds about: within a factor of three
    assert learned(runs[: 12 + 3 * few.runs_wanted]).enough
    assert not learned(runs[: 12 + few.runs_wanted // 3]).enough


def test_chances_fall_as_margins_grow_and_hold_their_middles() -> None:
    found = learned(Railroad(scatter=0.3).runs(80, np.random.default_rng(2)))
    middles = [chance for _, (_, chance, _) in found.chances]
    assert middles == sorted(middles, reverse=True)
    assert all(0.0 <= low <= middle <= high <= 1.0 for _, (low, middle, high) in found.chances)


def test_an_engine_that_pulls_less_than_its_table_says() -> None:
    found = learned(Railroad(bias=-2.0, scatter=0.2, engine=0.35).runs(500, np.random.default_rng(4)))
    (one,) = found.engines
    assert one.pulls[0] < np.exp(-0.35) < one.pulls[2]
    assert one.stalled > one.expected


RUN = LoggedRun(
    "", "T", "off", "Y", ("B",), model=1, power_use=0.5, engines=("1",), cars=(("X", 80.0), ("Y", 90.0)),
    uses=(
        StretchUses("A", "B", (0.1, 0.3)), StretchUses("B", "C", (0.2, 0.5)), StretchUses("C", "D", (0.3, None)),
    ),
)  # fmt: skip


@pytest.mark.parametrize(
    ("at", "car", "expected"),
    [
        (("B",), "Y", (1, 1)),
        (("A", "B"), "Y", (0, 1)),
        (("B", "A"), "X", (0, 0)),
        (("C", "D"), "Y", None),
        (("Z",), "Y", None),
        (("B",), "Z", None),
    ],
)
def test_where_a_car_came_off_is_the_stretch_noted_or_the_harder_of_two(
    at: tuple[str, ...], car: str, expected: tuple[int, int] | None
) -> None:
    assert _came_off(replace(RUN, at=at, car=car), ["X", "Y"]) == expected


@pytest.mark.parametrize(
    ("what", "at", "count"),
    [
        ("clean", (), 3), ("off", ("B",), 2), ("off", ("A", "B"), 1), ("off", (), 0),
        ("stalled", ("C", "D"), 2), ("stalled", (), 0), ("parted", ("A", "B"), 0),
    ],
)  # fmt: skip
def test_of_a_run_that_did_not_come_through_only_what_lies_behind_it_counts(
    what: str, at: tuple[str, ...], count: int
) -> None:
    run = replace(RUN, what=what, at=at)  # type: ignore[arg-type]
    assert len(_ridden(run, _came_off(run, ["X", "Y"]) if at else None)) == count


def test_a_stretch_counts_alike_whichever_way_it_is_run() -> None:
    back = replace(RUN, at=("C", "B"), uses=tuple(StretchUses(u.finish, u.start, u.uses) for u in RUN.uses))
    found = learned([RUN, replace(RUN, at=("B", "C")), back, *[replace(RUN, what="clean", car="", at=())] * 20])
    assert Counter({one.name: one.off for one in found.track}) == {"B to C": 3}


def test_a_railroad_where_much_comes_off_is_learned_as_it_is() -> None:
    """Half of the runs and more lose a car, several often two, and the first alone is noted."""
    runs = Railroad(bias=0.5, scatter=0.4).runs(300, np.random.default_rng(8))
    found = learned(runs)
    assert found.off > 150
    care = np.exp(0.5 + 2.326 * 0.4)
    assert found.margins.care[0] <= care <= found.margins.care[2]
    assert found.margins.hold[0] <= np.exp(0.5 + 1.2816 * 0.4) <= found.margins.hold[2]
