"""What is guessed of a guest in each spot, against the same worked out with the whole train at the same heads.

Guesses are made at every second step of the tables from tonight's train, so that where a curve begins they are off by
as much as a step makes; all along the route they are near.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import builders
import numpy as np
import pytest
from builders import car, curve, engine, straight
from numpy.typing import NDArray

from consist.house import GuestPractice, House
from consist.mechanics import Vehicles, evaluate
from consist.screening.guesses import Guesses
from consist.screening.refusals import Asked
from consist.screening.tonight import STRETCH, Leg, TrainTonight, highest
from consist.screening.trial import OF_INTEREST, Trial
from consist.session import CarInTrain
from consist.trains import LegOrders, Prepared, prepared

__all__: list[str] = []

Floats = NDArray[np.float64]

HILL = (
    straight(1500),
    curve(610, 90, grade_percent=2.0, easement_mm=150),
    straight(900, 2.0),
    curve(560, 60, "right", grade_percent=2.0),
    straight(1200),
)
ENGINES = (engine("1", 900.0, 300.0), engine("2", 900.0, 300.0))
HELPER = engine("9", 900.0, 300.0)
CASES = [(30.0, 150.0, False), (150.0, 300.0, False), (30.0, 150.0, True), (150.0, 300.0, True)]


@dataclass(frozen=True)
class Spot:
    """A guest in one spot: what was guessed of it, and the whole train with it."""

    of: Prepared
    guesses: Guesses
    on: LegOrders
    seen: Floats
    row: int
    train: Vehicles
    order: list[CarInTrain]
    trial: Trial

    @property
    def guest(self) -> int:
        """Its number among the vehicles."""
        return self.train.ahead + self.row

    @property
    def leg(self) -> Leg:
        return self.guesses._leg

    def within(self, heads_mm: Floats) -> NDArray[np.bool_]:
        """Which heads are on the leg."""
        return (heads_mm >= self.on.from_mm) & (heads_mm <= self.on.to_mm)


def spots(weight_g: float, length_mm: float, helped: bool) -> Iterator[Spot]:
    """A guest in every spot of a train of nine cars, each longer and heavier than the one before."""
    cars = [car(f"C{n}", 60.0 + 15 * n, 120.0 + 12 * n) for n in range(9)]
    where = builders.one_line(*HILL)
    one = builders.train(where, cars, ENGINES, [HELPER] if helped else [])
    of = prepared(builders.session(where, one, house=House(guests=GuestPractice(margin=1.8))), one)
    tonight = TrainTonight(of)
    asked = Asked(tonight, builders.spot(replace(car("G", weight_g, length_mm), guest=True), 1))
    trial = Trial(tonight, asked)
    made: list[tuple[LegOrders, Guesses]] = []

    def heads(on: LegOrders) -> Floats:
        made.append((on, Guesses(tonight, asked, on)))
        return made[0][1].heads_mm(OF_INTEREST)

    found = trial._orders.at(trial._rows, heads, trial._closer)
    ((on, guesses),) = made
    for row, order in enumerate(trial._rows.tolist()):
        standing = [asked.cars[number] for number in order]
        train = of.arrays(of.engines, standing, of.train.helpers)
        yield Spot(of, guesses, on, found.uses[row][order], row, train, standing, trial)


def off(guess: Floats, real: Floats) -> float:
    """By how much guesses are off on average, as a share of the greatest there is."""
    return float(np.abs(guess - real).mean() / max(np.abs(real).max(), 1e-9))


@pytest.mark.parametrize(("weight_g", "length_mm", "helped"), CASES)
def test_the_guest_and_those_next_to_it_are_guessed_near_along_all_curves(
    weight_g: float, length_mm: float, helped: bool
) -> None:
    for one in spots(weight_g, length_mm, helped):
        heads_mm = one.guesses._heads_mm[one.row]
        on = one.within(heads_mm)
        real = evaluate(one.train.columns, one.of.runs[0], heads_mm[on], one.of.limits)
        tension, couplings = real.forces.tension, real.standing
        assert off(one.guesses._guest[one.row, on], real.use[one.guest]) < 0.055, one.row
        ahead = np.abs(tension[one.guest - 1] * couplings.ahead[one.guest - 1])
        assert off(one.guesses._ahead[one.row, on], ahead) < 0.06, one.row
        if one.guest < len(tension):
            behind = np.abs(tension[one.guest] * couplings.behind[one.guest])
            assert off(one.guesses._behind[one.row, on], behind) < (0.15 if helped else 0.02), one.row
        else:
            assert not one.guesses._behind[one.row].any()


@pytest.mark.parametrize(("weight_g", "length_mm", "helped"), CASES)
def test_what_the_guest_takes_is_guessed_near_all_along_the_leg(
    weight_g: float, length_mm: float, helped: bool
) -> None:
    for one in spots(weight_g, length_mm, helped):
        on = one.within(one.leg.heads_mm)
        real = evaluate(one.train.columns, one.of.runs[0], one.leg.heads_mm[on], one.of.limits)
        tension = np.concatenate((real.forces.tension, np.zeros((1, int(on.sum())))))
        takes_g = tension[one.guest - 1] - tension[one.guest]
        guessed = one.guesses._takes_tonight_g()[one.row, on]
        # what it costs to be pulled aside is left out of the guess
        assert off(guessed, takes_g) < 0.06, one.row
        if not helped:
            share = one.leg.engine_share(one.guesses._takes_tonight_g()[one.row])[on]
            assert off(share, real.forces.engine_share) < 0.06, one.row


@pytest.mark.parametrize(("weight_g", "length_mm"), [(30.0, 150.0), (150.0, 300.0)])
def test_cars_ahead_of_the_guest_are_guessed_with_what_more_they_pull(weight_g: float, length_mm: float) -> None:
    for one in spots(weight_g, length_mm, helped=False):
        on = one.within(one.leg.heads_mm)
        real = evaluate(one.train.columns, one.of.runs[0], one.leg.heads_mm[on], one.of.limits)
        ahead = np.arange(one.train.ahead, one.guest - 1)  # the last couples to the guest
        if len(ahead):
            guessed = one.leg.with_more(one.guesses._takes_tonight_g()[one.row], ahead)[:, on]
            assert off(guessed, real.use[ahead]) < 0.03, one.row


@pytest.mark.parametrize(("weight_g", "length_mm", "helped"), CASES)
def test_what_is_seen_at_the_few_places_is_near_a_full_run_and_never_above(
    weight_g: float, length_mm: float, helped: bool
) -> None:
    for one in spots(weight_g, length_mm, helped):
        full = evaluate(
            one.train.columns, one.of.runs[0], np.arange(one.on.from_mm, one.on.to_mm, 2.0), one.of.limits
        )
        most = full.use.max(axis=1)[one.train.ahead : one.train.ahead + len(one.order)]
        assert np.all(one.seen <= most * 1.005 + 1e-9)
        assert one.seen[one.row] >= 0.91 * most[one.row], one.row


@pytest.mark.parametrize(("weight_g", "length_mm"), [(30.0, 150.0), (150.0, 300.0), (60.0, 220.0)])
def test_the_guests_own_use_looked_for_closely_is_that_of_a_full_run(weight_g: float, length_mm: float) -> None:
    for one in spots(weight_g, length_mm, helped=False):
        closely = one.trial.closely(one.row + 1)
        full = one.of.in_order(one.order).run().uses["G"]
        assert closely.uses[0, -1] == pytest.approx(full, rel=0.005), one.row
        assert not closely.uses[0, :-1].any()
        assert closely.engine_share.tolist() == [0.0]


def test_the_highest_of_each_stretch_are_told_and_no_two_of_one() -> None:
    figures = np.random.default_rng(1).random((5, 8 * STRETCH))
    for most in (1, 3, 8, 20):
        told = highest(figures, most)
        for row, numbers in zip(figures, told, strict=True):
            highs = [int(np.argmax(row[at : at + STRETCH])) + at for at in range(0, len(row), STRETCH)]
            best = sorted(highs, key=lambda number: -row[number])[:most]
            assert sorted(numbers.tolist()) == sorted(best)


def test_a_guest_that_joins_on_the_way_is_looked_for_on_its_own_leg_alone() -> None:
    up = builders.line("Foot, e", "Middle, w", straight(1500), curve(610, 90, grade_percent=2.0), straight(900, 2.0))
    on = builders.line(
        "Middle, e", "Top, w", straight(900, 1.0), curve(560, 60, "right", grade_percent=2.0), straight(900)
    )
    where, stops = builders.layout(up, on), ("Foot", "Middle", "Top")
    cars = [builders.spot(car(f"C{n}", 80.0 + 15 * n, 140.0), n + 1, leaves=2) for n in range(6)]
    guest = builders.spot(replace(car("G", 40.0, 200.0), guest=True), 3, joins=1, leaves=2)
    standing = [replace(each, spot=spot) for spot, each in enumerate([*cars[:2], guest, *cars[2:]], start=1)]
    one = builders.train(where, standing, ENGINES, stops=stops)
    of = prepared(builders.session(where, one), one)
    asked = Asked(TrainTonight(of.in_order(cars)), guest)
    trial = Trial(TrainTonight(of.in_order(cars)), asked)
    closely, seen = trial.closely(3), trial.seen()
    full = of.in_order([*cars[:2], guest, *cars[2:]]).run()
    assert closely.uses[0, -1] == pytest.approx(full.uses["G"], rel=0.005)
    assert seen.uses[2, -1] == pytest.approx(full.uses["G"], rel=0.05)
    assert len(full.legs) == 2
