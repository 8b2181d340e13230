"""Weights and lengths as people write them: `3 3/4`, `6-7/8"`, `4 1/4 oz`; and what each unit is."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

from consist.names import tidy
from consist.scales import GRAMS_PER_OUNCE, MM_PER_FOOT, MM_PER_INCH

__all__ = ["UNIT_WORDS", "prototype_feet", "says_nothing", "written_number"]

_INCHES = dict.fromkeys(("in", "inch", "inches", '"', "″", "”", "''", "zoll", "pouces"), MM_PER_INCH)
_MILLIMETRES = dict.fromkeys(("mm", "millimetres", "millimeters"), 1.0) | {"cm": 10.0}
UNIT_WORDS: Mapping[str, Mapping[str, float]] = {
    "weight": {
        **dict.fromkeys(("oz", "ounce", "ounces"), GRAMS_PER_OUNCE),
        **dict.fromkeys(("g", "gm", "gr", "gram", "grams", "gramm", "grammes"), 1.0),
        **dict.fromkeys(("lb", "lbs"), 16 * GRAMS_PER_OUNCE),
        "kg": 1000.0,
    },
    "length": {**_INCHES, **_MILLIMETRES},
    "percent": dict.fromkeys(("%", "percent", "pct"), 1.0),
    "degrees": dict.fromkeys(("°", "deg", "degrees"), 1.0),
}
"""By what they measure: the units that people write, in grams, millimetres, percent and degrees."""
_FEET = dict.fromkeys(("ft", "feet", "foot", "'", "′", "’"), MM_PER_FOOT)
_FULL_SIZE = {"": MM_PER_FOOT, **_FEET, **_INCHES, **_MILLIMETRES, "m": 1000.0}
_FEET_AND_INCHES = re.compile(r"(?P<feet>[^'’′ft]*(?:'(?!')|[’′]|ft\.?|feet))[ -]*(?P<inches>\d.*)", re.I)
NOTHING = frozenset({"n/a", "na", "n.a.", "-", "--", "–", "—", "?", "??"})
_FRACTION = re.compile("[¼-¾⅐-⅞↉]")
"""Fractions of a single character."""
_POINT = r"(?P<number>[+-]?(?:\d{1,300}(?:\.\d*)?|\.\d+))"
_COMMA = _POINT.replace(r"\.", "[.,]")
_OVER = r"(?:(?P<whole>\d{1,300})[ -]+)?(?P<over>\d{1,9}) ?/ ?(?P<under>(?!0+(?!\d))\d{1,9})"
_WRITTEN = {
    comma: re.compile(rf"(?:{number}|{_OVER}) ?(?P<unit>[^\d/.,]*)\.?", re.ASCII)
    for comma, number in ((False, _POINT), (True, _COMMA))
}


def written_number(text: str, decimal_comma: bool = False) -> tuple[float, str] | None:
    """The number that somebody wrote, and its unit in small letters, empty where none is; None for no such number.

    >>> written_number('3-7/8"'), written_number("4¼ oz."), written_number("1,5g", decimal_comma=True)
    ((3.875, '"'), (4.25, 'oz'), (1.5, 'g'))
    """
    plain = _FRACTION.sub(lambda found: " " + unicodedata.normalize("NFKC", found[0]).replace("⁄", "/"), tidy(text))
    written = _WRITTEN[decimal_comma].fullmatch(plain.strip())
    if written is None:
        return None
    value = float((written["number"] or written["whole"] or "0").replace(",", "."))
    if written["over"]:
        value += int(written["over"]) / int(written["under"])
    return value, written["unit"].strip().casefold()


def prototype_feet(text: str, decimal_comma: bool = False) -> float | None:
    """The feet that somebody wrote of a car at full size; None where it is no such length.

    >>> prototype_feet("50'"), prototype_feet("40'-6\\""), prototype_feet("52.5"), round(prototype_feet("15.24 m"), 9)
    (50.0, 40.5, 52.5, 50.0)
    """
    parted = _FEET_AND_INCHES.fullmatch(tidy(text))
    feet, inches = (parted["feet"], parted["inches"]) if parted else (text, "0 in")
    parts = [written_number(each, decimal_comma) for each in (feet, inches)]
    sizes = [None if part is None else _FULL_SIZE.get(part[1]) for part in parts]
    if None in parts or None in sizes:
        return None
    return sum(part[0] * size for part, size in zip(parts, sizes, strict=True) if part and size) / MM_PER_FOOT


def says_nothing(text: str) -> bool:
    """Whether a cell holds only what people write where they know nothing.

    >>> says_nothing("n/a"), says_nothing("0")
    (True, False)
    """
    return text.casefold() in NOTHING
