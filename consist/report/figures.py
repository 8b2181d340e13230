"""A train's figures, each with its name: margin, drawbar, power, order, makeup and route."""

from __future__ import annotations

from rich.text import Text

from consist.checking.results import TrainCheck
from consist.report.units import Units
from consist.report.words import NONE, at, clean, counted, listing, margin, paragraph, percent, score
from consist.session import Train

__all__ = ["figures", "power_words"]

LABEL_WIDTH = 9
MINUTES_PER_HOUR, MINUTES_PER_DAY = 60, 1440


def figures(train: Train, result: TrainCheck, units: Units, width: int) -> list[Text]:
    """The figures as a list of short sentences."""
    lines: list[Text] = []
    for name, said in (
        ("Margin", _margin(train, result, units)),
        ("Drawbar", _drawbar(train, result, units)),
        ("Power", power_words(result)),
        ("Order", _order(result)),
        ("Train", _makeup(result, units)),
        ("Route", _route(train, result, units)),
    ):
        label = name.ljust(LABEL_WIDTH)
        lines.extend(paragraph(said, width, label=label, style="bold", indent=LABEL_WIDTH + 1))
    return lines


def power_words(result: TrainCheck) -> str:
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
    return "; ".join(said) + "."


def _margin(train: Train, result: TrainCheck, units: Units) -> str:
    worst = result.worst
    if worst is None or result.margin is None:
        return f"{NONE}, no side pull."
    return (
        f"{margin(result.margin)} at {clean(worst.car)} in spot {worst.spot}, "
        f"{_toward(train, worst.car_mm, units)}, the head end {_past(train, worst.head_mm, units)}."
    )


def _drawbar(train: Train, result: TrainCheck, units: Units) -> str:
    peak = result.peak_drawbar
    if peak is None:
        return f"{NONE}, no coupling."
    return (
        f"{units.weight(peak.g)} at most, behind {clean(peak.behind)} {clean(at(peak.place))}, "
        f"the head end {_past(train, peak.head_mm, units)}."
    )


def _order(result: TrainCheck) -> str:
    said = []
    if result.order_score is not None:
        said.append(f"{score(result.order_score)} of 100, where 100 is the best its blocks and holds allow")
    if result.heavy_forward is not None:
        said.append(f"heavy forward {score(result.heavy_forward)} %, where 100 % is heavy to light from the head end")
    return "; ".join(said) + "." if said else f"{NONE}."


def _makeup(result: TrainCheck, units: Units) -> str:
    most = counted(len(result.cars), "car")
    where = " on the leg with the worst margin" if len(result.legs) > 1 else ""
    return f"{most}; {units.train_weight(result.weight_g)} of cars, {units.distance(result.length_mm)} long{where}."


def _route(train: Train, result: TrainCheck, units: Units) -> str:
    stops = ", ".join(clean(stop) for stop in train.route.stops)
    times = "" if train.times is None else f", {_clock(train.times[0])} to {_clock(train.times[1])}"
    return f"{stops}; {units.distance(result.route_mm)}{times}."


def _clock(minutes: int) -> str:
    hour, minute = divmod(minutes % MINUTES_PER_DAY, MINUTES_PER_HOUR)
    return f"{hour}:{minute:02d}"


def _past(train: Train, distance_mm: float, units: Units) -> str:
    """Where a distance along the route lies: at a place, or how far past the last one."""
    before, beyond = train.route.past(distance_mm)
    if round(beyond) <= 0:
        return f"at {clean(before)}"
    return f"{units.distance(beyond)} past {clean(before)}"


def _toward(train: Train, distance_mm: float, units: Units) -> str:
    """The same, with the place ahead."""
    where = _past(train, distance_mm, units)
    ahead = [name for name, place_mm in train.route.places if place_mm > distance_mm]
    return f"{where} toward {clean(ahead[0])}" if ahead and not where.startswith("at ") else where
