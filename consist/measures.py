"""Weights and lengths as people write them: `3 3/4`, `6-7/8"`, `4 1/4 oz`; and what each unit is."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

from consist.names import tidy
from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH

__all__ = ["UNIT_WORDS", "says_nothing", "written_number"]

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


def says_nothing(text: str) -> bool:
    """Whether a cell holds only what people write where they know nothing.

    >>> says_nothing("n/a"), says_nothing("0")
    (True, False)
    """
    return text.casefold() in NOTHING
