"""The bench's list on a page: cars to weight, those that matter most first, each to be followed at the bench."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from consist.bench import BenchCar, BenchList
from consist.cautions import WEIGHTS
from consist.intake import Recorded
from consist.report.bench_words import (
    about_words,
    car_words,
    extra_engine_words,
    in_short,
    pieces_words,
    rest_words,
    trains_words,
)
from consist.report.headings import banner, heading
from consist.report.page import PIPED_WIDTH, as_text
from consist.report.session_page import CLOSING
from consist.report.units import Units
from consist.report.words import NONE, clean, paragraph, unbroken

__all__ = ["bench_page", "bench_text", "recorded_words"]

INDENT = 4


def bench_text(listed: BenchList, units: Units, *, width: int = PIPED_WIDTH, colour: bool = False) -> str:
    """The page as one string ending in a newline."""
    return as_text(bench_page(listed, units, width), width, colour)


def bench_page(listed: BenchList, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    lines = [banner("At the bench", None, width), *paragraph(in_short(listed), width, indent=0)]
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


def _block(number: int, car: BenchCar, units: Units, width: int) -> list[Text]:
    """What one car weighs and lacks, which pieces go over which truck, and what it does for tonight."""
    lines = [Text(), *paragraph(about_words(car), width, label=f"{number}. {clean(car.car)}", style="bold")]
    for label, words in car_words(car, units).items():
        lines += _set_in(label, words, width)
    return lines


def _afterwards(listed: BenchList, units: Units, width: int) -> list[Text]:
    """What the whole list does for tonight's trains, what it takes, and the engines that heavy cars cost."""
    lines: list[Text] = []
    if listed.trains:
        lines += heading("Tonight's trains with all of these done")
        for train, said in trains_words(listed):
            lines += paragraph(said, width, label=f"{train}:")
    used = pieces_words(listed.used)
    if used:
        lines += [*heading("Pieces this takes"), *paragraph(f"{used}.", width)]
    if listed.extra_engines:
        lines += heading("Too heavy for the engines")
        for extra in listed.extra_engines:
            lines += paragraph(extra_engine_words(extra, units), width, label=f"{clean(extra.train)}:")
    return lines


def _rest(listed: BenchList, units: Units, width: int) -> list[Text]:
    """Cars left for another day, and those that need nothing, as short lists."""
    lines: list[Text] = []
    for title, cars in rest_words(listed, units):
        lines += [*heading(title), *paragraph(cars, width)]
    return lines


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
