"""The bench's sheet: cars to weight, most useful first, each with its pieces, their place, and what they gain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from consist.bench import BenchCar, BenchList, Choice, ExtraEngine, Status
from consist.intake import Recorded
from consist.report.document import Item, Para, Sheet, Table
from consist.report.sheets.cells import figures, table, words
from consist.report.sheets.parts import ADDING_WEIGHT, items, notes, section, sheet
from consist.report.words import counted, in_words, margin, named, unbroken
from consist.scales import scale_words
from consist.wording import NONE, Units

__all__ = ["LITTLE_GAIN", "bench_sheet", "gain_words", "over_trucks", "recorded_words", "weighs_words"]

REST: tuple[tuple[Status, str], ...] = (
    ("over", "Too heavy"),
    ("heavy", "Heavy, but within what standards allow"),
    ("near", "Near enough"),
    ("on", "On target or a little over"),
    ("not weighed", "Not weighed"),
    ("under", "Under, and nothing to be done"),
)
LITTLE_GAIN = 0.005  # less does not show in a margin of two places


def bench_sheet(listed: BenchList, anchors: Mapping[str, str], units: Units) -> Sheet:
    """What `consist bench` tells; `anchors` are those of the trains' sheets, by train."""
    to_weight = items((_item(car, units) for car in listed.cars), numbered=True, boxes=True)
    used = _pieces_words(listed.used)
    too_heavy = (
        Item(_extra_engine_words(extra, units), label=extra.train, link=anchors.get(extra.train))
        for extra in listed.extra_engines
    )
    margins = table(
        "Margins of tonight's trains now and with all of these cars done",
        listed.trains,
        words("train", lambda one: one.train, wide=True, strong=True, links=anchors),
        figures("margin now", lambda one: one.margin, margin),
        figures("margin then", lambda one: one.after, margin),
    )
    cars = (_weights(listed, anchors, units), to_weight, ADDING_WEIGHT) if listed.cars else ()
    return sheet(
        "bench",
        "At the bench",
        section("", Para(_in_short(listed))),
        section("To weight, most useful first", *cars),
        section("Tonight's trains with all of these done", margins if listed.trains else None),
        section("Pieces this takes", Para(f"{used}.") if used else None),
        section("Too heavy for the engines", items(too_heavy)),
        section("The other cars", *(Para(f"{cars}.", label=title) for title, cars in _rest_words(listed, units))),
        notes(listed.notes),
    )


def _weights(listed: BenchList, anchors: Mapping[str, str], units: Units) -> Table:
    return table(
        "Cars to weight, and what each by itself does for its train",
        listed.cars,
        words("car", lambda car: car.car, wide=True, strong=True),
        words("kind", lambda car: car.kind, lesser=True),
        words("owner", lambda car: car.owner, lesser=True),
        figures(f"weighs, {units.name}", lambda car: car.weight_g, units.weight_figure),
        figures("target", lambda car: car.target_g, units.weight_figure),
        figures("add", lambda car: car.add_g, units.weight_figure),
        figures("then", lambda car: car.after_g, units.weight_figure),
        words("train", lambda car: NONE if car.worst_train is None else car.worst_train, links=anchors),
        figures("margin now", lambda car: car.margin, margin, lesser=True),
        figures("margin then", lambda car: car.margin_after, margin, lesser=True),
        told_below=True,
    )


def _in_short(listed: BenchList) -> str:
    under = len(listed.cars) + len(listed.later)
    counts = f", which counts {listed.length_words}" if listed.length_words else ""
    said = f"{scale_words(listed.scale)}, car weights by {listed.title or listed.standard}{counts}. "
    said += f"{counted(under + len(listed.others), 'car')}: {under} to weight."
    if listed.minutes is None or listed.per_car is None or not under:
        return said
    return f"{said} {listed.minutes:g} minutes at {listed.per_car:g} a car are enough for {len(listed.cars)} of them."


def _item(car: BenchCar, units: Units) -> Item:
    """A car with the pieces to add; what the table tells of it as well stands apart."""
    first, facts = weighs_words(car, units), [("Gains", gain_words(car))]
    if car.choice is not None and car.choice.pieces:
        facts = [("Weighs", first), *facts]
        after = "" if car.after_g is None else f" It then weighs {unbroken(units.weight(car.after_g))}."
        first = f"add {over_trucks(car.choice)}.{after}"
    about = ", ".join(text for text in (car.kind, car.owner) if text.strip())
    label = f"{unbroken(car.car)} ({about})" if about else unbroken(car.car)
    more = tuple(text for text in (car.place, car.note) if text.strip())
    return Item(first, label=label, more=more, facts=tuple(facts))


def weighs_words(car: BenchCar, units: Units) -> str:
    """What a car weighs, what it ought to, and what it lacks."""
    weighs = "not weighed" if car.weight_g is None else unbroken(units.weight(car.weight_g))
    lacks = "" if car.add_g is None else f": add {unbroken(units.weight(car.add_g))}"
    return f"{weighs} now, {unbroken(units.weight(car.target_g))} is its target{lacks}."


def over_trucks(choice: Choice) -> str:
    """Which pieces go where."""
    one, other = choice.trucks
    if one == other:
        return f"{_pieces_words(one)} over each truck"
    if not one or not other:
        return f"{_pieces_words(one or other)} over {'the middle' if choice.even else 'one truck'}"
    return f"{_pieces_words(one)} over one truck, {_pieces_words(other)} over the other"


def _pieces_words(pieces: Mapping[str, int]) -> str:
    return in_words([f"{number} × {unbroken(name)}" for name, number in pieces.items() if number])


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
    now = "no number of engines" if extra.engines is None else counted(extra.engines, "engine")
    over = f"{named(extra.cars)} {'is' if len(extra.cars) == 1 else 'are'} over the standard"
    excess = unbroken(units.weight(extra.excess_g))
    return f"needs {now} of class {extra.engine_class}, and {extra.without} without the {excess} that {over}."


def _rest_words(listed: BenchList, units: Units) -> Iterator[tuple[str, str]]:
    """Cars left for another day, and those that need nothing, each kind under its title."""

    def apart(car: BenchCar) -> str:
        if car in listed.later:
            return " (to weight)" if car.add_g is None else f" ({unbroken(f'lacks {units.weight(car.add_g)}')})"
        if car.status not in ("over", "heavy") or car.weight_g is None:
            return ""
        return f" ({unbroken(f'{units.weight(car.weight_g - car.target_g)} over')})"

    of_status = ((title, [car for car in listed.others if car.status == status]) for status, title in REST)
    for title, cars in (("Left for another day", listed.later), *of_status):
        if cars:
            yield title, ", ".join(f"{unbroken(car.car)}{apart(car)}" for car in cars)


def recorded_words(recorded: Sequence[Recorded]) -> Iterator[str]:
    """What was written into which table, and where the old one is kept."""
    for written in recorded:
        changes = (f"{one.car} {one.column} {one.old or NONE} to {one.new}" for one in written.changes)
        yield f"{written.file}: {', '.join(changes)}. The old table is kept as {written.backup.name}."
