"""What if: changes as values. A list of them applied to a session gives a session; nothing on disk changes.

>>> import consist
>>> session = consist.load("sample_sessions/sunday_shelf")
>>> without = session.with_changes([Take(("PQF 201",))])
>>> [len(of.train("Creamery 5").cars) for of in (session, without)]
[6, 5]
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, NoReturn

from consist.errors import ChangeError
from consist.names import did_you_mean, one_of, plain

if TYPE_CHECKING:
    from consist.session import CarInTrain, Session, Train
    from consist.stock import Car

__all__ = ["TIED", "Add", "Bring", "Change", "Engines", "LayUp", "Load", "Move", "Stand", "Take", "Weigh", "changed"]

LENGTHS_OF_HO_MM = (20.0, 1000.0)
"""What a car's body can be long in HO, by ratio elsewhere: from a handcar to a well car of five parts."""
TIED = "with "
"""How the hold of a car begins that is kept coupled to another, which it names."""


@dataclass(frozen=True)
class Take:
    """Take cars out of the train that they ride in, or out of the one named."""

    cars: tuple[str, ...]
    train: str | None = None


@dataclass(frozen=True)
class Add:
    """Set a car into a train at a spot, 1 being next to the head-end power.

    Without a spot it goes to the rear, ahead of cars held there. Between two cars of one block it joins the block.
    """

    train: str
    car: str
    spot: int | None = None
    loaded: bool = False


@dataclass(frozen=True)
class Move:
    """Move cars, in the order given, behind a car of a train, or to its front; they may come from other trains."""

    train: str
    cars: tuple[str, ...]
    after: str | None


@dataclass(frozen=True)
class Stand:
    """Make a train of just these cars, head end first."""

    train: str
    cars: tuple[str, ...]


@dataclass(frozen=True)
class Load:
    """Run a train's cars loaded, or empty."""

    train: str
    cars: tuple[str, ...]
    loaded: bool


@dataclass(frozen=True)
class Engines:
    """Give a train other engines, head end first, and helpers; None leaves those it has."""

    train: str
    engines: tuple[str, ...] | None = None
    helpers: tuple[str, ...] | None = None


@dataclass(frozen=True)
class LayUp:
    """Leave an engine at home: it is on no train, and none of those that can be had."""

    engine: str


@dataclass(frozen=True)
class Weigh:
    """Take a car to weigh so many grams, empty, wherever it rides."""

    car: str
    weight_g: float


@dataclass(frozen=True)
class Bring:
    """Take a guest's car that no table has, so long over its body, into the session; it rides in no train yet.

    Without a weight it is taken to weigh what the standard asks for, as one that was not weighed.
    """

    car: str
    body_length_mm: float
    weight_g: float | None = None
    kind: str = ""
    owner: str = ""


Change = Take | Add | Move | Stand | Load | Engines | LayUp | Weigh | Bring


def changed(session: Session, changes: Iterable[Change]) -> Session:
    """A session after changes, one after another. Raises `ChangeError` for one that cannot be."""
    for change in changes:
        match change:
            case Take(cars, train):
                for name in cars:
                    session = _without(session, name, train)
            case Add(train, car, spot, loaded):
                session = _added(session, train, car, spot, loaded)
            case Move(train, cars, after):
                session = _moved(session, session.train(train), cars, after)
            case Stand(train, cars):
                session = _stood(session, session.train(train), cars)
            case Load(train, cars, loaded):
                session = _loaded(session, session.train(train), cars, loaded)
            case Engines(train, engines, helpers):
                session = _powered(session, session.train(train), engines, helpers)
            case LayUp(engine):
                session = _laid_up(session, _known(engine, session.engines, "engine"))
            case Weigh(car, weight_g):
                session = _weighed(session, car, weight_g)
            case Bring():
                session = _brought(session, change)
    return session


def _without(session: Session, name: str, train: str | None) -> Session:
    of = _riding(session, name) if train is None else session.train(train)
    gone = _in_train(of, name)
    return _with_cars(session, of, [car for car in of.cars if car is not gone])


