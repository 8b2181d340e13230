"""A train's figures in words, each with its name: margin, drawbar, power, order, makeup and route."""

from __future__ import annotations

from dataclasses import dataclass

from consist.checking.results import TrainCheck
from consist.power.words import clock
from consist.report.units import Units
from consist.report.words import NONE, at, clean, counted, listing, margin, percent, score
from consist.session import Train

__all__ = ["Figure", "figure_words", "makeup", "past_words", "times_words"]


@dataclass(frozen=True)
class Figure:
    """Something told of a train: its name, the words, and the figure of the JSON that they tell, None for none.

    `more` is what goes into the same sentence, or stands below by its own name.
    """

    name: str
    words: str
    value: float | None
    more: Figure | None = None

    @property
    def sentence(self) -> str:
        """All of it in one sentence.

        >>> Figure("Order", "28 of 100", 28.4, Figure("Heavy forward", "37 %", 37.1)).sentence
        '28 of 100; heavy forward 37 %.'
        """
        ending = "" if self.more is None else f"; {self.more.name.lower()} {self.more.words}"
        return f"{self.words}{ending}."


def figure_words(train: Train, result: TrainCheck, units: Units) -> tuple[Figure, ...]:
    """The figures, in the order in which they are told."""
    peak = result.peak_drawbar
    return (
        Figure("Margin", _margin(train, result, units), result.margin),
        Figure("Drawbar", _drawbar(train, result, units), None if peak is None else peak.g),
        Figure("Power", _power(result), result.power.use),
        _order(result),
        makeup(result, units),
        Figure("Route", _route(train, result, units), result.route_mm),
    )


def times_words(train: Train) -> str:
    """When the train departs and arrives; empty where its times are not given."""
    return "" if train.times is None else f"{clock(train.times[0])} to {clock(train.times[1])}"


def _power(result: TrainCheck) -> str:
    """Engines on the train, how much of their pull it takes, and how many of each class would do."""
    power = result.power
    assigned = listing([clean(name) for name in power.assigned])
    said = [f"{counted(len(power.assigned), 'engine')} assigned: {assigned}" if assigned else "no engine assigned"]
    if power.use is not None:
        said.append(f"{percent(power.use)} of usable pull used at the hardest place")
    if power.by_class:
        needed = [
            f"{number} {clean(name)}" if number is not None else f"no number of {clean(name)}"
            for name, number in power.by_class.items()
        ]
        said.append(f"would do at the head end alone: {' or '.join(needed)}")
    return "; ".join(said)


def _margin(train: Train, result: TrainCheck, units: Units) -> str:
    worst = result.worst
    if worst is None or result.margin is None:
        return f"{NONE}, no side pull"
    return (
        f"{margin(result.margin)} at {clean(worst.car)} in spot {worst.spot}, "
        f"{_toward(train, worst.car_mm, units)}, the head end {past_words(train, worst.head_mm, units)}"
    )


def _drawbar(train: Train, result: TrainCheck, units: Units) -> str:
    peak = result.peak_drawbar
    if peak is None:
        return f"{NONE}, no coupling"
    return (
        f"{units.weight(peak.g)} at most, behind {clean(peak.behind)} {clean(at(peak.place))}, "
        f"the head end {past_words(train, peak.head_mm, units)}"
    )


def _order(result: TrainCheck) -> Figure:
    heavy = None
    if result.heavy_forward is not None:
        told = f"{score(result.heavy_forward)} %, where 100 % is heavy to light from the head end"
        heavy = Figure("Heavy forward", told, result.heavy_forward)
    if result.order_score is not None:
        told = f"{score(result.order_score)} of 100, where 100 is the best its blocks and holds allow"
        return Figure("Order", told, result.order_score, heavy)
    if heavy is not None:
        return Figure("Order", f"heavy forward {heavy.words}", heavy.value)
    return Figure("Order", NONE, None)


def makeup(result: TrainCheck, units: Units) -> Figure:
    """How many cars a train has, what they weigh and how long it is."""
    most = counted(len(result.cars), "car")
    where = " on the leg with the worst margin" if len(result.legs) > 1 else ""
    told = f"{most}; {units.train_weight(result.weight_g)} of cars, {units.distance(result.length_mm)} long{where}"
    return Figure("Train", told, result.weight_g)


def _route(train: Train, result: TrainCheck, units: Units) -> str:
    stops = ", ".join(clean(stop) for stop in train.route.stops)
    times = "" if train.times is None else f", {times_words(train)}"
    return f"{stops}; {units.distance(result.route_mm)}{times}"


def past_words(train: Train, distance_mm: float, units: Units) -> str:
    """Where a distance along the route lies: at a place, or how far past the last one."""
    before, beyond = train.route.past(distance_mm)
    if round(beyond) <= 0:
        return f"at {clean(before)}"
    return f"{units.distance(beyond)} past {clean(before)}"


def _toward(train: Train, distance_mm: float, units: Units) -> str:
    """The same, with the place ahead."""
    where = past_words(train, distance_mm, units)
    ahead = [name for name, place_mm in train.route.places if place_mm > distance_mm]
    return f"{where} toward {clean(ahead[0])}" if ahead and not where.startswith("at ") else where
