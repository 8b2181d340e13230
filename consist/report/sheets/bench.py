"""The bench's sheet: cars to weight, most useful first, each with its pieces, their place, and what they gain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from consist.bench import BenchCar, BenchList, Choice, ExtraEngine, Status
from consist.cautions import WEIGHTS
from consist.intake import Recorded
from consist.report.document import Caution, Cell, Column, Item, Items, Para, Section, Sheet, Table
from consist.report.sheets.cells import margin_cell, name, table, weight
from consist.report.sheets.moves import ADDING
from consist.report.sheets.session import notes_section
from consist.report.words import counted, listing, margin, unbroken
from consist.wording import NONE, Units

__all__ = ["LITTLE_GAIN", "bench_sheet", "car_facts", "gain_words", "over_trucks", "recorded_words"]

REST: tuple[tuple[Status, str], ...] = (
    ("over", "Too heavy"),
    ("heavy", "Heavy, but within what standards allow"),
    ("near", "Near enough"),
    ("on", "On target or a little over"),
    ("not weighed", "Not weighed"),
    ("under", "Under, and nothing to be done"),
)
LITTLE_GAIN = 0.005  # less does not show in a margin of two places


def bench_sheet(listed: BenchList, anchors: dict[str, str], units: Units) -> Sheet:
    """What `consist bench` tells; `anchors` are those of the trains' sheets, by train."""
    sections = [Section("", (Para(_in_short(listed)),))]
    if listed.cars:
        items = Items(tuple(_item(car, units) for car in listed.cars), numbered=True, boxes=True)
        blocks = (_weights(listed, anchors, units), items, Caution(ADDING, WEIGHTS))
        sections.append(Section("To weight, most useful first", blocks))
    if listed.trains:
        sections.append(Section("Tonight's trains with all of these done", (_trains(listed, anchors),)))
    used = _pieces_words(listed.used)
    if used:
        sections.append(Section("Pieces this takes", (Para(f"{used}."),)))
    if listed.extra_engines:
        told = tuple(
            Item(_extra_engine_words(extra, units), label=extra.train, link=anchors.get(extra.train))
            for extra in listed.extra_engines
        )
        sections.append(Section("Too heavy for the engines", (Items(told),)))
    rest = tuple(Para(cars, label=title) for title, cars in _rest_words(listed, units))
    if rest:
        sections.append(Section("The other cars", rest))
    return Sheet("bench", "bench", "At the bench", (*sections, *notes_section(listed.notes)))


def _weights(listed: BenchList, anchors: dict[str, str], units: Units) -> Table:
    def train(car: BenchCar) -> Cell:
        return Cell(NONE) if car.worst_train is None else name(car.worst_train, link=anchors.get(car.worst_train))

    return table(
        "Cars to weight, and what each by itself does for its train",
        listed.cars,
        (Column("car", wide=True), lambda car: name(car.car, strong=True)),
        (Column("kind", lesser=True), lambda car: name(car.kind)),
        (Column("owner", lesser=True), lambda car: name(car.owner)),
        (Column(f"weighs, {units.name}", figures=True), lambda car: weight(car.weight_g, units)),
        (Column("target", figures=True), lambda car: weight(car.target_g, units)),
        (Column("add", figures=True), lambda car: weight(car.add_g, units)),
        (Column("then", figures=True), lambda car: weight(car.after_g, units)),
        (Column("train"), train),
        (Column("margin now", figures=True, lesser=True), lambda car: margin_cell(car.margin)),
        (Column("margin then", figures=True, lesser=True), lambda car: margin_cell(car.margin_after)),
        told_below=True,
    )


def _item(car: BenchCar, units: Units) -> Item:
    """A car with the pieces to add; what the table tells of it as well stands apart."""
    facts = dict(car_facts(car, units))
    first = f"add {facts.pop('Add')}" if "Add" in facts else facts.pop("Weighs")
    more = tuple(facts.pop(key) for key in ("Where", "Note") if key in facts)
    about = ", ".join(text for text in (car.kind, car.owner) if text.strip())
    label = f"{unbroken(car.car)} ({about})" if about else unbroken(car.car)
    return Item(first, label=label, more=more, facts=tuple(facts.items()))


def _trains(listed: BenchList, anchors: dict[str, str]) -> Table:
    return table(
        "Margins of tonight's trains now and with all of these cars done",
        listed.trains,
        (Column("train", wide=True), lambda one: name(one.train, strong=True, link=anchors.get(one.train))),
        (Column("margin now", figures=True), lambda one: margin_cell(one.margin)),
        (Column("margin then", figures=True), lambda one: margin_cell(one.after)),
    )


def _in_short(listed: BenchList) -> str:
    """Scale and standard, and how many cars there are to weight."""
    under = len(listed.cars) + len(listed.later)
    standard = listed.title or listed.standard
    said = f"{listed.scale} scale, car weights by {standard}"
    said += f", which counts {listed.length_words}. " if listed.length_words else ". "
    said += f"{counted(under + len(listed.others), 'car')}: {under} to weight."
    if listed.minutes is not None and listed.per_car is not None:
        time = f"{listed.minutes:g} minutes at {listed.per_car:g} a car"
        said += f" {time} are enough for {len(listed.cars)} of them." if under else ""
    return said


def car_facts(car: BenchCar, units: Units) -> Iterator[tuple[str, str]]:
    """What one car weighs and lacks, which pieces go over which truck, and what it does for tonight, by name."""
    weighs = "not weighed" if car.weight_g is None else unbroken(units.weight(car.weight_g))
    said = f"{weighs} now, {unbroken(units.weight(car.target_g))} is its target"
    told = {"Weighs": said + (f": add {unbroken(units.weight(car.add_g))}." if car.add_g is not None else ".")}
    if car.choice is not None and car.choice.pieces:
        after = f" It then weighs {unbroken(units.weight(car.after_g))}." if car.after_g is not None else ""
        told["Add"] = f"{over_trucks(car.choice)}{after}"
    told |= {"Where": car.place, "Gains": gain_words(car), "Note": car.note}
    return ((label, words) for label, words in told.items() if words.strip())


def over_trucks(choice: Choice) -> str:
    """Which pieces go where."""
    one, other = choice.trucks
    if one == other:
        return f"{_pieces_words(one)} over each truck."
    if not one or not other:
        where = "the middle" if choice.even else "one truck"
        return f"{_pieces_words(one or other)} over {where}."
    return f"{_pieces_words(one)} over one truck, {_pieces_words(other)} over the other."


def _pieces_words(pieces: Mapping[str, int]) -> str:
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


def _extra_engine_words(extra: ExtraEngine, units: Units) -> str:
    """The engines that a train's heavy cars cost."""
    cars = listing([unbroken(name) for name in extra.cars])
    now = "no number of engines" if extra.engines is None else counted(extra.engines, "engine")
    return (
        f"needs {now} of class {extra.engine_class}, and {extra.without} without the "
        f"{unbroken(units.weight(extra.excess_g))} that {cars} "
        f"{'is' if len(extra.cars) == 1 else 'are'} over the standard."
    )


def _rest_words(listed: BenchList, units: Units) -> Iterator[tuple[str, str]]:
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


def recorded_words(recorded: Sequence[Recorded]) -> Iterator[str]:
    """What was written into which table, and where the old one is kept."""
    for written in recorded:
        changes = (f"{one.car} {one.column} {one.old or NONE} to {one.new}" for one in written.changes)
        yield f"{written.file}: {', '.join(changes)}. The old table is kept as {written.backup.name}."
