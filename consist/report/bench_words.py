"""What the bench's page and its sheet both say: what a car weighs and lacks, its pieces, and what they gain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from consist.bench import BenchCar, BenchList, Choice, ExtraEngine, Status
from consist.report.units import Units
from consist.report.words import clean, counted, listing, margin, unbroken

__all__ = [
    "LITTLE_GAIN",
    "about_words",
    "car_words",
    "extra_engine_words",
    "gain_words",
    "in_short",
    "over_trucks",
    "pieces_words",
    "rest_words",
    "trains_words",
]

REST: tuple[tuple[Status, str], ...] = (
    ("over", "Too heavy"),
    ("heavy", "Heavy, but within what standards allow"),
    ("near", "Near enough"),
    ("on", "On target or a little over"),
    ("not weighed", "Not weighed"),
    ("under", "Under, and nothing to be done"),
)
LITTLE_GAIN = 0.005  # less does not show in a margin of two places


def in_short(listed: BenchList) -> str:
    """Scale and standard, and how many cars there are to weight."""
    under = len(listed.cars) + len(listed.later)
    standard = clean(listed.title or listed.standard)
    said = f"{clean(listed.scale)} scale, car weights by {standard}"
    said += f", which counts {listed.length_words}. " if listed.length_words else ". "
    said += f"{counted(under + len(listed.others), 'car')}: {under} to weight."
    if listed.minutes is not None and listed.per_car is not None:
        time = f"{listed.minutes:g} minutes at {listed.per_car:g} a car"
        said += f" {time} are enough for {len(listed.cars)} of them." if under else ""
    return said


def about_words(car: BenchCar) -> str:
    """A car's kind and owner."""
    return ", ".join(clean(text) for text in (car.kind, car.owner) if text.strip())


def car_words(car: BenchCar, units: Units) -> dict[str, str]:
    """What one car weighs and lacks, which pieces go over which truck, and what it does for tonight, by name."""
    weighs = "not weighed" if car.weight_g is None else unbroken(units.weight(car.weight_g))
    said = f"{weighs} now, {unbroken(units.weight(car.target_g))} is its target"
    told = {"Weighs": said + (f": add {unbroken(units.weight(car.add_g))}." if car.add_g is not None else ".")}
    if car.choice is not None and car.choice.pieces:
        after = f" It then weighs {unbroken(units.weight(car.after_g))}." if car.after_g is not None else ""
        told["Add"] = f"{over_trucks(car.choice)}{after}"
    told |= {"Where": clean(car.place), "Gains": gain_words(car), "Note": clean(car.note)}
    return {name: words for name, words in told.items() if words}


def over_trucks(choice: Choice) -> str:
    """Which pieces go where."""
    one, other = choice.trucks
    if one == other:
        return f"{pieces_words(one)} over each truck."
    if not one or not other:
        where = "the middle" if choice.even else "one truck"
        return f"{pieces_words(one or other)} over {where}."
    return f"{pieces_words(one)} over one truck, {pieces_words(other)} over the other."


def pieces_words(pieces: Mapping[str, int]) -> str:
    """Pieces and how many of each."""
    return listing([f"{number} × {unbroken(name)}" for name, number in pieces.items() if number])


def gain_words(car: BenchCar) -> str:
    """What the car by itself does for the worst of its trains."""
    if car.worst_train is None or car.gain is None:
        return "nothing tonight: it rides in no train." if not car.trains else "nothing tonight."
    train = unbroken(car.worst_train)
    if abs(car.gain) < LITTLE_GAIN:
        return f"nothing tonight; {train} keeps its margin of {margin(car.margin)}."
    way = f"from {margin(car.margin)} to {margin(car.margin_after)}"
    return f"the margin of {train} goes {way}." if car.gain > 0.0 else f"nothing tonight; {train} falls {way}."


def trains_words(listed: BenchList) -> Iterator[tuple[str, str]]:
    """What the whole list does for tonight's trains, by train."""
    for train in listed.trains:
        yield clean(train.train), f"margin {margin(train.margin)} now, {margin(train.after)} then."


def extra_engine_words(extra: ExtraEngine, units: Units) -> str:
    """The engines that a train's heavy cars cost."""
    cars = listing([unbroken(name) for name in extra.cars])
    now = "no number of engines" if extra.engines is None else counted(extra.engines, "engine")
    return (
        f"needs {now} of class {clean(extra.engine_class)}, and {extra.without} without the "
        f"{unbroken(units.weight(extra.excess_g))} that {cars} "
        f"{'is' if len(extra.cars) == 1 else 'are'} over the standard."
    )


def rest_words(listed: BenchList, units: Units) -> Iterator[tuple[str, str]]:
    """Cars left for another day, and those that need nothing, each kind under its title."""
    if listed.later:
        told = [f"{unbroken(car.car)} ({_lacks(car, units)})" for car in listed.later]
        yield "Left for another day", f"{', '.join(told)}."
    for status, title in REST:
        names = [_named(car, units) for car in listed.others if car.status == status]
        if names:
            yield title, f"{', '.join(names)}."


def _lacks(car: BenchCar, units: Units) -> str:
    return "to weight" if car.add_g is None else unbroken(f"lacks {units.weight(car.add_g)}")


def _named(car: BenchCar, units: Units) -> str:
    """The car; where it is too heavy, by how much."""
    name = unbroken(car.car)
    if car.status in ("over", "heavy") and car.weight_g is not None:
        return f"{name} ({unbroken(units.weight(car.weight_g - car.target_g) + ' over')})"
    return name
