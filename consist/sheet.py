"""A table of cars run over one hardest place: all that is known where somebody else's railroad has never been drawn.

The rows stand in order, head end first. Where no engine's pull is told a stand-in pulls them with what it takes.

>>> of = load_sheet("sample_sessions/sunday_shelf/cars.csv", scale="N", radius_mm=280.0, grade_percent=2.0)
>>> [(train.name, len(train.cars)) for train in of.trains], of.layout.scale.name
([('cars', 22)], 'N')
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import radians
from pathlib import Path

from consist.errors import InputError
from consist.house import House, OwnStandard
from consist.intake import (
    Hard,
    HardestPlaces,
    Reading,
    TableMap,
    cars_of,
    check_headings,
    guess,
    hardest_layout,
    longest_train_mm,
    read_cars,
    route_over,
)
from consist.scales import MM_PER_INCH, Scale, scale_named
from consist.session import CarInTrain, Session, Train
from consist.stock import Car, Engine, StandardError, WeightStandard, engine_by_rule, weight_standard
from consist.track import Piece
from consist.trains import prepared
from consist.wording import units_for

__all__ = ["STAND_IN", "TURN_DEG", "load_sheet"]

STAND_IN = "stand-in"
TURN_DEG = 180.0
AMPLE_G = 1e6
"""A pull that moves any train of models."""


def load_sheet(
    path: str | Path,
    *,
    scale: str | Scale,
    radius_mm: float | None = None,
    grade_percent: float = 0.0,
    turn_deg: float = TURN_DEG,
    pulls_g: Sequence[float] = (),
    standard: str | OwnStandard | WeightStandard | None = None,
    unit: str = "mm",
    taken: Mapping[str, str] | None = None,
) -> Session:
    """A session of one train: the cars of a table, one a row in standing order, over a curve on a grade.

    `radius_mm` is None for straight track. `pulls_g` are the pulls of the engines at the head end; without one a
    stand-in has the pull that is needed, and a note says how much that is. `taken` says by column which of the
    owner's headings it stands under, where that is not found by itself. Raises `InputError` with every problem of
    the table, and for a scale or standard that is not known.
    """
    path, known = Path(path), scale_named(scale)
    house = House()
    try:
        counted = standard if isinstance(standard, WeightStandard) else weight_standard(standard, known)
    except StandardError as error:
        raise InputError.of("--standard", str(error)) from None
    stock = cars_of(read_cars(path, known, _how(path, known, taken or {})), known, counted, house.rolling_percent)
    if not stock:
        raise InputError.of(path.name, "found no car, expected a row for each car in standing order; add the cars")
    engines = [
        engine_by_rule(str(number), known, pull_g=pull, engine_class="own")
        for number, pull in enumerate(pulls_g, start=1)
    ]
    least = 0.5 * known.gauge_mm
    if radius_mm is not None and radius_mm <= least:
        found, wanted = (f"{each / MM_PER_INCH if unit == 'in' else each:.4g} {unit}" for each in (radius_mm, least))
        told = f"found a radius of {found}, expected more than half the gauge, {wanted}; correct the radius"
        raise InputError.of("--curve", told)
    hard = _hard(radius_mm, grade_percent, turn_deg)
    places = HardestPlaces("hardest place", known, unit, (hard,))
    made = _session(path, house, places, stock, engines or [_stand_in(known, AMPLE_G)])
    made = replace(made, standard=counted, notes=tuple(filter(None, (counted.note,))))
    return made if engines else _with_enough(made)


def _how(path: Path, scale: Scale, taken: Mapping[str, str]) -> TableMap:
    """How a table is read: by its owner's headings, where it has not our own and enough of them is known."""
    reading = Reading(path.name)
    try:
        found = guess(path, reading, "cars", taken, ratio=scale.ratio)
        check_headings(path, found, taken)
    except InputError:
        if taken:
            raise
        return TableMap()  # what is wrong is told by its reading
    if taken and not found.lacking:
        return found.how
    return TableMap() if found.lacking or found.how.columns["car"] == ("car",) else found.how


def _hard(radius_mm: float | None, grade_percent: float, turn_deg: float) -> Hard:
    grade = grade_percent / 100.0
    if radius_mm is None:
        return Hard("the grade", Piece(grade=grade))
    return Hard("the curve", Piece(grade=grade, radius_mm=radius_mm, turn=1, angle=radians(turn_deg)))


def _session(
    path: Path, house: House, known: HardestPlaces, stock: Sequence[Car], engines: Sequence[Engine]
) -> Session:
    layout = hardest_layout(known, longest_train_mm(known.scale, stock, engines, [path.stem] * len(stock)))
    route = route_over(layout, known, [known.places[0].name])
    last = len(route.stops) - 1
    cars = tuple(CarInTrain(car, spot, False, None, None, 0, last) for spot, car in enumerate(stock, start=1))
    train = Train(path.stem, route, tuple(engines), (), cars)
    by_name = {car.name: car for car in stock}
    standard = weight_standard(None, known.scale)
    return Session(path.stem, house, standard, layout, by_name, {one.name: one for one in engines}, (train,))


def _stand_in(scale: Scale, pull_g: float) -> Engine:
    # it weighs nothing, so that all that it pulls is told
    made = engine_by_rule(STAND_IN, scale, pull_g=pull_g, engine_class=STAND_IN)
    return replace(made, weight_g=1e-9, stands_in=True)


def _with_enough(session: Session) -> Session:
    """The session with a stand-in that has the pull which its train needs, and a note of that."""
    (train,) = session.trains
    (ample,) = train.engines
    along = prepared(session, train).hauled([ample])
    asked = max(float(leg.resistance.max(initial=0.0)) for leg in along)
    held = max(float((-leg.resistance).max(initial=0.0)) for leg in along)
    pull = max(asked, held) / (1.0 - session.house.pull_reserve)
    enough = replace(ample, pull_g=max(pull, 1e-3))
    units = units_for(session.layout.unit)
    note = (
        f"No engine was named, so a stand-in pulls the train: {units.weight(max(asked, held))} at the hardest place. "
        f"Engines of {units.weight(pull)} of pull in all have that beside their reserve, their own weight on the "
        "grade left aside."
    )
    return replace(
        session,
        engines={enough.name: enough},
        trains=(replace(train, engines=(enough,)),),
        notes=(*session.notes, note),
    )
