"""The bench's list on a page: cars to weight, those that matter most first, each to be followed at the bench."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.text import Text

from consist.bench import BenchCar, BenchList, Choice
from consist.cautions import WEIGHTS
from consist.intake.reweigh import Recorded
from consist.report.headings import banner, heading
from consist.report.page import PIPED_WIDTH, as_text
from consist.report.session_page import CLOSING
from consist.report.units import Units
from consist.report.words import NONE, clean, counted, listing, margin, paragraph, unbroken

__all__ = ["bench_page", "bench_text", "recorded_words"]

INDENT = 4
LITTLE_GAIN = 0.005  # less does not show in a margin of two places


def bench_text(listed: BenchList, units: Units, *, width: int = PIPED_WIDTH, colour: bool = False) -> str:
    """The page as one string ending in a newline."""
    return as_text(bench_page(listed, units, width), width, colour)


def bench_page(listed: BenchList, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    lines = [banner("At the bench", None, width), *paragraph(_in_short(listed), width, indent=0)]
    if listed.cars:
        lines += heading("To weight, most useful first")
        for number, car in enumerate(listed.cars, start=1):
            lines += _block(number, car, units, width)
        lines += [Text(), *paragraph(WEIGHTS, width, label="Adding weight:", style="bold")]
    lines += _afterwards(listed, units, width)
    lines += _rest(listed, units, width)
    if listed.notes:
        lines += heading("Notes")
        for note in listed.notes:
            lines += paragraph(clean(note), width, label="-")
    return [*lines, Text(), *paragraph(CLOSING, width, indent=0)]


def _in_short(listed: BenchList) -> str:
    under = len(listed.cars) + len(listed.later)
    standard = clean(listed.title or listed.standard)
    said = f"{clean(listed.scale)} scale, car weights by {standard}"
    said += f", which counts {listed.length_words}. " if listed.length_words else ". "
    said += f"{counted(under + len(listed.others), 'car')}: {under} to weight."
    if listed.minutes is not None and listed.per_car is not None:
        time = f"{listed.minutes:g} minutes at {listed.per_car:g} a car"
        said += f" {time} are enough for {len(listed.cars)} of them." if under else ""
    return said


def _block(number: int, car: BenchCar, units: Units, width: int) -> list[Text]:
    """What one car weighs and lacks, which pieces go over which truck, and what it does for tonight."""
    about = ", ".join(clean(text) for text in (car.kind, car.owner) if text.strip())
    lines = [Text(), *paragraph(about, width, label=f"{number}. {clean(car.car)}", style="bold")]
    weighs = "not weighed" if car.weight_g is None else unbroken(units.weight(car.weight_g))
    said = f"{weighs} now, {unbroken(units.weight(car.target_g))} is its target"
    said += f": add {unbroken(units.weight(car.add_g))}." if car.add_g is not None else "."
    lines += _set_in("Weighs", said, width)
    if car.choice is not None and car.choice.pieces:
        after = f" It then weighs {unbroken(units.weight(car.after_g))}." if car.after_g is not None else ""
        lines += _set_in("Add", f"{_over_trucks(car.choice)}{after}", width)
    if car.place:
        lines += _set_in("Where", clean(car.place), width)
    lines += _set_in("Gains", _gain(car), width)
    if car.note:
        lines += _set_in("Note", clean(car.note), width)
    return lines


def _over_trucks(choice: Choice) -> str:
    one, other = choice.trucks
    if one == other:
        return f"{_pieces(one)} over each truck."
    if not one or not other:
        return (
            f"{_pieces(one or other)} over the middle." if choice.even else f"{_pieces(one or other)} over one truck."
        )
    return f"{_pieces(one)} over one truck, {_pieces(other)} over the other."


def _pieces(pieces: Mapping[str, int]) -> str:
    return listing([f"{number} × {unbroken(name)}" for name, number in pieces.items() if number])


def _gain(car: BenchCar) -> str:
    if car.worst_train is None or car.gain is None:
        return "nothing tonight: it rides in no train." if not car.trains else "nothing tonight."
    train = unbroken(car.worst_train)
    if abs(car.gain) < LITTLE_GAIN:
        return f"nothing tonight; {train} keeps its margin of {margin(car.margin)}."
    way = f"from {margin(car.margin)} to {margin(car.margin_after)}"
    return f"the margin of {train} goes {way}." if car.gain > 0.0 else f"nothing tonight; {train} falls {way}."


def _afterwards(listed: BenchList, units: Units, width: int) -> list[Text]:
    """What the whole list does for tonight's trains, what it takes, and the engines that heavy cars cost."""
    lines: list[Text] = []
    if listed.trains:
        lines += heading("Tonight's trains with all of these done")
        for train in listed.trains:
            said = f"margin {margin(train.margin)} now, {margin(train.after)} then."
            lines += paragraph(said, width, label=f"{clean(train.train)}:")
    used = {name: number for name, number in listed.used.items() if number}
    if used:
        lines += [*heading("Pieces this takes"), *paragraph(f"{_pieces(used)}.", width)]
    if listed.extra_engines:
        lines += heading("Too heavy for the engines")
        for extra in listed.extra_engines:
            cars = listing([unbroken(name) for name in extra.cars])
            now = "no number of engines" if extra.engines is None else counted(extra.engines, "engine")
            said = (
                f"needs {now} of class {clean(extra.engine_class)}, and {extra.without} without the "
                f"{unbroken(units.weight(extra.excess_g))} that {cars} "
                f"{'is' if len(extra.cars) == 1 else 'are'} over the standard."
            )
            lines += paragraph(said, width, label=f"{clean(extra.train)}:")
    return lines


