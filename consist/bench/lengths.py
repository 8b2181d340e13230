"""Lengths and weights as people write them: `4in`, `3 7/8 in`, `102mm`, `NQH 930=4.6oz`."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping

from consist.errors import InputError, Problem
from consist.names import quoted, tidy
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = ["parse_done", "parse_length"]

INCH_WORDS = ("in", "in.", "inch", "inches", '"', "″", "”", "''")
LENGTH_UNITS: Mapping[str, float] = {
    **dict.fromkeys(INCH_WORDS, MM_PER_INCH),
    "mm": 1.0,
    "millimetres": 1.0,
    "millimeters": 1.0,
    "cm": 10.0,
}
WEIGHT_UNITS: Mapping[str, float] = {
    **dict.fromkeys(("oz", "oz.", "ounce", "ounces"), GRAMS_PER_OUNCE),
    **dict.fromkeys(("g", "g.", "gram", "grams"), 1.0),
}
LONGEST_MM = 5000.0
"""No model car in any scale is near this long; a number beyond it is a slip of the pen."""
HEAVIEST_G = 50_000.0
"""No model car is near this heavy."""

_NUMBER = r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)"
_WRITTEN = re.compile(
    rf"(?P<whole>{_NUMBER})?(?:(?:^|[ -]+)(?P<over>\d+) ?/ ?(?P<under>\d+))? ?(?P<unit>[^\d/]*)", re.ASCII
)


def parse_length(text: str, where: str = "--length") -> float:
    """The length in millimetres of what somebody wrote, with its unit.

    Inches may have a fraction. Raises `InputError` in one line, at `where`, for what is no length over 0.

    >>> parse_length("4in"), parse_length('3-7/8"'), parse_length("102 mm")
    (101.6, 98.425, 102.0)
    """
    return _measure(text, LENGTH_UNITS, where, "a length", "in or mm", "4in, 3 7/8 in or 102mm", LONGEST_MM)


def parse_done(text: str, where: str = "--done") -> tuple[str, float]:
    """The car and its new weight in grams, from `CAR=WEIGHT` with the weight's unit.

    Raises `InputError` in one line, at `where`, for anything else.

    >>> parse_done("NQH 930=130g")
    ('NQH 930', 130.0)
    """
    car, equals, weight = text.rpartition("=")
    if not equals or not tidy(car):
        told = f"found {quoted(text)}, expected CAR=WEIGHT; write it like 'NQH 930=4.6oz' or 'NQH 930=130g'"
        raise InputError([Problem(where, "", told)])
    return tidy(car), _measure(weight, WEIGHT_UNITS, where, "a weight", "oz or g", "4.6oz or 130g", HEAVIEST_G)


def _measure(
    text: str, units: Mapping[str, float], where: str, what: str, names: str, examples: str, most: float
) -> float:
    def refused(fault: str) -> InputError:
        return InputError([Problem(where, "", f"found {quoted(tidy(text))}, {fault}")])

    match = _WRITTEN.fullmatch(_plain_fractions(tidy(text)))
    number = None if match is None else _number(match["whole"], match["over"], match["under"])
    if match is None or number is None:
        raise refused(f"expected {what} with its unit; write it like {examples}")
    unit = match["unit"].strip().casefold()
    if not unit:
        raise refused(f"expected a unit after the number; add {names}")
    if unit not in units:
        raise refused(f"expected the unit to be {names}; write it like {examples}")
    value = number * units[unit]
    if not 0 < value <= most:
        largest = f"{most:.6g} {'mm' if units is LENGTH_UNITS else 'g'}"
        raise refused(f"expected {what} over 0 and up to {largest}; correct the number")
    return value


def _plain_fractions(text: str) -> str:
    """The text with fractions of a single character written out.

    >>> _plain_fractions("3⅞in")
    '3 7/8in'
    """
    written = []
    for character in text:
        parts = unicodedata.normalize("NFKC", character).split("⁄")
        if len(parts) == 2 and all(part.isdigit() for part in parts):
            written.append(f" {parts[0]}/{parts[1]}")
        else:
            written.append(character)
    return "".join(written).strip()


def _number(whole: str | None, over: str | None, under: str | None) -> float | None:
    if whole is None and over is None:
        return None
    if over is not None and whole is not None and not whole.isdigit():
        return None  # a sign or decimals before a fraction: nobody means that
    value = 0.0 if whole is None else float(whole.replace(",", "."))
    if over is not None and under is not None:
        if int(under[:9]) == 0 or len(over) > 9 or len(under) > 9:
            return None
        value += int(over) / int(under)
    return value if math.isfinite(value) else None
