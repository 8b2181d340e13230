"""Tonnage ratings to pin up and for a spreadsheet: by line and direction, what one to three engines take."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import replace

from consist.names import no_formula
from consist.power import Rating
from consist.power.rating import STANDARD_CAR_HO_MM, LayoutRatings, standard_car_g
from consist.report.document import Para, Row, Sheet
from consist.report.sheets.cells import Told, figures, table, words
from consist.report.sheets.parts import legend, notes, section, sheet
from consist.report.words import clean, in_words, unbroken
from consist.scales import GRAMS_PER_OUNCE
from consist.wording import Units, percent

__all__ = ["rating_sheet", "ratings_as_csv"]

NO_LIMIT, ANY = "no limit", "any"
"""What stands for a weight, and for a number of cars, where nothing holds a train back."""
RULING = (
    "Ruling is the hardest piece of the line for that class, in per cent of a train's weight: its grade and its "
    "curve, as if the whole train stood on it. Piece is its number in the line as the layout's file has it."
)
DECIMALS = 3


def rating_sheet(rated: LayoutRatings, units: Units, as_of: str = "") -> Sheet:
    """The sheet: all lines in one table, so that figures stand under each other; `as_of` is the date of a card."""

    def taken(number: int, takes: str) -> Iterator[Told[tuple[str, Rating]]]:
        head, tell = f"{takes} {units.name}", units.train_weight_figure
        yield figures(head, lambda one: one[1].trailing_g[number], tell, NO_LIMIT)
        yield figures("cars", lambda one: one[1].cars[number], none=ANY)

    rows = [
        ("" if number else heading, rating)
        for heading, ratings in _lines(rated)
        for number, rating in enumerate(ratings)
    ]
    whole = table(
        "What engines take over each line",
        rows,
        words("class", lambda one: one[1].engine_class, wide=True),
        figures("ruling", lambda one: one[1].ruling_percent, lambda ruling: f"{ruling:z.1f} %"),
        figures("piece", lambda one: one[1].ruling_piece),
        *taken(0, "1 takes"),
        *taken(1, "2 take"),
        *taken(2, "3 take"),
        row=lambda one, cells: Row(cells, over=one[0]),
    )
    unlike = _unlike(rated)
    weakest = Para(f"Engines of {unlike} are not all alike; the weakest is rated.") if unlike else None
    dated = legend(f"As of {as_of}." if as_of else "")
    return sheet(
        "rating",
        f"Tonnage ratings for {rated.layout.name}",
        section("", dated, Para(_basis(rated, units)), whole, legend(RULING), weakest),
        notes(rated.notes),
    )


def _lines(rated: LayoutRatings) -> Iterator[tuple[str, tuple[Rating, ...]]]:
    """The ratings of each line in each direction under a heading, or of both under one where they are alike."""
    ways = iter(rated.directions)
    for (start, finish, out), (_, _, back) in zip(ways, ways, strict=True):
        alike = all(
            replace(way, start=one.start, finish=one.finish) == one for one, way in zip(out, back, strict=True)
        )
        line = out[0].line if out else 0
        yield f"{line} {start} to {finish}{', and back' if alike else ''}", out
        if not alike:
            yield f"{line} {finish} to {start}", back


def _basis(rated: LayoutRatings, units: Units) -> str:
    body_mm = rated.layout.scale.by_ratio(STANDARD_CAR_HO_MM)
    car_g = standard_car_g(rated.layout, rated.standard)
    rolling = unbroken(f"{rated.house.rolling_percent:g} %")
    return (
        f"What 1, 2 and 3 engines take behind them: the weight of cars in {units.name}, and how many cars of "
        f"{unbroken(units.weight(car_g))} that is, the standard weight by {rated.standard.title} for a body "
        f"of {unbroken(units.length(body_mm))}. Cars are taken to roll at {rolling}, and "
        f"{unbroken(percent(rated.house.pull_reserve))} of each engine's pull is kept back."
    )


def _unlike(rated: LayoutRatings) -> str:
    """The classes with engines of more than one pull or weight."""
    kinds: dict[str, set[tuple[float, float]]] = {}
    for engine in rated.engines:
        kinds.setdefault(engine.engine_class, set()).add((engine.pull_g, engine.weight_g))
    return in_words([one for one in sorted(kinds) if len(kinds[one]) > 1])


def ratings_as_csv(rated: LayoutRatings, units: Units) -> str:
    """The table, a row a line, direction and class, the units in the names of its columns.

    Weights are those of the cars behind the engines, to a thousandth. A cell of text that a spreadsheet would take
    for a formula, since it begins with = + - or @, has an apostrophe before it. Where there is no limit the words
    say so.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    counts = ("1_engine", "2_engines", "3_engines")
    writer.writerow(
        [
            "line", "from", "to", "class", "ruling_percent", "ruling_piece",
            *(f"weight_{count}_{units.name}" for count in counts), *(f"cars_{count}" for count in counts),
        ]
    )  # fmt: skip
    gram = 1.0 if units.name == "g" else 1.0 / GRAMS_PER_OUNCE
    for start, finish, ratings in rated.directions:
        for one in ratings:
            named = (no_formula(clean(text)) for text in (start, finish, one.engine_class))
            weights = (NO_LIMIT if grams is None else _rounded(grams * gram) for grams in one.trailing_g)
            cars = (NO_LIMIT if number is None else number for number in one.cars)
            writer.writerow([one.line, *named, _rounded(one.ruling_percent), one.ruling_piece, *weights, *cars])
    return out.getvalue()


def _rounded(value: float) -> float:
    return round(value, DECIMALS) + 0.0  # no minus before a zero
