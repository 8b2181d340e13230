"""Options that measure, as people write them: `4in`, `3 7/8 in`, `102mm`, `NQH 930=4.6oz`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from consist.errors import refuse
from consist.measures import UNIT_WORDS, written_number
from consist.names import quoted, tidy
from consist.scales import GRAMS_PER_OUNCE

__all__ = ["parse_done", "parse_length", "parse_weight"]


@dataclass(frozen=True)
class _Measure:
    """What an option measures, its units by size in the base unit, and the most that is no slip of the pen."""

    option: str
    what: str
    names: str
    examples: str
    most: float
    most_told: str
    units: Mapping[str, float]


LENGTH = _Measure(
    "--length",
    "a length",
    "in or mm",
    "4in, 3 7/8 in or 102mm",
    5000.0,  # no model car in any scale is near this long
    "5000 mm",
    UNIT_WORDS["length"],
)
WEIGHT = _Measure(
    "--done",
    "a weight",
    "oz or g",
    "4.6oz or 130g",
    50_000.0,  # nor near this heavy
    "50000 g",
    {word: grams for word, grams in UNIT_WORDS["weight"].items() if grams <= GRAMS_PER_OUNCE},
)


def parse_length(text: str, option: str = LENGTH.option) -> float:
    """The length in millimetres of what somebody wrote, with its unit.

    Inches may have a fraction. Raises `InputError` in one line for what is no length over 0.

    >>> parse_length("4in"), parse_length('3-7/8"'), parse_length("102 mm")
    (101.6, 98.425, 102.0)
    """
    return _measured(text, replace(LENGTH, option=option))


def parse_weight(text: str, option: str = WEIGHT.option) -> float:
    """The weight in grams of what somebody wrote, with its unit; raises `InputError` likewise.

    >>> parse_weight("130 g")
    130.0
    """
    return _measured(text, replace(WEIGHT, option=option))


def parse_done(text: str, option: str = WEIGHT.option) -> tuple[str, float]:
    """The car and its new weight in grams, from `CAR=WEIGHT` with the weight's unit.

    Raises `InputError` in one line for anything else.

    >>> parse_done("NQH 930=130g")
    ('NQH 930', 130.0)
    """
    car, equals, weight = text.rpartition("=")
    if not equals or not tidy(car):
        told = "expected CAR=WEIGHT; write it like 'NQH 930=4.6oz' or 'NQH 930=130g'"
        raise refuse(option, f"found {quoted(text)}, {told}")
    return tidy(car), parse_weight(weight, option)


def _measured(text: str, measure: _Measure) -> float:
    written = written_number(text, decimal_comma=True)
    if written is None:
        fault = f"expected {measure.what} with its unit; write it like {measure.examples}"
    elif not written[1]:
        fault = f"expected a unit after the number; add {measure.names}"
    elif written[1] not in measure.units:
        fault = f"expected the unit to be {measure.names}; write it like {measure.examples}"
    else:
        value = written[0] * measure.units[written[1]]
        if 0 < value <= measure.most:
            return value
        fault = f"expected {measure.what} over 0 and up to {measure.most_told}; correct the number"
    raise refuse(measure.option, f"found {quoted(tidy(text))}, {fault}")
