"""Every spot told at the door, and every one not told, with the guest really set in there and the train checked."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

import pytest
from builders import SAMPLES
from builders import spot as in_spot
from many_sessions import random_session
from random_stock import RandomStock

import consist
from consist.rules import Case, Finding, findings
from consist.screening import TrainRide, screen_guests
from consist.session import CarInTrain, Session, Train
from consist.trains import prepared

__all__: list[str] = []

PEAKS = 0.005
"""Figures this near to a limit may be on either side of it: a run finds peaks within half a per cent."""
WORSE = 1.01
SHARE_CHOSEN = 0.04
"""Of the club night's spots so many are chosen."""
SEEDS = (303, 315, 318, 335, 337, 348, 350, 353, 363, 365, 376, 378, 406, 416)
"""Random sessions in which some spots do and some do not."""


class Checked:
    """A train of a session checked as it stands."""

    def __init__(self, of: Session, one: Train) -> None:
        known = prepared(replace(of, trains=tuple(one if each.name == one.name else each for each in of.trains)), one)
        trip = known.run()
        self.uses = trip.uses
        self.engines = max(trip.power_use, trip.hold_use)
        self.found = findings(Case(known, trip))

    def swings(self) -> dict[str, Finding]:
        """The cars one of whose couplers must swing too far."""
        return {found.car: found for found in self.found if found.code == "coupler-angle" and found.car is not None}

    def short(self) -> bool:
        """Whether its engines cannot move it or hold it."""
        return any(found.code == "power-short" and found.level == "hold" for found in self.found)


class Spots:
    """The spots of a train with a guest really set in each."""

    def __init__(self, of: Session, one: Train, guest: CarInTrain) -> None:
        self.of, self.guest = of, guest
        self.others = _standing(one, [car for car in one.cars if car.car.name != guest.car.name])
        self.given = bool(one.engines or one.helpers)

    @cached_property
    def before(self) -> Checked:
        """The train without the guest."""
        return Checked(self.of, self.others)

    def with_guest(self, spot: int) -> Train:
        """The train with the guest set in."""
        return _standing(self.others, [*self.others.cars[: spot - 1], self.guest, *self.others.cars[spot - 1 :]])

    def beyond(self, spot: int) -> float:
        """With the guest in a spot, the greatest share of what is allowed of anything; over 1 it will not do.

        A car below the margin already, or swinging too far, may be put no lower than by a hundredth.
        """
        after, before, margin = Checked(self.of, self.with_guest(spot)), self.before, self.of.house.guest_margin
        found = [0.0]
        for name, use in after.uses.items():
            least = min(use * margin, use / (WORSE * before.uses[name])) if before.uses.get(name) else use * margin
            found.append(least)
        swung = before.swings()
        for name, finding in after.swings().items():
            assert finding.value is not None
            assert finding.limit is not None
            known = swung.get(name)
            share = finding.value / finding.limit
            found.append(share if known is None else min(share, finding.value / (WORSE * (known.value or 0.0))))
        if self.given and not before.short():
            found.append(after.engines)
        return max(found)


def _standing(one: Train, cars: Sequence[CarInTrain]) -> Train:
    return replace(one, cars=tuple(replace(car, spot=spot) for spot, car in enumerate(cars, start=1)))


def _hold(spots: Spots, ride: TrainRide) -> Counter[str]:
    """Hold what the door says of every spot against the train checked; how many do, do not, or are near the limit."""
    counts: Counter[str] = Counter()
    assert ride.spots == len(spots.others.cars) + 1
    for spot in range(1, ride.spots + 1):
        beyond = spots.beyond(spot)
        if abs(beyond - 1.0) <= PEAKS:
            counts["near"] += 1
            continue
        assert (spot in ride.stands) is (beyond < 1.0), (ride.train, spots.guest.car.name, spot, beyond, ride)
        counts["does" if beyond < 1.0 else "does not"] += 1
    assert ride.stands == tuple(sorted(ride.stands))
    assert (ride.why_not is None) is bool(ride.stands)
    return counts


def _visited(seed: int) -> tuple[Session, CarInTrain, Spots]:
    """A random session with a guest's car, and a margin that about half the spots keep."""
    drawn = random_session(seed)
    chance = random.Random(seed)
    of, one = drawn.session, drawn.train
    (riding,) = RandomStock(chance, of.layout.scale.by_ratio(1.0)).cars(1, 1)
    visitor = replace(riding.car, name="G1", guest=True)
    guest = replace(riding, car=visitor, loaded=False, joins=0, leaves=len(one.route.stops) - 1)
    spots = range(1, len(one.cars) + 2)
    tried = Spots(of, one, guest)
    own = sorted(Checked(of, tried.with_guest(spot)).uses["G1"] for spot in spots)
    share = min(int(chance.choice([0.5, 0.8, 1.0]) * len(own)), len(own) - 1)
    margin = 1.0 / max(1.1 * own[share], 1e-9)
    of = replace(
        of,
        cars={**of.cars, "G1": visitor},
        house=replace(of.house, care_margin=margin, hold_margin=0.5 * margin),
    )
    return of, guest, Spots(of, one, guest)


