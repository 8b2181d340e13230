"""The bench's list: which cars to weight, in which order, with what.

The order: first what tonight's worst train gains; then what the worst train that the car rides in gains, counted as
far as the house's care margin, since past that a train has all it needs; then that gain in full; then the weight
missing. Gains count to 0.01, as fine as margins are shown. Cars that ride in no train come last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from math import isfinite

from consist.bench.choose import choose
from consist.bench.extra_engines import extra_engines
from consist.bench.gains import Evening, Gain, shown
from consist.bench.places import place_for
from consist.bench.results import BenchCar, BenchList, ExtraEngine, TrainAfter
from consist.bench.target import band, scale_named, standard_named, status_of
from consist.errors import InputError, Problem
from consist.house import House
from consist.intake import Given, PieceKind, cars_of
from consist.names import quoted
from consist.scales import Scale
from consist.session import Session
from consist.stock import Car, WeightStandard

__all__ = ["MINUTES_PER_CAR", "Progress", "bench_cars", "bench_list"]

MINUTES_PER_CAR = 4.0
"""What a car takes at the bench where nobody says. Common practice, no source."""
GAIN_PLACES = 2

Progress = Callable[[str, int, int], None]
"""Called before each car is tried with its name, its number from 0 on and how many there are."""


def bench_list(
    session: Session,
    pieces: Sequence[PieceKind],
    minutes: float | None = None,
    per_car: float | None = None,
    *,
    progress: Progress | None = None,
) -> BenchList:
    """The list for a session. Raises `InputError` for minutes that are none."""
    room = _room(minutes, per_car)
    evening = Evening(session)
    cars = {name: _standing(car, evening) for name, car in session.cars.items()}
    under = [car for car in cars.values() if car.status == "under"]
    tried = []
    for number, car in enumerate(under):
        if progress is not None:
            progress(car.car, number, len(under))
        tried.append(_with_gain(car, evening.gain(car.car, car.target_g)))
    ordered = sorted(tried, key=_urgency)
    listed = _with_pieces(ordered[:room], session.cars, pieces)
    heavy = {car.car for car in cars.values() if car.status in ("heavy", "over")}
    return _result(
        session.layout.scale,
        session.standard,
        listed,
        ordered[slice(len(listed), None)],
        cars.values(),
        minutes,
        per_car,
        trains=_trains_after(evening, listed),
        extra=extra_engines(session, heavy),
        notes=session.notes,
    )


def bench_cars(
    rows: Iterable[Given],
    scale: str | Scale,
    standard: str | WeightStandard,
    pieces: Sequence[PieceKind],
    minutes: float | None = None,
    per_car: float | None = None,
) -> BenchList:
    """The list for a table of cars alone: no trains, so no gains, and the most weight missing comes first.

    Raises `InputError` for a scale or standard that is not known, and for minutes that are none.
    """
    room = _room(minutes, per_car)
    known = scale_named(scale)
    counted = standard_named(standard, known) if isinstance(standard, str) else standard
    stock = {car.name: car for car in cars_of(rows, known, counted, House().rolling_percent)}
    cars = [_standing(car, None) for car in stock.values()]
    ordered = sorted((car for car in cars if car.status == "under"), key=_urgency)
    listed = _with_pieces(ordered[:room], stock, pieces)
    return _result(known, counted, listed, ordered[slice(len(listed), None)], cars, minutes, per_car)


def _room(minutes: float | None, per_car: float | None) -> int | None:
    """How many cars there is time for, None for all."""
    for name, value in (("--minutes", minutes), ("--per-car", per_car)):
        if value is not None and not (isfinite(value) and value > 0):
            told = f"found {quoted(f'{value:g}')}, expected a number of minutes over 0; correct it"
            raise InputError([Problem(name, "", told)])
    if minutes is None:
        return None
    each = MINUTES_PER_CAR if per_car is None else per_car
    # 0.3 / 0.1 is a hair under 3
    return int(min(minutes / each + 1e-9, 1e9))


def _standing(car: Car, evening: Evening | None) -> BenchCar:
    weight = car.weight_g if car.weighed else None
    low, high = band(car.target_g)
    status = status_of(weight, car.target_g)
    return BenchCar(
        car=car.name,
        kind=car.kind,
        owner=car.owner,
        status=status,
        weight_g=weight,
        target_g=car.target_g,
        low_g=low,
        high_g=high,
        add_g=car.target_g - car.weight_g if status == "under" else None,
        place=place_for(car.kind) if status == "under" else "",
        trains=tuple(train.name for train in evening.trains_of(car.name)) if evening is not None else (),
        note="It is a guest's car; ask its owner first." if car.guest and status == "under" else "",
    )


def _with_gain(car: BenchCar, gain: Gain | None) -> BenchCar:
    if gain is None:
        return car
    return replace(
        car,
        worst_train=gain.train,
        margin=shown(gain.margin),
        margin_after=shown(gain.after),
        gain=gain.gain,
        useful_gain=gain.useful,
        evening_gain=gain.evening,
    )


def _urgency(car: BenchCar) -> tuple[bool, float, float, float, float, str]:
    evening, useful, whole = (
        -round(gain or 0.0, GAIN_PLACES) for gain in (car.evening_gain, car.useful_gain, car.gain)
    )
    return not car.trains, evening, useful, whole, -(car.add_g or 0.0), car.car


def _with_pieces(
    cars: Sequence[BenchCar], stock: Mapping[str, Car], pieces: Sequence[PieceKind]
) -> tuple[BenchCar, ...]:
    """The cars with their pieces; those that come first take first from what is on hand."""
    left = {piece.piece: piece.on_hand for piece in pieces if piece.on_hand is not None}
    done = []
    for car in cars:
        assert car.weight_g is not None
        choice = choose(car.weight_g, car.target_g, pieces, left, stock[car.car].body_length_mm / 2)
        if choice is not None:
            for name, number in choice.pieces.items():
                if name in left:
                    left[name] -= number
        after = car.weight_g + (choice.added_g if choice is not None else 0.0)
        one = replace(car, choice=choice, after_g=after)
        done.append(replace(one, note=" ".join(part for part in (car.note, _shortfall(one)) if part)))
    return tuple(done)


def _shortfall(car: BenchCar) -> str:
    if car.choice is None:
        return "No piece on hand brings it nearer to its target; find other pieces for it."
    assert car.after_g is not None
    if status_of(car.after_g, car.target_g) == "under":
        return "The pieces left on hand leave it under its target; find more for it."
    if status_of(car.after_g, car.target_g) == "heavy":
        return "The pieces left on hand take it well over its target; find smaller ones for it."
    return "" if car.choice.even else "The pieces do not divide evenly; set them so that the car sits level."


def _trains_after(evening: Evening, cars: Sequence[BenchCar]) -> tuple[TrainAfter, ...]:
    weights = {car.car: car.after_g for car in cars if car.after_g is not None}
    riding = {name for car in cars for name in car.trains}
    return tuple(
        TrainAfter(train.name, shown(evening.standing(train)), shown(evening.margin(train, weights)))
        for train in evening.session.trains
        if train.name in riding
    )


def _result(
    scale: Scale,
    standard: WeightStandard,
    listed: Sequence[BenchCar],
    later: Sequence[BenchCar],
    cars: Iterable[BenchCar],
    minutes: float | None,
    per_car: float | None,
    trains: tuple[TrainAfter, ...] = (),
    extra: tuple[ExtraEngine, ...] = (),
    notes: tuple[str, ...] = (),
) -> BenchList:
    used: dict[str, int] = {}
    for car in listed:
        for name, number in car.pieces.items():
            used[name] = used.get(name, 0) + number
    return BenchList(
        scale=scale.name,
        standard=standard.name,
        cars=tuple(listed),
        later=tuple(later),
        others=tuple(car for car in cars if car.status != "under"),
        trains=trains,
        extra_engines=extra,
        used=used,
        minutes=minutes,
        per_car=(MINUTES_PER_CAR if per_car is None else per_car) if minutes is not None else per_car,
        title=standard.title,
        length_words=standard.length_words,
        notes=notes,
    )