def _rest(listed: BenchList, units: Units, width: int) -> list[Text]:
    """Cars left for another day, and those that need nothing, as short lists."""
    lines: list[Text] = []
    if listed.later:
        told = [f"{unbroken(car.car)} ({_lacks(car, units)})" for car in listed.later]
        lines += [*heading("Left for another day"), *paragraph(f"{', '.join(told)}.", width)]
    for status, title in (
        ("over", "Too heavy"),
        ("heavy", "Heavy, but within what standards allow"),
        ("near", "Near enough"),
        ("on", "On target or a little over"),
        ("not weighed", "Not weighed"),
        ("under", "Under, and nothing to be done"),
    ):
        cars = [car for car in listed.others if car.status == status]
        if cars:
            names = [_named(car, units) for car in cars]
            lines += [*heading(title), *paragraph(f"{', '.join(names)}.", width)]
    return lines


def _lacks(car: BenchCar, units: Units) -> str:
    return "to weight" if car.add_g is None else unbroken(f"lacks {units.weight(car.add_g)}")


def _named(car: BenchCar, units: Units) -> str:
    """The car; where it is too heavy, by how much."""
    name = unbroken(car.car)
    if car.status in ("over", "heavy") and car.weight_g is not None:
        return f"{name} ({unbroken(units.weight(car.weight_g - car.target_g) + ' over')})"
    return name


def _set_in(label: str, words: str, width: int) -> list[Text]:
    told = paragraph(words, width - INDENT, label=f"{label:6}", style="bold", indent=7)
    return [Text(" " * INDENT).append_text(line) for line in told]


def recorded_words(recorded: Sequence[Recorded], width: int = PIPED_WIDTH) -> str:
    """What was written into which table, and where the old one is kept."""
    lines = []
    for table in recorded:
        changes = [
            f"{unbroken(change.car)} {change.column} {change.old or NONE} to {change.new}" for change in table.changes
        ]
        said = f"{clean(str(table.file))}: {', '.join(changes)}. The old table is kept as {clean(table.backup.name)}."
        lines += paragraph(said, width, label="Written:", style="bold")
    return as_text(lines, width)
