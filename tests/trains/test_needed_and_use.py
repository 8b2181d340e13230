"""The engines needed and the use of engines are one definition: they never contradict each other near the limit.

Weight and pull of an engine, grown or shrunk alike, change the share that it gives by just that factor, since what
the cars take does not depend on it. So a train is brought as near to the limit as one likes.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import car, case, curve, engine, session, straight, train, world
from many_sessions import random_session

from consist.evening import check
from consist.mechanics import MOVES
from consist.power.train_pull import TrainPull
from consist.rules.whole_trains import power_short
from consist.session import Session, Train
from consist.stock import Engine
from consist.trains import MOST_ENGINES, prepared

__all__: list[str] = []

OVER = [sign * by for by in (1e-6, 1e-4, 1e-2) for sign in (1.0, -1.0)]
"""By how much the greatest share is brought over 1, or under it."""
ROUNDS = 3
"""Where a run looks for a peak depends on how hard engines work, so the first factor may be off by a little."""
SESSIONS = (3, 7, 12, 31, 132)


def _with(of: Session, one: Train, unit: Engine, number: int) -> tuple[Session, Train]:
    """The session's train behind so many engines of one class, the only one in the roster."""
    train = replace(one, engines=(unit,) * number, helpers=())
    return replace(of, engines={unit.name: unit}, trains=(train,)), train


def _worst(of: Session, one: Train) -> float:
    trip = prepared(of, one).run()
    return max(trip.power_use, trip.hold_use)


def _at(over: float, of: Session, one: Train, number: int) -> Engine:
    """An engine of which so many are asked for 1 + `over` of what they can."""
    factor = of.layout.scale.by_ratio(1.0)
    unit = engine("1", 200.0 * factor**2, 60.0 * factor**2, 140.0 * factor)
    for _ in range(ROUNDS):
        size = _worst(*_with(of, one, unit, number)) / (1.0 + over)
        unit = replace(unit, weight_g=size * unit.weight_g, pull_g=size * unit.pull_g)
    return unit


def _hold_together(of: Session, one: Train, number: int, over: float) -> None:
    unit = _at(over, of, one, number)
    behind = _with(of, one, unit, number)
    use = _worst(*behind)
    assert use == pytest.approx(1.0 + over, rel=1e-9)
    moved = use <= MOVES
    assert moved is (over < 0.0)
    uses = {count: _worst(*_with(of, one, unit, count)) for count in range(1, number + 1)}
    needed = prepared(*behind).needed["A"]
    if moved:
        assert needed == next(count for count, each in uses.items() if each <= MOVES)
    else:
        assert needed is None or needed > number or uses[needed] <= MOVES
        assert needed != number
    # every room that asks tells the same
    pull = TrainPull(prepared(*behind))
    assert pull.worst((unit,) * number).moves is moved
    assert (pull.moved_by((unit,) * number) is not None) is moved
    found = power_short(case(*behind))
    assert bool(found) is not moved
    if found and needed is not None:
        assert f"{needed} A" in found[0].say


@pytest.mark.parametrize("seed", SESSIONS)
def test_needed_is_as_many_as_are_asked_for_no_more_than_they_have(seed: int) -> None:
    drawn = random_session(seed)
    for k, over in enumerate(OVER):
        _hold_together(drawn.session, drawn.train, 1 + (seed + k) % 3, over)


@pytest.mark.parametrize("over", OVER)
@pytest.mark.parametrize("grade_percent", [2.0, -4.0])
@pytest.mark.parametrize("number", [1, 2, 4])
def test_on_an_even_grade_it_is_the_number_itself(over: float, grade_percent: float, number: int) -> None:
    """There one engine less has not enough: it would be asked for n/(n − 1) of the share."""
    of = world([straight(600.0), curve(600.0, 300.0, grade_percent=grade_percent)], [car(f"C{k}") for k in range(8)])
    unit = _at(over, of.session, of.train, number)
    behind = _with(of.session, of.train, unit, number)
    assert prepared(*behind).needed["A"] == (number if over < 0.0 else number + 1)
    one = check(behind[0]).trains[0]
    assert one.power.needed == (number if over < 0.0 else number + 1)
    assert (max(one.power.use or 0.0, one.power.hold_use or 0.0) <= MOVES) is (over < 0.0)
    assert any(found.code == "power-short" for found in one.findings) is (over > 0.0)


def test_most_are_looked_at_and_no_more() -> None:
    """Eight cars of 100 g on the level take 11.2 g: of engines with a twelfth of it twelve are needed."""
    of = world([straight(3000.0)], [car(f"C{k}") for k in range(8)])
    for share, needed in ((1.0, MOST_ENGINES), (1.0 - 1e-6, None)):
        unit = engine("1", 100.0, share * 11.2 / MOST_ENGINES / 0.85, 60.0)
        one = train(of.session.layout, [car(f"C{k}") for k in range(8)], [unit])
        assert prepared(session(of.session.layout, one), one).needed == {"A": needed}