def _riding(session: Session, name: str) -> Train:
    """The one train that a car rides in."""
    car = _known(name, session.cars, "car")
    trains = [train for train in session.trains if any(each.car.name == car for each in train.cars)]
    if not trains:
        _refuse(f"{plain(car)} rides in no train; name a car that rides in one")
    if len(trains) > 1:
        rides = " and in ".join(plain(train.name) for train in trains)
        _refuse(f"{plain(car)} rides in {rides}; name the train as well")
    return trains[0]


def _in_train(train: Train, name: str) -> CarInTrain:
    by_name = {car.car.name: car for car in train.cars}
    found = one_of(name, by_name)
    if found is None:
        mend = did_you_mean(name, by_name, f"cars of {plain(train.name)}")
        _refuse(f"{plain(train.name)} has no car {plain(name)}; {mend}")
    return by_name[found]


def _added(session: Session, train: str, name: str, spot: int | None, loaded: bool) -> Session:
    of, car = session.train(train), session.cars[_known(name, session.cars, "car")]
    _check_free(session, of, car)
    last = len(of.cars) + 1
    if spot is not None and not 1 <= spot <= last:
        _refuse(f"spot {spot} is not in {plain(of.name)}; name one from 1 to {last}, which is its rear")
    held = len(list(itertools.takewhile(lambda car: car.hold == "rear", reversed(of.cars))))
    at = last - 1 - held if spot is None else spot - 1
    return _with_cars(session, of, _set_in(of.cars, at, [_all_the_way(of, car, loaded)]))


def _set_in(cars: Sequence[CarInTrain], at: int, new: Sequence[CarInTrain]) -> list[CarInTrain]:
    """Cars with new ones among them, which join the block that they part, and ride as far as it does."""
    ahead, behind = cars[:at], cars[at:]
    if ahead and behind and ahead[-1].block and ahead[-1].block == behind[0].block:
        new = [car if car.block else replace(ahead[-1], car=car.car, loaded=car.loaded, hold=car.hold) for car in new]
    return [*ahead, *new, *behind]


def _check_free(session: Session, train: Train, car: Car) -> None:
    """A car rides once of an evening, as far as a change can know: in no train already."""
    taken = next((each for each in session.trains if any(other.car.name == car.name for other in each.cars)), None)
    if taken is train:
        _refuse(f"{plain(car.name)} rides in {plain(train.name)} already; move it, or take it out first")
    if taken is not None:
        _refuse(f"{plain(car.name)} rides in {plain(taken.name)}; take it out there first")


def _all_the_way(train: Train, car: Car, loaded: bool) -> CarInTrain:
    from consist.session import CarInTrain

    return CarInTrain(car, 0, loaded, None, None, 0, len(train.route.stops) - 1)


def _moved(session: Session, to: Train, names: Sequence[str], after: str | None) -> Session:
    moving: list[CarInTrain] = []
    anchor = None if after is None else _in_train(to, after).car.name
    for name in names:
        of = to if _has(to, name) else _riding(session, name)
        car = _in_train(of, name)
        session = _without(session, car.car.name, of.name)
        to = session.train(to.name)
        moving.append(car if of.name == to.name else _all_the_way(to, car.car, car.loaded))
        if car.car.name == anchor:
            _refuse(f"{plain(anchor)} cannot stand behind itself; name another car, or none for the front")
    at = 0 if anchor is None else 1 + to.cars.index(_in_train(to, anchor))
    return _with_cars(session, to, _set_in(to.cars, at, moving))


def _has(train: Train, name: str) -> bool:
    return one_of(name, [car.car.name for car in train.cars]) is not None


def _stood(session: Session, train: Train, names: Sequence[str]) -> Session:
    cars: list[CarInTrain] = []
    for name in names:
        if _has(train, name):
            cars.append(_in_train(train, name))
        else:
            car = session.cars[_known(name, session.cars, "car")]
            _check_free(session, train, car)
            cars.append(_all_the_way(train, car, False))
    twice = next((car for number, car in enumerate(cars) if car.car in [other.car for other in cars[:number]]), None)
    if twice is not None:
        _refuse(f"{plain(twice.car.name)} is named twice; name each car once")
    return _with_cars(session, train, cars)


