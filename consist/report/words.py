"""Text from files made fit to print, and the small words that every page shares."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from io import StringIO
from math import floor

from rich.cells import cell_len, set_cell_size
from rich.console import Console
from rich.text import Text

__all__ = ["NONE", "at", "clean", "counted", "fit", "listing", "margin", "paragraph", "percent", "score", "unbroken"]

NONE = "–"
"""What stands where there is no figure."""
KEPT_FORMATS = "\u200c\u200d"  # joiners that some scripts need; every other format character is dropped
ROUNDING = 1e-9
"""A margin is cut, not rounded up, so that one short of a limit never reads as at it; this forgives float noise."""
FULL = 100
BLANK_IN_NAME = "\ue000"
"""Stands for a blank at which a line is not to be broken, until the lines are made. For private use in Unicode."""


def clean(text: str) -> str:
    """Text on one line without control characters, whatever the file held.

    >>> clean("HOT\\x1b[31m BOX\\n 7")
    'HOT[31m BOX 7'
    """
    kept = []
    for character in text:
        if character.isspace():
            kept.append(" ")
        elif unicodedata.category(character) not in ("Cc", "Cf", "Cs") or character in KEPT_FORMATS:
            kept.append(character)
    return " ".join("".join(kept).split())


def fit(text: str, cells: int) -> str:
    """Text cut with … where it takes more than `cells` columns of a terminal; wide characters take two.

    >>> fit("Nettlefoot", 6)
    'Nettl…'
    """
    if cell_len(text) <= cells:
        return text
    return set_cell_size(text, max(cells - 1, 0)).rstrip() + "…" if cells > 0 else ""


def percent(share: float | None) -> str:
    """A share in whole per cents; only a full share reads as 100 %.

    >>> percent(0.734), percent(0.997), percent(1.001), percent(None)
    ('73 %', '99 %', '101 %', '–')
    """
    if share is None:
        return NONE
    whole = round(100.0 * share)
    if whole == FULL and abs(share - 1.0) > ROUNDING:
        whole += 1 if share > 1.0 else -1
    return f"{whole} %"


def margin(value: float | None) -> str:
    """A margin to two places, cut so that 0.999 does not read as 1.00.

    >>> margin(0.999), margin(12.0), margin(None)
    ('0.99', '12.0', '–')
    """
    if value is None:
        return NONE
    if value >= 100.0:
        return "over 99"
    places = 2 if value < 10.0 else 1
    return f"{floor(value * 10**places + ROUNDING) / 10**places:.{places}f}"


def score(value: float | None) -> str:
    """A score of 0 to 100, cut to a whole number so that only the best reads as 100.

    >>> score(99.7), score(100.0), score(None)
    ('99', '100', '–')
    """
    return NONE if value is None else str(floor(value + ROUNDING))


def unbroken(name: str) -> str:
    """A name that `paragraph` keeps on one line, blanks and all."""
    return clean(name).replace(" ", BLANK_IN_NAME)


def at(place: str) -> str:
    """A place as the end of a sentence.

    >>> at("Highkiln"), at("between Sedgemill and Marlpit")
    ('at Highkiln', 'between Sedgemill and Marlpit')
    """
    return place if place.startswith("between ") else f"at {place}"


def counted(number: int, one: str, many: str | None = None) -> str:
    """A number of things.

    >>> counted(1, "car"), counted(0, "car")
    ('1 car', '0 cars')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def listing(names: Sequence[str]) -> str:
    """Names as a sentence lists them.

    >>> listing(["A", "B", "C"])
    'A, B and C'
    """
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def paragraph(text: str, width: int, *, label: str = "", style: str = "", indent: int = 2) -> list[Text]:
    """Text wrapped to `width` columns behind a label, each further line set in by `indent`.

    The label is followed by a blank and takes `style`.
    """
    console = Console(file=StringIO(), width=width)
    whole = Text.assemble((label, style), " " if label else "", text)
    first = whole.wrap(console, width)[0]
    rest = whole[len(first.plain) :]
    rest = rest[len(rest.plain) - len(rest.plain.lstrip()) :]
    lines = [first]
    if rest.plain:
        lines += [Text(" " * indent).append_text(line) for line in rest.wrap(console, width - indent)]
    for line in lines:
        line.rstrip()
        line.plain = line.plain.replace(BLANK_IN_NAME, " ")
    return lines
