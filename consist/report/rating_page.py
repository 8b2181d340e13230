"""Tonnage ratings as a table to pin up: by line and direction, what one, two and three engines of a class take."""

from __future__ import annotations

from rich.text import Text

from consist.checking.layout_ratings import LayoutRatings
from consist.power import Rating
from consist.power.rating import STANDARD_CAR_HO_MM, standard_car_g
from consist.report.columns import Column, lay_out
from consist.report.headings import banner, heading
from consist.report.page import PIPED_WIDTH, as_text
from consist.report.session_page import CLOSING
from consist.report.units import Units
from consist.report.words import clean, listing, paragraph, percent, unbroken

__all__ = ["ANY", "NO_LIMIT", "rating_page", "rating_text"]

NO_LIMIT, ANY = "no limit", "any"
"""What stands for a weight, and for a number of cars, where nothing holds a train back."""


def rating_text(rated: LayoutRatings, units: Units, *, width: int = PIPED_WIDTH, colour: bool = False) -> str:
    """The page as one string ending in a newline."""
    return as_text(rating_page(rated, units, width), width, colour)


def rating_page(rated: LayoutRatings, units: Units, width: int) -> list[Text]:
    """The page as lines of `width` columns at most."""
    lines = [banner(f"Tonnage ratings for {clean(rated.layout.name)}", None, width)]
    lines += [*paragraph(_basis(rated, units), width, indent=0), Text(), *_table(rated, units, width), Text()]
    lines += paragraph(
        "Ruling is the hardest piece of the line for that class, in per cent of a train's weight: its grade and its "
        "curve, as if the whole train stood on it. Piece is its number in the line as the layout's file has it.",
        width,
    )
    unlike = _unlike(rated)
    if unlike:
        lines += paragraph(f"Engines of {unlike} are not all alike; the weakest is rated.", width)
    if rated.notes:
        lines += heading("Notes")
        for note in rated.notes:
            lines += paragraph(clean(note), width, label="-")
    return [*lines, Text(), *paragraph(CLOSING, width, indent=0)]


def _basis(rated: LayoutRatings, units: Units) -> str:
    body_mm = rated.layout.scale.by_ratio(STANDARD_CAR_HO_MM)
    car_g = standard_car_g(rated.layout, rated.standard)
    rolling = unbroken(f"{rated.house.rolling_percent:g} %")
    return (
        f"What 1, 2 and 3 engines take behind them: the weight of cars in {units.name}, and how many cars of "
        f"{unbroken(units.weight(car_g))} that is, the standard weight by {clean(rated.standard.title)} for a body "
        f"of {unbroken(units.length(body_mm))}. Cars are taken to roll at {rolling}, and "
        f"{unbroken(percent(rated.house.pull_reserve))} of each engine's pull is kept back."
    )


def _table(rated: LayoutRatings, units: Units, width: int) -> list[Text]:
    """All lines in one table, so that figures stand under each other; each line and direction with its heading."""
    columns = [Column("class", least=8), Column("ruling", right=True), Column("piece", right=True)]
    for takes in ("1 takes", "2 take", "3 take"):
        columns += [Column(f"{takes} {units.name}", right=True, gap=2), Column("cars", right=True)]
    rows: list[list[str | Text]] = [_row(rating, units) for rating in rated.ratings]
    head, *body = (Text("  ").append_text(line) for line in lay_out(columns, rows, width - 2))
    lines, told = [head], iter(body)
    for start, finish, ratings in rated.directions:
        lines += paragraph(f"{clean(start)} to {clean(finish)}", width, label=str(ratings[0].line), style="bold")
        lines += [next(told) for _ in ratings]
    return lines


def _row(rating: Rating, units: Units) -> list[str | Text]:
    cells: list[str | Text] = [
        clean(rating.engine_class),
        f"{round(rating.ruling_percent, 1) + 0.0:.1f} %",
        str(rating.ruling_piece),
    ]
    for grams, cars in zip(rating.trailing_g, rating.cars, strict=True):
        cells += [
            NO_LIMIT if grams is None else units.train_weight_figure(grams),
            ANY if cars is None else str(cars),
        ]
    return cells


def _unlike(rated: LayoutRatings) -> str:
    """The classes with engines of more than one pull or weight."""
    kinds: dict[str, set[tuple[float, float]]] = {}
    for engine in rated.engines:
        kinds.setdefault(engine.engine_class, set()).add((engine.pull_g, engine.weight_g))
    return listing([clean(name) for name in sorted(kinds) if len(kinds[name]) > 1])
