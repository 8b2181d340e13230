"""Figures measured with what a hobbyist has: how a car rolls, what an engine pulls, how long a car is.

Each comes from one try or several, with the range that holds ninety per cent: Student's t of the tries (elementary
statistics; quantiles by scipy.special), and half of the finest step that was read besides. Sources of the figures
themselves: statics, by which what keeps a car rolling down a slope is its weight times the grade, and what holds an
engine back from slipping is its pull less its own weight times the grade.
"""

from __future__ import annotations

import math
import re
import statistics
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from consist.bench.lengths import parse_length, parse_weight
from consist.errors import UnknownNameError, refuse
from consist.intake import Recorded, declared, record_figure
from consist.names import one_of, quoted
from consist.session import Session, load
from consist.stock import Car, Engine

__all__ = [
    "FAR_OUT", "Figure", "Measured", "Taken", "grades_of_lifts", "measure", "of_tries", "pull_from_slipping",
    "pull_of_slipping", "rolling_of_lift", "taken", "tries_of",
]  # fmt: skip

Figure = Literal["rolling", "pull", "length"]

FAR_OUT = 3.5
"""A try so many times the usual distance from the middle one is told: Iglewicz and Hoaglin (1993), from memory."""
TO_DEVIATION = 1.4826
"""The deviation of normal figures over the median of their distances from the middle one. From memory."""
FARTHEST = 3.0
"""A figure more than so many times another is hardly meant without being sure."""
FIELDS: dict[Figure, str] = {"rolling": "rolls_at", "pull": "pull", "length": "coupled_length"}
"""What the tables call each figure."""
UNITS: dict[Figure, str] = {"rolling": "%", "pull": "g", "length": "mm"}
"""What each is measured in."""
MOST_STEEP = 0.3
"""A board lifted by more than this share of its length is hardly meant."""


@dataclass(frozen=True)
class Measured:
    """A figure measured: each try and what they come to, with the range that holds ninety per cent.

    `rolling` is the grade in per cent on which a car just keeps rolling, `pull` in gram-force on the level, `length`
    over the couplers in mm. `before` is what the table or a rule says, and `assumed` whether it was a rule. `far_out`
    are the numbers of tries, from 1, that lie far from the others. `recorded` says what was written.
    """

    figure: Figure
    name: str
    tries: tuple[float, ...]
    value: float
    low: float
    high: float
    before: float
    assumed: bool
    far_out: tuple[int, ...] = ()
    recorded: Recorded | None = None


@dataclass(frozen=True)
class Taken:
    """What is taken of a car or an engine as long as nothing else is measured, and whether by rule."""

    stock: Car | Engine
    value: float
    assumed: bool


def rolling_of_lift(board_mm: float, lift_mm: float) -> float:
    """The grade in per cent of a board of that length with one end lifted so high.

    >>> round(rolling_of_lift(1000.0, 20.0), 3)
    2.0
    """
    return 100.0 * lift_mm / math.sqrt(board_mm**2 - lift_mm**2)


def pull_from_slipping(cars_g: float, engine_g: float, grade_percent: float, rolling_percent: float) -> float:
    """The level pull (gram-force) of an engine that can just move cars of that weight up a grade.

    >>> pull_from_slipping(1000.0, 400.0, 2.0, 1.4)
    42.0
    """
    return cars_g * (grade_percent + rolling_percent) / 100.0 + engine_g * grade_percent / 100.0


def tries_of(text: str, option: str, what: Literal["length", "weight"]) -> tuple[tuple[float, ...], float]:
    """The figures of a list with commas, in mm or g, and the finest step that was read, likewise.

    >>> tries_of("0.9in, 1.0in", "--lifted", "length")
    ((22.86, 25.4), 2.54)
    """
    # a comma between two digits is that of a number
    texts = [part.strip() for part in re.split(r",(?!\d)|(?<!\d),|;", text) if part.strip()]
    if not texts:
        raise refuse(option, "found nothing; give a figure with its unit, or several with commas between")
    parse = parse_length if what == "length" else parse_weight
    values = tuple(parse(each, option) for each in texts)
    return values, min(_step(each) * parse(f"1{_unit(each)}", option) for each in texts)


def _unit(text: str) -> str:
    found = re.search(r"[^\d\s.,/⁄-]+\.?\s*$", unicodedata.normalize("NFKC", text))
    return found[0].strip() if found else ""


def _step(text: str) -> float:
    """The step in which a figure is written: a tenth of 0.9, an eighth of 3 1/8, one of 26."""
    text = unicodedata.normalize("NFKC", text)
    if (over := re.search(r"\d\s*[/⁄]\s*(\d+)", text)) and int(over[1]):
        return 1.0 / int(over[1])
    decimals = re.search(r"\d*[.,](\d+)", text)
    return 10.0 ** -len(decimals[1]) if decimals else 1.0


def of_tries(tries: Sequence[float], step: float) -> tuple[float, float, float]:
    """The mean of some tries and half the width of its ninety per cent, as low, middle and high; `step` is the finest
    that was read."""
    from scipy.special import stdtrit

    middle, count = statistics.fmean(tries), len(tries)
    # a figure read to a step lies anywhere within half of it: nine tenths of that hold ninety per cent
    half = 0.9 * step / 2.0
    if count > 1:
        spread = float(stdtrit(count - 1, 0.95)) * statistics.stdev(tries) / math.sqrt(count)
        half = math.hypot(half, spread)
    return max(middle - half, 0.0), middle, middle + half


