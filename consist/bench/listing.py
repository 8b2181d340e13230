"""The bench's list: which cars to weight, in which order, with what.

The order: first what tonight's worst train gains; then what the worst train that the car rides in gains, counted as
far as the house's care margin, since past that a train has all it needs; then that gain in full; then the weight
missing. Gains count to 0.01, as fine as margins are shown. Cars that ride in no train come last.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import isfinite
from pathlib import Path

from consist.bench.choose import choose
from consist.bench.gains import Evening, extra_engines, shown
from consist.bench.places import in_bottom_container, place_for
from consist.bench.results import BenchCar, BenchList, Choice, Status, TrainAfter
from consist.bench.target import asked_rightly, band, standard_named, status_of
from consist.errors import refuse
from consist.house import House
from consist.intake import KNOWN_PIECES, Given, PieceKind, cars_of, pieces_at_hand, read_cars
from consist.names import quoted
from consist.scales import Scale, scale_named
from consist.session import Session
from consist.side_by_side import Progress
from consist.stock import Car, WeightStandard
from consist.track import Layout

__all__ = ["MINUTES_PER_CAR", "bench_cars", "plan_bench"]

MINUTES_PER_CAR = 4.0
"""What a car takes at the bench where nobody says. Common practice, no source."""
GAIN_PLACES = 2


def plan_bench(
    of: Session | str | Path,
    pieces: Sequence[PieceKind] | None = None,
    minutes: float | None = None,
    per_car: float | None = None,
    *,
    scale: str | Scale | None = None,
    standard: str | None = None,
    progress: Progress | None = None,
) -> BenchList:
    """The list for a session, or for a table of cars, which has no trains and whose scale must be given.

    `pieces` are otherwise those of the `pieces.csv` beside the cars, else coins and stick-on quarter ounces.
    `minutes` is how long there is, `per_car` how long a car takes. Raises `InputError` for a file, a scale or a
    standard that cannot be used and for minutes that are none.

    >>> import consist
    >>> listed = consist.plan_bench(consist.load("sample_sessions/sunday_shelf"))
    >>> listed.cars[0].car, listed.cars[0].pieces
    ('PQF 71', {'quarter-ounce stick-on': 1, 'dime coin': 2, 'quarter coin': 1})
    >>> consist.plan_bench("sample_sessions/sunday_shelf/cars.csv", scale="HO").trains
    ()
    """
    asked_rightly(scale, standard, of_session=isinstance(of, Session))
    if not isinstance(of, Session):
        known = scale_named(scale or "")
        if pieces is None:
            pieces = pieces_at_hand(Path(of).parent)
        return bench_cars(read_cars(Path(of), scale=known), known, standard, pieces, minutes, per_car)
    if pieces is None:
        pieces = KNOWN_PIECES if of.folder is None else pieces_at_hand(of.folder)
    room, evening = _room(minutes, per_car), Evening(of)
    cars = [_standing(car, evening) for car in of.cars.values()]
    under = [car for car in cars if car.status == "under"]
    for number, car in enumerate(under):
        if progress is not None:
            progress(car.car, number, len(under))
        under[number] = evening.with_gain(car)
    under.sort(key=_urgency)
    listed = _with_pieces(under[:room], of.cars, pieces)
    return BenchList(
        scale=of.layout.scale.name,
        standard=of.standard.name,
        cars=listed,
        later=tuple(under[len(listed) :]),
        others=tuple(car for car in cars if car.status != "under"),
        trains=_trains_after(evening, listed),
        extra_engines=extra_engines(of, {car.car for car in cars if car.status in ("heavy", "over")}),
        used=dict(sum((Counter(car.pieces) for car in listed), Counter())),
        minutes=minutes,
        per_car=MINUTES_PER_CAR if per_car is None and minutes is not None else per_car,
        title=of.standard.title,
        length_words=of.standard.length_words,
        notes=of.notes,
        care_margin=of.house.care_margin,
    )


def bench_cars(
    rows: Iterable[Given],
    scale: str | Scale,
    standard: str | WeightStandard | None,
    pieces: Sequence[PieceKind],
    minutes: float | None = None,
    per_car: float | None = None,
) -> BenchList:
    """The list for the rows of a table of cars: no gains, and the most weight missing comes first.

    Raises `InputError` for a scale or standard that is not known, and for minutes that are none.
    """
    known, house = scale_named(scale), House()
    counted = standard if isinstance(standard, WeightStandard) else standard_named(standard, known)
    stock = {car.name: car for car in cars_of(rows, known, counted, house.rolling_percent)}
    # a table is a session without a train
    table = Session(
        "", house, counted, Layout("", known, "mm", {}, ()), stock, {}, (), tuple(filter(None, (counted.note,)))
    )
    return plan_bench(table, pieces, minutes, per_car)


def _room(minutes: float | None, per_car: float | None) -> int | None:
    """How many cars there is time for, None for all."""
    for name, value in (("--minutes", minutes), ("--per-car", per_car)):
        if value is not None and not (isfinite(value) and value > 0):
            raise refuse(name, f"found {quoted(f'{value:g}')}, expected a number of minutes over 0; correct it")
    if minutes is None:
        return None
    each = MINUTES_PER_CAR if per_car is None else per_car
    # 0.3 / 0.1 is a hair under 3
    return int(min(minutes / each + 1e-9, 1e9))


def _standing(car: Car, evening: Evening) -> BenchCar:
    weight = car.weight_g if car.weighed else None
    low, high = band(car.target_g)
    status = status_of(weight, car.target_g)
    under = status == "under"
    return BenchCar(
        car=car.name,
        kind=car.kind,
        owner=car.owner,
        status=status,
        weight_g=weight,
        target_g=car.target_g,
        low_g=low,
        high_g=high,
        add_g=car.target_g - car.weight_g if under else None,
        place=place_for(car.kind) if under else "",
        trains=tuple(train.name for train in evening.trains_of(car.name)),
        note=" ".join(_notes(car)) if under else "",
    )


def _notes(car: Car) -> Iterator[str]:
    if in_bottom_container(car.kind) and car.note:
        yield f"Its note in the roster says: {car.note.rstrip('.')}."
    if car.guest:
        yield "A guest's; ask its owner first."


def _urgency(car: BenchCar) -> tuple[bool, int, float, float, float, float, str]:
    evening, useful, whole = (
        -round(gain or 0.0, GAIN_PLACES) for gain in (car.evening_gain, car.useful_gain, car.gain)
    )
    return (
        not car.trains,
        ("helps", "none", "harms").index(car.effect),
        evening,
        useful,
        whole,
        -(car.add_g or 0.0),
        car.car,
    )


def _with_pieces(
    cars: Sequence[BenchCar], stock: Mapping[str, Car], pieces: Sequence[PieceKind]
) -> tuple[BenchCar, ...]:
    """The cars with their pieces; those that come first take first from what is on hand."""
    left = {piece.piece: piece.on_hand for piece in pieces if piece.on_hand is not None}
    done = []
    for car in cars:
        assert car.weight_g is not None
        choice = choose(car.weight_g, car.target_g, pieces, left, stock[car.car].body_length_mm / 2)
        after = car.weight_g + (choice.added_g if choice is not None else 0.0)
        one = replace(car, choice=choice, after_g=after)
        left = {name: number - one.pieces.get(name, 0) for name, number in left.items()}
        note = " ".join(filter(None, (car.note, _shortfall(choice, status_of(after, car.target_g)))))
        done.append(replace(one, note=note))
    return tuple(done)


def _shortfall(choice: Choice | None, after: Status) -> str:
    if choice is None:
        return "No piece on hand brings it nearer to its target; find other pieces for it."
    if after == "under":
        return "The pieces left on hand leave it under its target; find more for it."
    if after == "heavy":
        return "The pieces left on hand take it well over its target; find smaller ones for it."
    return "" if choice.even else "The pieces do not divide evenly; set them so that the car sits level."


def _trains_after(evening: Evening, cars: Sequence[BenchCar]) -> tuple[TrainAfter, ...]:
    weights = {car.car: car.after_g for car in cars if car.after_g is not None}
    riding = {name for car in cars for name in car.trains}
    return tuple(
        TrainAfter(train.name, shown(evening.standing[train.name]), shown(evening.margin(train, weights)))
        for train in evening.session.trains
        if train.name in riding
    )
