"""Names as the user wrote them: tidied, shown safely in a message, and matched to the nearest known one."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from unicodedata import normalize

__all__ = [
    "did_you_mean", "likeness", "listed", "near_hint", "nearest", "no_formula", "one_of", "plain", "quoted", "tidy",
]  # fmt: skip

LONGEST_SHOWN = 40  # characters of the user's text that a message repeats
MOST_LISTED = 8
NEAR = 0.6  # difflib's own cutoff for a close match
NEAR_SHORT = 0.5  # so that one wrong character of two still finds the name
SHORT = 3
_FORMULA = re.compile(r"[^\w!-~]*[=+\-@＝＋－＠﹢﹣﹦﹫]\s*\S")
"""What a spreadsheet may take for a formula, whatever blanks and marks it stands behind."""


def tidy(text: str) -> str:
    """A cell or name without blanks around it, and with single blanks inside, its accents written one way.

    >>> tidy("  Gorse\\u00a0 Junction ")
    'Gorse Junction'
    """
    tidied = " ".join(text.replace("\ufeff", " ").split())
    return tidied if tidied.isascii() else normalize("NFC", tidied)


def quoted(text: str) -> str:
    """The user's text in quotes, cut short, with what cannot be printed escaped.

    >>> quoted("heavy")
    "'heavy'"
    """
    cut = text if len(text) <= LONGEST_SHOWN else text[:LONGEST_SHOWN] + "..."
    return repr(cut)


def plain(text: str) -> str:
    """The user's text as `quoted` shows it, without the quotes."""
    return quoted(text)[1:-1]


def no_formula(text: str) -> str:
    """Text for a cell of a .csv file: with an apostrophe before it where a spreadsheet may take it for a formula.

    >>> no_formula(" =1+1"), no_formula("＝1+1"), no_formula("Nettlefoot")
    ("' =1+1", "'＝1+1", 'Nettlefoot')
    """
    return f"'{text}" if _FORMULA.match(text) else text


def listed(names: Iterable[str]) -> str:
    """Names in quotes for a message, the first few where there are many."""
    shown = [quoted(name) for name in names]
    if len(shown) > MOST_LISTED:
        return f"{', '.join(shown[:MOST_LISTED])} and {len(shown) - MOST_LISTED} more"
    return ", ".join(shown)


def likeness(one: str, other: str) -> float:
    """How alike two names are, 0 to 1, whatever their case."""
    from difflib import SequenceMatcher

    return SequenceMatcher(None, one.casefold(), other.casefold()).ratio()


def nearest(name: str, known: Collection[str]) -> str | None:
    """The known name nearest to `name`, or None where none is near.

    >>> nearest("gorse juntion", ["Skerry Yard", "Gorse Junction"])
    'Gorse Junction'
    """
    from difflib import get_close_matches

    by_folded = {other.casefold()[:200]: other for other in known}
    cutoff = NEAR_SHORT if len(name) <= SHORT else NEAR
    near = get_close_matches(name.casefold()[:200], list(by_folded), n=1, cutoff=cutoff)
    return by_folded[near[0]] if near else None


def one_of(name: str, known: Collection[str]) -> str | None:
    """The known name that is meant: itself, or the only one like it whatever the case, blanks and hyphens, or the
    only one of that number. None where none is meant, or several could be.

    >>> one_of("pqf-201", ["PQF 201", "PQF 2010"]), one_of("2010", ["PQF 201", "PQF 2010"])
    ('PQF 201', 'PQF 2010')
    >>> one_of("201", ["PQF 201", "GRN 201"]) is None
    True
    """
    if name in known:
        return name
    asked = _closed_up(name)
    alike = [other for other in known if _closed_up(other) == asked]
    if not alike and asked.isdigit():
        alike = [other for other in known if _number(other) == asked]
    return alike[0] if len(alike) == 1 else None


def _closed_up(name: str) -> str:
    return "".join(letter for letter in name.casefold() if not (letter.isspace() or letter == "-"))


def _number(name: str) -> str:
    """The digits that a name ends with.

    >>> _number("PQF 2010")
    '2010'
    """
    return name[len(name.rstrip("0123456789")) :]


def near_hint(name: str, known: Collection[str]) -> str:
    """The end of a sentence about a name that is not known: the nearest one, if any is near."""
    near = nearest(name, known)
    return f"; did you mean {quoted(near)}?" if near is not None else ""


def did_you_mean(name: str, known: Collection[str], what: str = "names") -> str:
    """The half sentence that mends a name that is not known: the nearest one, or what there is."""
    near = nearest(name, known)
    if near is not None:
        return f"did you mean {quoted(near)}?"
    if not known:
        return f"there are no {what} to choose from"
    return f"the {what} are {listed(known)}"
