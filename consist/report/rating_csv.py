"""Tonnage ratings as a CSV table for a spreadsheet."""

from __future__ import annotations

import csv
import io

from consist.checking.layout_ratings import LayoutRatings
from consist.power import Rating
from consist.report.rating_page import NO_LIMIT
from consist.report.units import Units
from consist.report.words import clean
from consist.scales import GRAMS_PER_OUNCE

__all__ = ["ratings_as_csv"]

FORMULA_STARTS = ("=", "+", "-", "@")
DECIMALS = 3


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
    for start, finish, ratings in rated.directions:
        writer.writerows(_row(start, finish, rating, units) for rating in ratings)
    return out.getvalue()


def _row(start: str, finish: str, rating: Rating, units: Units) -> list[str]:
    gram = 1.0 if units.name == "g" else 1.0 / GRAMS_PER_OUNCE
    return [
        str(rating.line),
        *(_text(text) for text in (start, finish, rating.engine_class)),
        _figure(rating.ruling_percent),
        str(rating.ruling_piece),
        *(NO_LIMIT if grams is None else _figure(grams * gram) for grams in rating.trailing_g),
        *(NO_LIMIT if cars is None else str(cars) for cars in rating.cars),
    ]


def _figure(value: float) -> str:
    return str(round(value, DECIMALS) + 0.0)  # no minus before a zero


def _text(text: str) -> str:
    """Text of one line that no spreadsheet takes for a formula.

    >>> _text("=1+1"), _text("Nettlefoot")
    ("'=1+1", 'Nettlefoot')
    """
    cleaned = clean(text)
    return f"'{cleaned}" if cleaned.startswith(FORMULA_STARTS) else cleaned