def _far_out(tries: Sequence[float], step: float) -> tuple[int, ...]:
    middle = statistics.median(tries)
    usual = max(TO_DEVIATION * statistics.median(abs(each - middle) for each in tries), step)
    if len(tries) < 3 or usual <= 0.0:
        return ()
    return tuple(number for number, each in enumerate(tries, start=1) if abs(each - middle) > FAR_OUT * usual)


def measure(
    session: Session | str | Path,
    figure: Figure,
    name: str,
    tries: Sequence[float],
    step: float = 0.0,
    *,
    bracket: tuple[float, float] | None = None,
    write: bool = False,
    sure: bool = False,
) -> Measured:
    """What tries of a figure of a car or an engine come to; with `write` it is written into its owner's table.

    A figure that is far from the one in the table is written only where one is `sure`.

    `bracket` is known to hold the figure whatever the tries: the most that an engine moved, and the least at which it
    slipped. Raises `UnknownNameError` for what is none, `InputError` where it cannot be written.

    >>> import consist
    >>> told = consist.measure("sample_sessions/sunday_shelf", "rolling", "PQF 201", [1.4, 1.6, 1.5])
    >>> round(told.value, 2), round(told.low, 2), round(told.high, 2)
    (1.5, 1.33, 1.67)
    """
    of = session if isinstance(session, Session) else load(session)
    now = taken(of, figure, name)
    low, middle, high = of_tries(tries, step)
    if bracket is not None:
        low, high = min(low, bracket[0]), max(high, bracket[1])
    recorded = None
    if write:
        _check(figure, now, middle, sure)
        if of.folder is None:
            raise refuse("--write", "found a session that was read from no folder; load one from its folder")
        (recorded,) = record_figure(of.folder, figure, {now.stock.name: middle})
    far_out = _far_out(tries, step)
    return Measured(
        figure, now.stock.name, tuple(tries), middle, low, high, now.value, now.assumed, far_out, recorded
    )  # fmt: skip


def _check(figure: Figure, now: Taken, value: float, sure: bool) -> None:
    """Raise `InputError` for a figure that the table could not be read with, or that is hardly meant."""
    (field,) = (each for each in declared("engines" if figure == "pull" else "cars") if each.name == FIELDS[figure])
    unit = UNITS[figure]
    if not field.bounds.hold(value):
        raise refuse("--write", f"found {value:.4g} {unit}, expected {field.bounds.words}; measure again")
    if figure == "length" and isinstance(now.stock, Car):
        given = {"body length": now.stock.body_length_mm, "truck centers": now.stock.truck_centers_mm}
        least = max((size for what, size in given.items() if what not in now.stock.assumed), default=0.0)
        if value < least:
            told = f"found {value:.4g} mm over the couplers of {now.stock.name}, whose body or truck centers are"
            raise refuse("--write", f"{told} {least:.4g} mm; correct the one that is wrong")
    if not (sure or now.assumed) and not now.value / FARTHEST <= value <= now.value * FARTHEST:
        told = f"found {value:.4g} {unit}, {value / now.value:.2g} times the {now.value:.4g} {unit} in the table"
        raise refuse("--write", f"{told}; add --sure where that is right")


def taken(session: Session, figure: Figure, name: str) -> Taken:
    """What is taken of a car, or of an engine by its pull, now. Raises `UnknownNameError` for what is none."""
    known: dict[str, Car] | dict[str, Engine] = session.engines if figure == "pull" else session.cars
    meant = one_of(name, known)
    if meant is None:
        raise UnknownNameError("engine" if figure == "pull" else "car", name, known)
    stock = known[meant]
    if isinstance(stock, Engine):
        return Taken(stock, stock.pull_g, not stock.measured)
    if figure == "length":
        return Taken(stock, stock.coupled_length_mm, "coupled length" in stock.assumed)
    return Taken(stock, 100.0 * stock.rolling, "rolling" in stock.assumed)


def pull_of_slipping(
    session: Session, engine: str, moved_g: float, slipped_g: float, grade_percent: float, rolls_at: float | None
) -> tuple[float, tuple[float, float]]:
    """What an engine pulls that moved cars of a weight up a grade and slipped under heavier ones, and between what.

    How the cars roll by rule, `rolls_at` being None, may be off as far as the house has it.
    """
    weight_g = taken(session, "pull", engine).stock.weight_g
    wide = session.house.spread.rolling if rolls_at is None else 1.0
    usual = session.house.rolling_percent if rolls_at is None else rolls_at
    low, middle, high = (
        pull_from_slipping(cars_g, weight_g, grade_percent, rolling)
        for cars_g, rolling in (
            (moved_g, usual / wide), (0.5 * (moved_g + slipped_g), usual), (slipped_g, usual * wide),
        )
    )  # fmt: skip
    return middle, (low, high)


def grades_of_lifts(board_mm: float, lifts_mm: Sequence[float]) -> list[float]:
    """The grades in per cent of a board at each lift. Raises `InputError` for a lift that no board stands at."""
    for lift in lifts_mm:
        if not 0.0 < lift <= MOST_STEEP * board_mm:
            told = f"found a lift of {lift:.4g} mm of a board of {board_mm:.4g} mm"
            raise refuse(
                "--lifted", f"{told}, expected up to {MOST_STEEP:.0%} of it; correct {quoted('--board')} or it"
            )
    return [rolling_of_lift(board_mm, lift) for lift in lifts_mm]