def _loaded(session: Session, train: Train, names: Sequence[str], loaded: bool) -> Session:
    chosen = {_in_train(train, name).car.name for name in names}
    cars = [replace(car, loaded=loaded) if car.car.name in chosen else car for car in train.cars]
    return _with_cars(session, train, cars)


def _powered(session: Session, train: Train, engines: Sequence[str] | None, helpers: Sequence[str] | None) -> Session:
    chosen = [
        given if names is None else tuple(session.engines[_known(name, session.engines, "engine")] for name in names)
        for names, given in ((engines, train.engines), (helpers, train.helpers))
    ]
    both = [engine.name for engine in (*chosen[0], *chosen[1])]
    twice = next((name for name in both if both.count(name) > 1), None)
    if twice is not None:
        _refuse(f"the engine {plain(twice)} is named twice in {plain(train.name)}; name each engine once")
    return _with_train(session, replace(train, engines=chosen[0], helpers=chosen[1]))


def _laid_up(session: Session, engine: str) -> Session:
    for train in session.trains:
        head, rear = (tuple(each for each in some if each.name != engine) for some in (train.engines, train.helpers))
        session = _with_train(session, replace(train, engines=head, helpers=rear))
    return replace(session, engines={name: each for name, each in session.engines.items() if name != engine})


def _weighed(session: Session, name: str, weight_g: float) -> Session:
    known = session.cars[_known(name, session.cars, "car")]
    if not 0.0 < weight_g < float("inf"):
        _refuse(f"{plain(known.name)} cannot weigh {weight_g:g} g; give a weight over nothing")
    car = replace(known, weight_g=weight_g, assumed=known.assumed - {"weight"})
    for train in session.trains:
        cars = tuple(replace(each, car=car) if each.car.name == car.name else each for each in train.cars)
        session = _with_train(session, replace(train, cars=cars))
    return replace(session, cars={**session.cars, car.name: car})


def _brought(session: Session, bring: Bring) -> Session:
    from consist.stock import car_by_rule

    known = one_of(bring.car, session.cars)
    if known is not None:
        _refuse(f"{plain(known)} is in the session's tables already; set it into a train")
    scale = session.layout.scale
    least, most = (scale.by_ratio(length) for length in LENGTHS_OF_HO_MM)
    if not least <= bring.body_length_mm <= most:
        long = f"{bring.body_length_mm:g} mm long in scale {scale.name}"
        _refuse(f"{plain(bring.car)} cannot be {long}; give its body's length, from {least:.0f} to {most:.0f} mm")
    if bring.weight_g is not None and not 0.0 < bring.weight_g < float("inf"):
        _refuse(f"{plain(bring.car)} cannot weigh {bring.weight_g:g} g; give a weight over nothing")
    car = car_by_rule(
        bring.car, scale, session.standard, session.house.rolling_percent, guest=True, weight_g=bring.weight_g,
        body_length_mm=bring.body_length_mm, kind=bring.kind, owner=bring.owner,
    )  # fmt: skip
    return replace(session, cars={**session.cars, car.name: car})


def _known(name: str, known: Iterable[str], what: str) -> str:
    names = list(known)
    found = one_of(name, names)
    if found is None:
        _refuse(f"no {what} is called {plain(name)}; {did_you_mean(name, names, f'{what}s')}")
    return found


def _with_cars(session: Session, train: Train, cars: Sequence[CarInTrain]) -> Session:
    """The session with a train of other cars, in spots from 1 on; cars no longer next to each other are not tied."""
    names = [None, *(car.car.name for car in cars), None]
    beside = zip(names, names[2:], strict=False)
    standing = []
    for spot, (car, near) in enumerate(zip(cars, beside, strict=True), start=1):
        parted = car.hold is not None and car.hold.startswith(TIED) and car.hold.removeprefix(TIED) not in near
        standing.append(replace(car, spot=spot, hold=None if parted else car.hold))
    return _with_train(session, replace(train, cars=tuple(standing)))


def _with_train(session: Session, train: Train) -> Session:
    trains = tuple(train if each.name == train.name else each for each in session.trains)
    return replace(session, trains=trains)


def _refuse(text: str) -> NoReturn:
    raise ChangeError(text)
