"""What would move a train that is short of power: a helper, cars left behind, two cuts, an engine that comes light.

Every option is worked out on the train as it would then run, and offered only where that is enough.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from consist.power.results import Combo, Option
from consist.power.train_pull import TrainPull, Worst
from consist.power.whereabouts import Idle, at_hand
from consist.session import CarInTrain
from consist.stock import Engine
from consist.track import RouteError, find_route
from consist.wording import in_words, percent

__all__ = ["Shortage", "options"]

MOST_ADDED = 2
"""As many helpers are tried on one train, or engines added to those it keeps."""


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
    def names(self) -> tuple[str, ...]:
        """The engines it has by name."""
        return tuple(engine.name for engine in self.ahead)

    def stretch(self) -> tuple[tuple[str, float], tuple[str, float]] | None:
        """The places around all of the route where it is short, with where they lie; None where it nowhere is."""
        heads = self.pull.short_at(self.ahead, self.behind)
        if not heads:
            return None
        places = self.pull.train.route.places
        before = [place for place in places if place[1] <= min(heads)]
        after = [place for place in places if place[1] >= max(heads)]
        return before[-1] if before else places[0], after[0] if after else places[-1]


def options(short: Shortage) -> tuple[Option, ...]:
    """The options that would do, cheapest first: helpers, cars left behind, two cuts, engines that come light."""
    found: list[Option] = []
    if short.ahead:
        found.extend(_helpers(short))
        found.extend(option for option in (_leave(short), _double(short)) if option is not None)
    light = _light(short) if _light_moves(short) else None
    return (*found, light) if light is not None else tuple(found)


def _light_moves(short: Shortage) -> bool:
    return short.pull.session.house.light_moves


# Helpers


def _helpers(short: Shortage) -> list[Option]:
    """For each class with idle engines, the fewest that are enough; fewest first."""
    stretch = short.stretch()
    if stretch is None:
        return []
    classes = sorted({one.engine.engine_class for one in short.idle})
    found = [option for name in classes if (option := _helper(short, name, stretch)) is not None]
    return sorted(found, key=lambda option: (len(option.extra), option.comes_from != option.start))


def _helper(short: Shortage, name: str, stretch: tuple[tuple[str, float], tuple[str, float]]) -> Option | None:
    (_, _), (finish, finish_mm) = stretch
    for number in range(1, MOST_ADDED + 1):
        for comes_from, (start, start_mm), standing in _waiting(short, name, stretch[0], finish):
            if len(standing) < number:
                continue
            helpers = standing[:number]
            worst = short.pull.worst(short.ahead, (*short.behind, *helpers), (start_mm, finish_mm))
            if worst.moves:
                return _helper_option(short, helpers, comes_from, start, finish, worst.use)
    return None


def _waiting(
    short: Shortage, name: str, before: tuple[str, float], finish: str
) -> Iterator[tuple[str, tuple[str, float], tuple[Engine, ...]]]:
    """Where engines of a class wait, from which place on they can push, and which they are; the latest place first.

    They may wait anywhere on the route up to the place before the stretch, or come to that light. Where one comes
    off, at `finish`, its next trip must start, if it has one.
    """
    ahead = {engine.name for engine in (*short.ahead, *short.behind)}
    free = [
        one
        for one in short.idle
        if one.engine.engine_class == name and one.engine.name not in ahead and one.next_start in (None, finish)
    ]
    passed = {place: mm for place, mm in short.pull.train.route.places if mm <= before[1]}
    for place, mm in sorted(passed.items(), key=lambda item: -item[1]):
        standing = tuple(one.engine for one in free if one.place in ("", place))
        yield place, (place, mm), standing
    if _light_moves(short):
        for place in sorted({one.place for one in free} - set(passed) - {""}):
            if _runs(short, place, before[0]):
                yield place, before, tuple(one.engine for one in free if one.place == place)


def _helper_option(
    short: Shortage, helpers: tuple[Engine, ...], comes_from: str, start: str, finish: str, use: float
) -> Option:
    names = tuple(engine.name for engine in helpers)
    name = helpers[0].engine_class
    which = f"Engine {names[0]}" if len(names) == 1 else f"Engines {in_words(names)}"
    light = "" if comes_from == start else f", coming light from {comes_from},"
    push = "pushes" if len(names) == 1 else "push"
    off = "it comes" if len(names) == 1 else "they come"
    say = (
        f"{which} (class {name}){light} {push} from {start} to {finish}, where {off} off; "
        f"{percent(use)} of the usable pull is then used."
    )
    return Option("helper", say, short.names, use, names, name, comes_from=comes_from, start=start, finish=finish)


def _runs(short: Shortage, start: str, finish: str) -> bool:
    try:
        find_route(short.pull.session.layout, (start, finish))
    except RouteError:
        return False
    return True


# Cars left behind


def _leave(short: Shortage) -> Option | None:
    """Leave the heaviest cars of the legs that are short, as few as will do."""
    cars = short.pull.train.cars
    order = _may_stay(short)
    left: list[CarInTrain] | None = None
    for number in range(1, min(len(order), len(cars) - 1) + 1):
        if _without(short, order[:number]).moves:
            left = order[:number]
            break
    if left is None:
        return None
    for car in left[::-1]:
        fewer = [other for other in left if other is not car]
        if fewer and _without(short, fewer).moves:
            left = fewer
    use = _without(short, left).use
    names = tuple(car.car.name for car in sorted(left, key=lambda car: car.spot))
    which = f"car {names[0]}" if len(names) == 1 else f"{len(names)} cars, {in_words(names)},"
    say = f"Leave {which} behind; {percent(use)} of the usable pull is then used."
    return Option("leave", say, short.names, use, cars=names)


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


def _without(short: Shortage, left: Sequence[CarInTrain]) -> Worst:
    gone = {car.car.name for car in left}
    stays = [car for car in short.pull.train.cars if car.car.name not in gone]
    return short.pull.with_cars(stays).worst(short.ahead, short.behind)


# Two cuts


def _double(short: Shortage) -> Option | None:
    """Take the train over in two cuts, in its standing order, as even in weight as will do."""
    cars = short.pull.train.cars
    stretch = short.stretch()
    if stretch is None or len(cars) < 2:
        return None
    total = sum(car.weight_g for car in cars)
    weights = list(itertools.accumulate(car.weight_g for car in cars))
    splits = sorted(range(1, len(cars)), key=lambda number: (abs(total - 2.0 * weights[number - 1]), number))
    for number in splits:
        cuts = [short.pull.with_cars(cut).worst(short.ahead, short.behind) for cut in (cars[:number], cars[number:])]
        if all(cut.moves for cut in cuts):
            use = max(cut.use for cut in cuts)
            (start, _), (finish, _) = stretch
            second = tuple(car.car.name for car in cars[number:])
            say = (
                f"Double from {start} to {finish}: part the train ahead of car {second[0]} into cuts of {number} and "
                f"{len(second)} cars; the harder one uses {percent(use)} of the usable pull."
            )
            return Option("double", say, short.names, use, start=start, finish=finish, cars=second)
    return None


# Engines that come light


def _light(short: Shortage) -> Option | None:
    """The fewest engines that come light and are enough, with those at the place or those kept."""
    train = short.pull.train
    start, finish = train.route.stops[0], train.route.stops[-1]
    away = [
        one
        for one in short.idle
        if one.place not in ("", start) and one.next_start in (None, finish) and _runs(short, one.place, start)
    ]
    for whole, coming in _with_light(short, away):
        worst = short.pull.worst(whole, short.behind)
        if worst.moves:
            return _light_option(tuple(engine.name for engine in whole), coming, start, worst.use)
    return None


def _with_light(short: Shortage, away: Sequence[Idle]) -> Iterator[tuple[tuple[Engine, ...], Sequence[Idle]]]:
    """Engines to try ahead and which of them come light, the fewest coming light first.

    Kept engines have others put behind them; a train without takes combinations that idle engines make up.
    """
    if short.kept:
        for number in range(1, MOST_ADDED + 1):
            for added in itertools.combinations(away, number):
                yield (*short.ahead, *(one.engine for one in added)), added
        return
    here = at_hand(short.idle, short.pull.train)
    tries = [picked for combo in short.combos if (picked := _picked(combo, here, away)) is not None]
    for at_place, coming in sorted(tries, key=lambda pair: (len(pair[1]), len(pair[0]))):
        if coming:
            engines = [one.engine for one in (*at_place, *coming)]
            yield tuple(sorted(engines, key=lambda engine: (engine.engine_class, engine.name))), coming


def _picked(combo: Combo, here: Sequence[Idle], away: Sequence[Idle]) -> tuple[list[Idle], list[Idle]] | None:
    """Engines for a combination, those at the place before those elsewhere; None where there are too few."""
    at_place: list[Idle] = []
    coming: list[Idle] = []
    for name, number in combo.classes.items():
        near = [one for one in here if one.engine.engine_class == name][:number]
        far = [one for one in away if one.engine.engine_class == name][: number - len(near)]
        if len(near) + len(far) < number:
            return None
        at_place.extend(near)
        coming.extend(far)
    return at_place, coming


def _light_option(names: tuple[str, ...], coming: Sequence[Idle], start: str, use: float) -> Option:
    extra = tuple(one.engine.name for one in coming)
    told = in_words([f"{one.engine.name} from {one.place}" for one in coming])
    which = "engine" if len(coming) == 1 else "engines"
    say = (
        f"Send {which} {told} light to {start} before the train leaves and run the train behind {in_words(names)}; "
        f"{percent(use)} of the usable pull is then used."
    )
    places = sorted({one.place for one in coming})
    classes = sorted({one.engine.engine_class for one in coming})
    return Option(
        "light",
        say,
        names,
        use,
        extra,
        classes[0] if len(classes) == 1 else None,
        comes_from=places[0] if len(places) == 1 else None,
        start=places[0] if len(places) == 1 else None,
        finish=start,
    )
