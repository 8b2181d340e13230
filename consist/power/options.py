"""What would move a train that is short of power: a helper, cars left behind, two cuts, an engine that comes light.

Every option is worked out on the train as it would then run, and offered only where that is enough.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from consist.power.results import Combo, Option
from consist.power.train_pull import TrainPull, Worst, in_order, made_up
from consist.power.whereabouts import Idle, at_hand
from consist.session import CarInTrain
from consist.stock import Engine
from consist.track import RouteError, find_route
from consist.wording import in_words, percent

__all__ = ["Shortage", "options"]

MOST_ADDED = 2
"""As many helpers are tried on one train, or engines added to those it keeps."""

At = tuple[str, float]
"""A place and how far along the route it lies (mm)."""


@dataclass(frozen=True)
class Shortage:
    """A train short of power: the engines it has ahead and behind, those idle meanwhile, and what would do.

    Engines that are `kept` stay on the train whatever else is done.
    """

    pull: TrainPull
    ahead: tuple[Engine, ...]
    behind: tuple[Engine, ...]
    idle: tuple[Idle, ...]
    combos: tuple[Combo, ...]
    kept: bool = False

    @property
    def light_moves(self) -> bool:
        """Whether the house lets engines run light."""
        return self.pull.of.session.house.light_moves

    @property
    def given(self) -> tuple[Engine, ...]:
        """The engines that it has, ahead and behind."""
        return (*self.ahead, *self.behind)

    def stretch(self) -> tuple[At, At] | None:
        """The places around all of the route where it is short; None where it nowhere is."""
        heads = self.pull.short_at(self.ahead, self.behind)
        if not heads:
            return None
        places = self.pull.train.route.places
        before = next((place for place in reversed(places) if place[1] <= min(heads)), places[0])
        return before, next((place for place in places if place[1] >= max(heads)), places[-1])

    def of_cut(self, cars: Sequence[CarInTrain]) -> Worst:
        """The worst with those cars alone."""
        return self.pull.with_cars(cars).worst(self.ahead, self.behind)

    def without(self, left: Sequence[CarInTrain]) -> Worst:
        """The worst with those cars left behind."""
        gone = {car.car.name for car in left}
        return self.of_cut([car for car in self.pull.train.cars if car.car.name not in gone])


def options(short: Shortage) -> tuple[Option, ...]:
    """The options that would do, cheapest first: helpers, cars left behind, two cuts, engines that come light."""
    stretch = short.stretch() if short.ahead else None
    found: list[Option | None] = []
    if stretch is not None:
        found = [*_helpers(short, *stretch), _leave(short), _double(short, *stretch)]
    if short.light_moves:
        found.append(_light(short))
    return tuple(option for option in found if option is not None)


def _used(worst: Worst, engines: Sequence[Engine]) -> str:
    """How much of what the engines can do is asked of them."""
    if worst.holds:
        return f"{percent(worst.use)} of what {'the engine' if len(engines) == 1 else 'the engines'} can hold back"
    return f"{percent(worst.use)} of the usable pull"


def _names(engines: Sequence[Engine]) -> tuple[str, ...]:
    return tuple(engine.name for engine in engines)


def _runs(short: Shortage, start: str, finish: str) -> bool:
    """Whether an engine can run light from one place to another."""
    try:
        find_route(short.pull.of.session.layout, (start, finish))
    except RouteError:
        return False
    return True


def _helpers(short: Shortage, before: At, after: At) -> list[Option]:
    """For each class with idle engines, the fewest that are enough; fewest first."""
    classes = sorted({one.engine.engine_class for one in short.idle})
    found = [option for name in classes if (option := _helper(short, name, before, after)) is not None]
    return sorted(found, key=lambda option: (len(option.extra), option.comes_from != option.start))


def _helper(short: Shortage, name: str, before: At, after: At) -> Option | None:
    finish, finish_mm = after
    waiting = _waiting(short, name, before, finish)
    for number, (comes_from, (start, start_mm), standing) in itertools.product(range(1, MOST_ADDED + 1), waiting):
        helpers = standing[:number]
        if len(helpers) < number:
            continue
        worst = short.pull.worst(short.ahead, (*short.behind, *helpers), (start_mm, finish_mm))
        if worst.moves:
            names = _names(helpers)
            light = "" if comes_from == start else f", coming light from {comes_from},"
            which, push, off = ("Engine", "pushes", "it comes") if number == 1 else ("Engines", "push", "they come")
            say = (
                f"{which} {in_words(names)} (class {name}){light} {push} from {start} to {finish}, where {off} off; "
                f"{_used(worst, (*short.given, *helpers))} is then used."
            )
            return Option("helper", say, _names(short.ahead), worst.use, names, name, comes_from, start, finish)
    return None


def _waiting(short: Shortage, name: str, before: At, finish: str) -> Iterator[tuple[str, At, tuple[Engine, ...]]]:
    """Where engines of a class wait, from which place on they can push, and which they are; the latest place first.

    They may wait anywhere on the route up to the place before the stretch, or come to that light. Where one comes
    off, at `finish`, its next trip must start, if it has one.
    """
    free = [
        one
        for one in short.idle
        if one.engine.engine_class == name
        and one.engine.name not in _names(short.given)
        and one.next_start in (None, finish)
    ]
    passed = {place: mm for place, mm in short.pull.train.route.places if mm <= before[1]}
    for place, mm in sorted(passed.items(), key=lambda item: -item[1]):
        yield place, (place, mm), tuple(one.engine for one in free if one.place in ("", place))
    if not short.light_moves:
        return
    for place in sorted({one.place for one in free} - set(passed) - {""}):
        if _runs(short, place, before[0]):
            yield place, before, tuple(one.engine for one in free if one.place == place)


def _leave(short: Shortage) -> Option | None:
    """Leave the heaviest cars of the legs that are short, as few as will do."""
    order = _may_stay(short)
    numbers = range(1, min(len(order), len(short.pull.train.cars) - 1) + 1)
    left = next((order[:number] for number in numbers if short.without(order[:number]).moves), None)
    if left is None:
        return None
    for car in left[::-1]:
        fewer = [other for other in left if other is not car]
        if fewer and short.without(fewer).moves:
            left = fewer
    worst = short.without(left)
    names = tuple(car.car.name for car in sorted(left, key=lambda car: car.spot))
    which = f"car {names[0]}" if len(names) == 1 else f"{len(names)} cars, {in_words(names)},"
    say = f"Leave {which} behind; {_used(worst, short.given)} is then used."
    return Option("leave", say, _names(short.ahead), worst.use, cars=names)


def _may_stay(short: Shortage) -> list[CarInTrain]:
    """The cars that may be left, those first that ride on most of the legs that are short, then the heaviest.

    A car with a hold may not, nor one that another is held with.
    """
    train = short.pull.train
    held_with = {car.hold.removeprefix("with ") for car in train.cars if car.hold and car.hold.startswith("with ")}
    legs = [leg for leg in train.legs if not short.pull.worst(short.ahead, short.behind, train.leg_mm(leg)).moves]
    riding = {car.car.name: sum(car in leg.cars for leg in legs) for car in train.cars}
    free = [car for car in train.cars if car.hold is None and car.car.name not in held_with and riding[car.car.name]]
    return sorted(free, key=lambda car: (-riding[car.car.name], -car.weight_g, car.car.name))


def _double(short: Shortage, before: At, after: At) -> Option | None:
    """Take the train over in two cuts, in its standing order, as even in weight as will do."""
    cars = short.pull.train.cars
    ahead = list(itertools.accumulate(car.weight_g for car in cars))
    for number in sorted(range(1, len(cars)), key=lambda number: abs(ahead[-1] - 2.0 * ahead[number - 1])):
        cuts = [short.of_cut(cut) for cut in (cars[:number], cars[number:])]
        if all(cut.moves for cut in cuts):
            worst = max(cuts, key=lambda cut: cut.use)
            start, finish = before[0], after[0]
            second = tuple(car.car.name for car in cars[number:])
            say = (
                f"Double from {start} to {finish}: part the train ahead of car {second[0]} into cuts of {number} and "
                f"{len(second)} cars; the harder one uses {_used(worst, short.given)}."
            )
            return Option("double", say, _names(short.ahead), worst.use, start=start, finish=finish, cars=second)
    return None


def _light(short: Shortage) -> Option | None:
    """The fewest engines that come light and are enough, with those at the place or those kept."""
    route = short.pull.train.route
    start, finish = route.stops[0], route.stops[-1]
    away = [
        one
        for one in short.idle
        if one.place not in ("", start) and one.next_start in (None, finish) and _runs(short, one.place, start)
    ]
    for whole, coming in _with_light(short, away):
        worst = short.pull.worst(whole, short.behind)
        if worst.moves:
            told = in_words([f"{one.engine.name} from {one.place}" for one in coming])
            say = (
                f"Send {'engine' if len(coming) == 1 else 'engines'} {told} light to {start} before the train leaves "
                f"and run the train behind {in_words(_names(whole))}; {_used(worst, (*whole, *short.behind))} is "
                "then used."
            )
            place = _alike(one.place for one in coming)
            engine_class = _alike(one.engine.engine_class for one in coming)
            extra = _names([one.engine for one in coming])
            return Option("light", say, _names(whole), worst.use, extra, engine_class, place, place, start)
    return None


def _alike(values: Iterable[str]) -> str | None:
    """The one value that all are, None where they differ."""
    one, *others = set(values)
    return None if others else one


def _with_light(short: Shortage, away: Sequence[Idle]) -> Iterator[tuple[tuple[Engine, ...], Sequence[Idle]]]:
    """Engines to try ahead and which of them come light, the fewest coming light first.

    Kept engines have others put behind them; a train without takes combinations that idle engines make up.
    """
    if short.kept:
        for number in range(1, MOST_ADDED + 1):
            for added in itertools.combinations(away, number):
                yield (*short.ahead, *(one.engine for one in added)), added
        return
    here = [one.engine for one in at_hand(short.idle, short.pull.train)]
    tries = []
    for combo in short.combos:
        engines = made_up(combo, here, [one.engine for one in away])
        coming = [one for engine in engines or () for one in away if one.engine == engine]
        if engines is not None and coming:
            tries.append((in_order(engines), coming))
    yield from sorted(tries, key=lambda tried: (len(tried[1]), len(tried[0])))