def test_every_spot_of_random_trains() -> None:
    counts: Counter[str] = Counter()
    for seed in SEEDS:
        of, _, spots = _visited(seed)
        (guest,) = screen_guests(of).cars
        counts += _hold(spots, guest.trains[0])
    assert min(counts["does"], counts["does not"]) > 0.3 * counts.total()


@pytest.mark.parametrize("standing", [False, True])
def test_every_spot_told_of_a_light_guest_at_its_target(standing: bool) -> None:
    """Guests that weigh 0.6 of their target, whose every spot told at it holds with the heavier car set in; where it
    is standing in the train already too."""
    counts: Counter[str] = Counter()
    for seed in SEEDS:
        of, guest, spots = _visited(seed)
        heavy = guest.car.weight_g
        light = replace(guest.car, weight_g=0.6 * heavy, target_g=heavy)
        of = replace(of, cars={**of.cars, "G1": light})
        if standing:
            cars = of.trains[0].cars
            with_it = [*cars[: seed % len(cars)], replace(guest, car=light), *cars[seed % len(cars) :]]
            of = replace(of, trains=(_standing(of.trains[0], with_it),))
        (result,) = screen_guests(of).cars
        (ride,) = result.trains
        assert (ride.in_train is not None) is standing
        counts["would do"] += bool(ride.at_target)
        if ride.at_target or ride.refusal == "margin":
            counts += _hold(spots, replace(ride, stands=ride.at_target, why_not=None if ride.at_target else ""))
    assert counts["would do"] > 2


def test_every_spot_told_of_a_train_whose_hard_places_say_little() -> None:
    of, _, spots = _visited(478)
    _hold(spots, screen_guests(of).cars[0].trains[0])


@pytest.mark.parametrize(
    ("train", "guests"),
    [
        ("Limited 7", ("JQ 805", "UQW 9105", "QZO 118")),
        ("Marlpit Turn", ("QZO 125",)),
        ("Valley Local", ("QZO 118",)),
        ("Ore Empties 2", ("JQ 805",)),
    ],
)
def test_every_spot_of_the_club_nights_trains(train: str, guests: tuple[str, ...]) -> None:
    whole = consist.load(SAMPLES / "club_night")
    (one,) = (each for each in whole.trains if each.name == train)
    others = {name: car for name, car in whole.cars.items() if not car.guest or name in guests}
    of = replace(whole, trains=(one,), cars=others)
    for result in screen_guests(of).cars:
        known = next((car for car in one.cars if car.car.name == result.car), None)
        through = in_spot(whole.cars[result.car], 1, leaves=len(one.route.stops) - 1)
        _hold(Spots(of, one, known or through), result.trains[0])


def test_spots_chosen_from_all_of_the_club_night() -> None:
    """Spots told and spots not told of every train, some of each, with the guest set in and the train checked."""
    of = consist.load(SAMPLES / "club_night")
    chance = random.Random(20)
    counts: Counter[str] = Counter()
    for result in screen_guests(of).cars:
        for one, ride in zip(of.trains, result.trains, strict=True):
            if ride.refusal == "radius":
                continue
            known = next((car for car in one.cars if car.car.name == result.car), None)
            through = in_spot(of.cars[result.car], 1, leaves=len(one.route.stops) - 1)
            spots = Spots(of, one, known or through)
            for spot in range(1, ride.spots + 1):
                if chance.random() >= SHARE_CHOSEN:
                    continue
                beyond = spots.beyond(spot)
                if abs(beyond - 1.0) > PEAKS:
                    assert (spot in ride.stands) is (beyond < 1.0), (one.name, result.car, spot, beyond, ride)
                    counts["does" if beyond < 1.0 else "does not"] += 1
    assert min(counts.values()) > 10


def test_margins_told_of_random_trains_are_those_of_a_full_run() -> None:
    """The guest's own at the foremost spot, found without working the whole train out."""
    told = 0
    for seed in (*SEEDS, *range(320, 350)):
        of, _, spots = _visited(seed)
        ride = screen_guests(of).cars[0].trains[0]
        if ride.spot is None:
            continue
        use = Checked(of, spots.with_guest(ride.spot)).uses["G1"]
        assert ride.margin == (pytest.approx(1.0 / use, rel=PEAKS) if use > 0.0 else None), seed
        told += 1
    assert told > 20
