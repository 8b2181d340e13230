"""What reports draw of a train along its way, held against the plain model and the check itself."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import plain
import pytest
from builders import car, curve, engine, layout, line, plain_house, plain_pieces, plain_train, session, spot, straight
from builders import train as train_of
from numpy.lib.stride_tricks import sliding_window_view

import consist
from consist.evening.overview import Overview, TrainOverview, overview, train_overview
from consist.session import Session
from consist.trains import prepared

__all__: list[str] = []

SESSIONS = Path(__file__).parents[2] / "sample_sessions"
WHERE = layout(
    line("West, e", "Mill, w", straight(1200.0), curve(520.0, 70.0, easement_mm=120.0)),
    line("Mill, e", "East, w", curve(560.0, 80.0, "right", grade_percent=2.0), straight(900.0, 2.0)),
)
LOCAL = [
    spot(car("Stays 1", 90.0), 1, leaves=2),
    spot(car("Goes", 140.0), 2, leaves=1),
    spot(car("Comes", 60.0), 3, joins=1, leaves=2),
    spot(car("Stays 2", 40.0), 4, leaves=2),
]
STOPS = ("West", "Mill", "East")
GRID_MM = 5.0


def _seen(*cars: float, engines: int = 1, helpers: int = 0) -> tuple[Session, TrainOverview]:
    ahead = [engine(f"{k}") for k in range(engines)]
    behind = [engine(f"9{k}") for k in range(helpers)]
    standing = [spot(car(f"C{k}", grams), k + 1, leaves=2) for k, grams in enumerate(cars)]
    of = session(WHERE, train_of(WHERE, standing, ahead, behind, stops=STOPS), roster=[engine("50")])
    return of, train_overview(of, of.trains[0])


@pytest.fixture(scope="module")
def local() -> tuple[Session, TrainOverview]:
    of = session(WHERE, train_of(WHERE, LOCAL, [engine()], stops=STOPS))
    return of, train_overview(of, of.trains[0])


@pytest.fixture(scope="module")
def shelf() -> Overview:
    return overview(consist.load(SESSIONS / "sunday_shelf"))


def _plain_use(of: Session, cars: tuple[str, ...], heads: np.ndarray) -> dict[str, np.ndarray]:
    stock = plain_train([engine()], [row for row in LOCAL if row.car.name in cars])
    track = plain.Track(plain_pieces(of.trains[0].route.pieces))
    seen = [plain.figures(stock, track, plain_house(of), float(head)).use for head in heads]
    return {name: np.array([use[1 + k] for use in seen]) for k, name in enumerate(cars)}


def test_side_use_along_the_way_is_that_of_the_plain_model(local: tuple[Session, TrainOverview]) -> None:
    """On each leg, stretch by stretch: no less than the plain model sees there, and no more than it sees around."""
    of, seen = local
    step_mm = prepared(of, of.trains[0]).step_mm
    places = int(np.ceil(step_mm / GRID_MM)) + 1
    along, route = seen.along, of.trains[0].route
    rows = {row.car.name: k for k, row in enumerate(LOCAL)}
    compared = 0
    for number, leg in enumerate(seen.check.legs):
        start, finish = route.stops_mm[number : number + 2]
        heads = np.arange(start, finish, GRID_MM)
        for name, use in _plain_use(of, leg.cars, heads).items():
            for k, (low, high) in enumerate(zip(along.edges_mm[:-1], along.edges_mm[1:], strict=True)):
                inside = (heads >= low) & (heads < high)
                around = (heads >= low - 2.0 * GRID_MM) & (heads < high + 2.0 * GRID_MM)
                if low >= start and high <= finish and inside.sum() >= places:
                    # the run has a head in so many places of the grid one after another
                    surely = sliding_window_view(use[inside], places).min(axis=1).max()
                    drawn = along.use[rows[name], k]
                    assert drawn >= 0.99 * surely - 0.001
                    assert drawn <= 1.01 * use[around].max() + 0.001
                    compared += 1
    assert compared > 250


def test_each_car_comes_to_the_side_use_of_its_check(local: tuple[Session, TrainOverview], shelf: Overview) -> None:
    for seen in (local[1], *shelf.trains):
        most = np.nanmax(seen.along.use, axis=1)
        assert most.tolist() == [one.side_use for one in seen.check.cars]


def test_a_car_that_is_not_in_the_train_has_no_figure(local: tuple[Session, TrainOverview]) -> None:
    of, seen = local
    mill = of.trains[0].route.stops_mm[1]
    low, high = seen.along.edges_mm[:-1], seen.along.edges_mm[1:]
    missing = np.isnan(seen.along.use)
    assert not missing[[0, 3]].any()
    assert missing[1, low > mill].all()
    assert not missing[1, high < mill].any()
    assert missing[2, high < mill].all()
    assert not missing[2, low > mill].any()


def test_the_moment_is_that_of_the_worst_car_with_the_forces_of_the_plain_model() -> None:
    of, seen = _seen(30.0, 90.0, 120.0, helpers=1)
    moment, worst = seen.moment, seen.check.worst
    assert moment is not None
    assert worst is not None
    assert moment.head_mm == worst.head_mm
    assert moment.names == ("0", "C0", "C1", "C2", "90")
    assert moment.spots == (None, 1, 2, 3, None)
    train = of.trains[0]
    stock = plain_train([engine("0")], train.cars, [engine("90")])
    track = plain.Track(plain_pieces(train.route.pieces))
    there = plain.figures(stock, track, plain_house(of), moment.head_mm)
    assert moment.tension_g.tolist() == pytest.approx(there.tension, rel=1e-6, abs=1e-6)
    assert seen.check.peak_drawbar is not None
    assert float(moment.most_tension_g.max()) == seen.check.peak_drawbar.g
    assert moment.total_mm == pytest.approx(2 * 200.0 + 3 * 150.0)


def test_without_side_pull_the_moment_is_that_of_the_hardest_pull() -> None:
    where = layout(line("A, e", "B, w", straight(800.0), straight(900.0, 2.0)))
    one = train_of(where, [car("C1", 90.0), car("C2", 50.0)], [engine()], stops=("A", "B"))
    seen = train_overview(session(where, one), one)
    assert seen.check.worst is None
    assert seen.check.peak_drawbar is not None
    assert seen.moment is not None
    assert seen.moment.head_mm == seen.check.peak_drawbar.head_mm
    assert float(seen.moment.tension_g.max()) == pytest.approx(seen.check.peak_drawbar.g)


def test_an_engine_alone_has_no_moment() -> None:
    _, seen = _seen()
    assert seen.moment is None
    assert seen.along.use.shape[0] == 0


def test_engines_that_stand_in_are_told_apart() -> None:
    _, given = _seen(90.0)
    _, lent = _seen(90.0, engines=0)
    assert (given.stands_in, [one.name for one in given.engines]) == (False, ["0"])
    assert (lent.stands_in, [one.name for one in lent.engines]) == (True, ["50"])


def test_the_order_suggested_is_run_in_full(shelf: Overview) -> None:
    better = [seen for seen in shelf.trains if seen.after is not None]
    assert better
    for seen in better:
        assert seen.after is not None
        assert seen.check.suggestion is not None
        assert tuple(one.car.name for one in seen.after.train.cars) == seen.check.suggestion.order
        assert seen.check.suggestion.margin == pytest.approx(1.0 / max(seen.after.uses.values()))


def test_the_plan_of_least_change_changes_only_trains_that_are_short() -> None:
    """One train's engine does and stays, though a weaker one would do; the other's does not and is changed."""
    strong, weak, spare = (
        engine(name, pull_g=pull, engine_class=name) for name, pull in (("S", 300.0), ("W", 3.0), ("P", 200.0))
    )
    light = train_of(WHERE, [car("L", 40.0)], [strong], name="Light", stops=STOPS, times=(60, 90))
    heavy = train_of(WHERE, [car("H", 900.0)], [weak], name="Heavy", stops=STOPS, times=(60, 90))
    seen = overview(session(WHERE, light, heavy, roster=[spare]))
    plan = seen.least_change
    assert plan is not None
    assert plan.engines == {"Light": ("S",), "Heavy": ("P",)}
    assert [one.given for one in plan.trains] == [("S",), ("W",)]
    assert seen.power_to_make is plan


def test_where_one_train_would_be_left_short_there_is_no_plan_of_least_change() -> None:
    weak = engine("W", pull_g=3.0)
    heavy = train_of(WHERE, [car("H", 900.0)], [weak], name="Heavy", stops=STOPS, times=(60, 90))
    seen = overview(session(WHERE, heavy))
    assert seen.least_change is None
    assert seen.power_to_make is seen.power


def test_the_check_is_the_check(shelf: Overview) -> None:
    assert shelf.check == consist.check(shelf.session)


def test_progress_is_told_of_every_train_the_engines_and_the_bench(shelf: Overview) -> None:
    told: list[tuple[str, int, int]] = []
    bare = replace(shelf.session, trains=shelf.session.trains[:1], cars={})
    overview(bare, progress=lambda name, number, count: told.append((name, number, count)))
    assert [name for name, _, _ in told] == [bare.trains[0].name, "the engines", "the bench"]
    assert [(number, count) for _, number, count in told] == [(0, 3), (1, 3), (2, 3)]


def test_what_a_session_does_not_have_is_none(shelf: Overview) -> None:
    assert shelf.door is None
    assert shelf.power is not None
    assert shelf.bench is not None
    none = overview(replace(shelf.session, trains=(), cars={}, engines={}))
    assert (none.trains, none.power, none.bench, none.door) == ((), None, None, None)
