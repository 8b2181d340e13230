"""The door list: guests' cars by owner, each with its answer, the one thing to do, and where it may ride."""

from __future__ import annotations

from itertools import groupby

from rich.text import Text

from consist.cautions import WEIGHTS
from consist.report.columns import Column, lay_out
from consist.report.door_words import answer_word, behind_answer, in_short, owner_of
from consist.report.headings import banner, heading
from consist.report.page import PIPED_WIDTH, as_text
from consist.report.session_page import CLOSING
from consist.report.units import Units
from consist.report.words import clean, fit, paragraph
from consist.screening import GuestResult, Screening

__all__ = ["door_page", "door_text"]

STYLES = {
    "welcome": "bold green",
    "welcome with care": "bold yellow",
    "bench first": "bold yellow",
    "not tonight": "bold red",
}
INDENT = 4


def door_text(door: Screening, units: Units, *, width: int = PIPED_WIDTH, colour: bool = False) -> str:
    """The page as one string ending in a newline."""
    return as_text(door_page(door, units, width), width, colour)


def door_page(door: Screening, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    lines = [banner(f"At the door, {clean(door.session)}", None, width), *paragraph(in_short(door), width, indent=0)]
    if not door.cars:
        return [*lines, Text(), *paragraph(CLOSING, width, indent=0)]
    lines += [Text(), *_table(door, width)]
    for owner, cars in groupby(door.cars, owner_of):
        lines += heading(fit(owner.upper(), width))
        for car in cars:
            lines += _car(car, units, width)
    if any(car.add_g for car in door.cars):
        lines += [Text(), *paragraph(WEIGHTS, width, label="Adding weight:", style="bold")]
    return [*lines, Text(), *paragraph(CLOSING, width, indent=0)]


def _table(door: Screening, width: int) -> list[Text]:
    """One line a car: whose it is, the answer and the one thing to do."""
    columns = [Column("owner", least=6), Column("car", least=8), Column("answer"), Column("do", least=12)]
    rows: list[list[str | Text]] = [
        [owner_of(car), clean(car.car), Text(answer_word(car.answer), STYLES[car.answer]), clean(car.do)]
        for car in door.cars
    ]
    return lay_out(columns, rows, width)


def _car(car: GuestResult, units: Units, width: int) -> list[Text]:
    """One line with the answer and the one thing to do, and what is behind it set in below."""
    kind = f" ({clean(car.kind)})" if car.kind.strip() else ""
    name = Text.assemble((clean(car.car), "bold"), kind, "  ", (answer_word(car.answer), STYLES[car.answer]))
    lines = _head_line(name, clean(car.do), width)
    for label, words in behind_answer(car, units):
        lines += _set_in(label, words, width)
    return lines


def _head_line(head: Text, words: str, width: int) -> list[Text]:
    """The head line of a car, wrapped; a part of it keeps its colour where it stands whole on the first line."""
    lines = paragraph(f"{head.plain}: {words}" if words else head.plain, width, indent=2)
    for span in head.spans:
        if span.end <= len(lines[0].plain):
            lines[0].stylize(span.style, span.start, span.end)
    return lines


def _set_in(label: str, words: str, width: int) -> list[Text]:
    told = paragraph(words, width - INDENT, label=label, style="bold")
    return [Text(" " * INDENT).append_text(line) for line in told]
