"""A session's power planned: who gets what, what is kept, what is noted."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import SAMPLES, car, engine, layout, line, session, spot, straight, train

import consist
from consist.errors import InputError
from consist.house import House
from consist.power import PowerPlan
from consist.power.plan import plan_power
from consist.session import Session, Train
from consist.stock import Engine

__all__: list[str] = []

LINE = layout(
    line("West, e", "Mid, w", straight(3000.0)),
    line("Mid, e", "East, w", straight(3000.0, 2.0)),
)


def _engine(name: str, home: str, pull_g: float = 60.0, name_of_class: str = "A") -> Engine:
    return replace(engine(name, 300.0, pull_g, engine_class=name_of_class), home=home)


def _train(name: str, stops: str, times: tuple[int, int] | None, cars: int = 5, *given: Engine) -> Train:
    """Cars of 100 g: 1.4 g each on the level, 3.4 g on the grade. An engine of 60 g has 51 g, and 45 g there."""
    places = [{"W": "West", "M": "Mid", "E": "East"}[place] for place in stops]
    standing = [spot(car(f"{name}{k}"), k + 1, leaves=len(places) - 1) for k in range(cars)]
    return train(LINE, standing, given, name=name, stops=places, times=times)


def _check(of: Session, plan: PowerPlan) -> None:
    """Every engine followed through its turns: in the place, free and turned each time."""
    for name, turns in plan.turns.items():
        place, ready = of.engines[name].home, float("-inf")
        for turn in turns:
            if turn.depart is None or turn.arrive is None:
                continue
            assert place in ("", turn.start)
            assert ready <= turn.depart
            place, ready = turn.finish, turn.arrive + of.house.turn_minutes
            assert name in plan.engines[turn.train]


def test_one_engine_runs_there_and_back() -> None:
    trains = [_train("Up", "WME", (600, 640)), _train("Down", "EMW", (650, 690))]
    of = session(LINE, *trains, roster=[_engine("1", "West"), _engine("2", "East")])
    plan = plan_power(of)
    assert plan.engines == {"Up": ("1",), "Down": ("1",)}
    assert (plan.engines_used, plan.engines_assigned, plan.short, plan.proven) == (1, 2, (), True)
    assert [(turn.train, turn.depart, turn.start) for turn in plan.turns["1"]] == [
        ("Up", 600, "West"),
        ("Down", 650, "East"),
    ]
    assert plan.turns["2"] == ()
    _check(of, plan)


def test_turn_minutes_of_the_house_count() -> None:
    trains = [_train("Up", "WME", (600, 640)), _train("Down", "EMW", (650, 690))]
    roster = [_engine("1", "West"), _engine("2", "East")]
    plan = plan_power(session(LINE, *trains, roster=roster, house=House(turn_minutes=11.0)))
    assert plan.engines == {"Up": ("1",), "Down": ("2",)}


def test_use_and_tightest_are_of_the_engines_assigned() -> None:
    plan = plan_power(session(LINE, _train("Up", "WME", (600, 640)), roster=[_engine("1", "West")]))
    (found,) = plan.trains
    assert found.use == pytest.approx(17.0 / 45.0)
    assert found.tightest is not None
    assert found.tightest.place == "between Mid and East"
    assert (found.start, found.finish, found.depart, found.arrive) == ("West", "East", 600, 640)


def test_a_train_without_times_takes_an_idle_engine_at_home_there() -> None:
    trains = [_train("Up", "WME", (600, 640)), _train("Extra", "WM", None), _train("Stray", "MW", None)]
    of = session(LINE, *trains, roster=[_engine("1", "West"), _engine("2", "West"), _engine("3", "East")])
    plan = plan_power(of)
    assert plan.engines == {"Up": ("1",), "Extra": ("2",), "Stray": ()}
    assert plan.short == ("Stray",)
    assert any("Extra and Stray without times are planned each alone" in note for note in plan.notes)


def test_a_train_without_times_may_share_an_engine_where_there_is_no_other() -> None:
    trains = [_train("Up", "WME", (600, 640)), _train("Extra", "WM", None)]
    plan = plan_power(session(LINE, *trains, roster=[_engine("1", "West")]))
    assert plan.engines == {"Up": ("1",), "Extra": ("1",)}


def test_an_engine_without_a_home_is_wherever_it_is_wanted_and_a_note_says_so() -> None:
    plan = plan_power(session(LINE, _train("Down", "EMW", (600, 640)), roster=[_engine("1", "")]))
    assert plan.engines == {"Down": ("1",)}
    assert any(note.startswith("Engine 1 without a home") for note in plan.notes)


def test_given_engines_are_compared_unless_they_are_to_be_kept() -> None:
    two = (_engine("1", "West"), _engine("2", "West"))
    of = session(LINE, _train("Up", "WME", (600, 640), 5, *two), roster=[])
    free, kept = plan_power(of), plan_power(of, keep_given=True)
    assert (free.engines, kept.engines) == ({"Up": ("1",)}, {"Up": ("1", "2")})
    assert free.trains[0].given == ("1", "2")
    assert free.trains[0].given_use == pytest.approx(17.0 / 90.0)


def test_an_engine_kept_by_one_train_serves_another_in_between() -> None:
    one = _engine("1", "West")
    trains = [
        _train("Up", "WME", (600, 640), 5, one),
        _train("Down", "EMW", (700, 740)),
        _train("Again", "WME", (800, 840), 5, one),
    ]
    of = session(LINE, *trains)
    plan = plan_power(of, keep_given=True)
    assert plan.engines == {"Up": ("1",), "Down": ("1",), "Again": ("1",)}
    _check(of, plan)


def test_one_engine_in_two_trains_at_once_is_a_note_and_cannot_be_kept() -> None:
    one = _engine("1", "West")
    trains = [_train("Up", "WME", (600, 640), 5, one), _train("Short", "WM", (645, 660), 5, one)]
    of = session(LINE, *trains, roster=[_engine("2", "West")])
    assert any("'Short'" in note and "'1'" in note for note in plan_power(of).notes)
    with pytest.raises(InputError) as caught:
        plan_power(of, keep_given=True)
    (problem,) = caught.value.problems
    assert (problem.file, problem.place) == ("session.toml", "train 'Short', engines")
    assert all(word in problem.text for word in ("'1'", "'Up'", "10:00", "10:40", "10:45", "another engine"))


def test_a_kept_engine_that_stands_elsewhere_is_told_with_its_cure() -> None:
    of = session(LINE, _train("Up", "WME", (600, 640), 5, _engine("1", "East")))
    with pytest.raises(InputError) as caught:
        plan_power(of, keep_given=True)
    (problem,) = caught.value.problems
    assert (problem.file, problem.place) == ("session.toml", "train 'Up', engines")
    assert all(word in problem.text for word in ("'1'", "at East", "at 10:00", "at West", "mend its home"))


def test_a_kept_helper_joins_where_it_waits() -> None:
    up = replace(_train("Up", "WME", (600, 640), 16, _engine("1", "West")), helpers=(_engine("2", "Mid"),))
    down = _train("Down", "EMW", (700, 740))
    of = session(LINE, up, down)
    plan = plan_power(of, keep_given=True)
    # 1600 g x 3.4 % = 54.4 g: more than one engine has on the grade
    assert plan.engines["Up"] == ("1", "2")
    assert plan.short == ()
    assert len(plan.engines["Down"]) == 1


@pytest.mark.parametrize(
    ("measured", "cars", "expected"),
    [(False, 12, ("1",)), (False, 5, ()), (True, 12, ())],
)
def test_worth_measuring_are_those_that_a_fifth_less_leaves_short(
    measured: bool, cars: int, expected: tuple[str, ...]
) -> None:
    """With 48 g of pull there are 40.8 - 6 = 34.8 g on the grade; twelve cars take 40.8 g of 45 g, five 17 g."""
    one = replace(_engine("1", "West"), measured=measured)
    of = session(LINE, _train("Up", "WME", (600, 640), cars), roster=[one])
    plan = plan_power(of)
    assert plan.engines == {"Up": ("1",)}
    assert plan.worth_measuring == expected


def test_no_short_train_could_be_served_by_engines_left_at_its_place() -> None:
    """Two engines at West for three trains at once, one of which needs both."""
    trains = [_train(name, "WME", (600, 640), cars) for name, cars in (("A", 20), ("B", 5), ("C", 5))]
    of = session(LINE, *trains, roster=[_engine("1", "West"), _engine("2", "West")])
    plan = plan_power(of)
    assert plan.short == ("A",)
    assert plan.trains[0].at_hand == ()
    _check(of, plan)


@pytest.mark.parametrize("name", ["club_night", "sunday_shelf"])
@pytest.mark.parametrize("keep", [False, True])
def test_the_sample_sessions(name: str, keep: bool) -> None:
    of = consist.load(SAMPLES / name)
    plan = plan_power(of, keep_given=keep)
    assert plan.proven
    for found in plan.trains:
        assert found.short == (found.use is None or found.use > 1.0)
        if found.short or (keep and found.given):
            continue
        counts: dict[str, int] = {}
        for engine_name in found.assigned:
            of_class = of.engines[engine_name].engine_class
            counts[of_class] = counts.get(of_class, 0) + 1
        assert counts in [dict(combo.classes) for combo in found.combos]
    assert plan == plan_power(of, keep_given=keep)
    if not keep:
        _check(of, plan)


def test_a_plan_says_of_which_session_it_is_and_whether_engines_were_kept() -> None:
    of = session(LINE, _train("Up", "WME", (600, 640), 5, _engine("1", "West")))
    for keep in (True, False):
        plan = plan_power(of, keep_given=keep)
        assert (plan.session, plan.layout, plan.keeps_given) == (of.title, of.layout.name, keep)


def test_trains_without_times_take_engines_that_have_fewest_trips_and_those_at_home_before_those_of_no_home() -> None:
    trains = [_train(name, "WME", None) for name in ("P", "Q", "R")]
    of = session(LINE, *trains, roster=[_engine("1", ""), _engine("2", "West"), _engine("3", "East")])
    assert plan_power(of).engines == {"P": ("2",), "Q": ("1",), "R": ("2",)}
    only = session(LINE, trains[0], roster=[_engine("1", ""), _engine("3", "East")])
    assert plan_power(only).engines == {"P": ("1",)}


def test_a_kept_train_without_times_is_not_said_to_be_planned() -> None:
    of = session(LINE, _train("P", "WME", None, 5, _engine("1", "West")))
    said = [
        "Train P without times is planned alone" in " ".join(plan_power(of, keep_given=keep).notes)
        for keep in (True, False)
    ]
    assert said == [False, True]
