"""Text from files made fit to print, and the small words that every sheet shares."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import fields, is_dataclass, replace
from math import floor
from string import ascii_uppercase
from typing import TYPE_CHECKING, Any

from consist.scales import GRAMS_PER_OUNCE, MM_PER_INCH, scale_words
from consist.wording import NONE, Units, at, in_words

if TYPE_CHECKING:
    from consist.bench.results import Target
    from consist.session import Train

__all__ = [
    "HELD", "NO_TRAIN", "clean", "counted", "in_words", "leading_words", "lettered", "margin", "named",
    "numbered_names", "past_words", "printable", "score", "target_text", "unbroken",
]  # fmt: skip

HELD = "\u00a0"
"""A blank at which a line is not broken."""
LONGEST_HELD = 24
"""A name of more characters may be broken at its blanks, so that it fits the narrowest column."""
NO_TRAIN = "No train is in this session yet; add a [[train]] to session.toml."
NO_CHARACTER = 0xFFFE
"""The last two of each 65,536 code points are no characters by the Unicode standard, and no XML may hold U+FFFF."""
REPLACED = "\ufffd"
KEPT_FORMATS = "\u200c\u200d"  # joiners that some scripts need; every other format character is dropped
ROUNDING = 1e-9
"""A margin is cut, not rounded up, so that one short of a limit never reads as at it; this forgives float noise."""
NOT_PRINTED = frozenset({"train", "anchor", "link", "kind"})
"""Fields of a document that name something to the program and are not shown."""


def clean(text: str) -> str:
    """Text on one line without control characters, whatever the file held.

    >>> clean("HOT\\x1b[31m BOX\\n 7")
    'HOT[31m BOX 7'
    """
    if text.isprintable():  # of blanks it has none but the plain one
        return " ".join(text.split())
    kept = []
    for character in text:
        kind = unicodedata.category(character)
        if character != HELD and (character.isspace() or kind == "Co"):
            kept.append(" ")
        elif ord(character) & NO_CHARACTER == NO_CHARACTER:
            kept.append(REPLACED)
        elif kind not in ("Cc", "Cf", "Cs") or character in KEPT_FORMATS:
            kept.append(character)
    return HELD.join(" ".join(part.split()) for part in "".join(kept).split(HELD)).strip()


def unbroken(name: str) -> str:
    """A name that is kept on one line, blanks and all, unless it is very long."""
    plain = clean(name)
    return plain.replace(" ", HELD) if len(plain) <= LONGEST_HELD else plain


def printable(thing: Any) -> Any:
    """A part of a document with every text of it clean."""
    if isinstance(thing, str):
        return clean(thing)
    if isinstance(thing, tuple):
        return tuple(map(printable, thing))
    if not is_dataclass(thing) or isinstance(thing, type):
        return thing
    shown = (field.name for field in fields(thing) if field.name not in NOT_PRINTED)
    return replace(thing, **{key: printable(getattr(thing, key)) for key in shown})


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


def counted(number: int, one: str, many: str | None = None) -> str:
    """A number of things.

    >>> counted(1, "car"), counted(0, "car")
    ('1 car', '0 cars')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def lettered(number: int, letters: str = ascii_uppercase) -> str:
    """A letter for a number from 0, or the number from 1 once those run out.

    >>> lettered(0), lettered(25), lettered(26)
    ('A', 'Z', '27')
    """
    return letters[number] if number < len(letters) else str(number + 1)


def named(names: Iterable[str]) -> str:
    """Names as a sentence lists them, each on one line."""
    return in_words([unbroken(name) for name in names])


def numbered_names(names: Sequence[str]) -> str:
    """Cars as a sentence lists them; of those with one mark it is said once.

    >>> numbered_names(["NQH 4034", "NQH 4039", "NQH 4041"]).replace(HELD, " "), numbered_names(["A 1", "B 2"])
    ('NQH 4034, 4039 and 4041', 'A\xa01 and B\xa02')
    """
    marks = {name.rpartition(" ")[0] for name in names}
    if len(names) > 1 and len(marks) == 1 and all(name.rpartition(" ")[2].isdigit() for name in names):
        first, *rest = names
        return in_words([unbroken(first), *(name.rpartition(" ")[2] for name in rest)])
    return named(names)


def past_words(train: Train, distance_mm: float, units: Units) -> str:
    """Where a distance along the route lies: at a place, or how far past the last one."""
    before, beyond = train.route.past(distance_mm)
    if round(beyond) > 0 and train.route.place_at(distance_mm) == before and distance_mm < train.route.length_mm:
        return f"{units.distance(beyond)} into the run {at(clean(before))}"
    return f"{units.distance(beyond)} past {clean(before)}" if round(beyond) > 0 else f"at {clean(before)}"


def leading_words(train: Train, distance_mm: float, units: Units) -> str:
    """The end of a train that leads, and where along the route it is."""
    return f"{train.route.leads_at(distance_mm)} end {past_words(train, distance_mm, units)}"


def target_text(target: Target) -> str:
    """A target weight in ounces and grams, with the band that is near enough.

    >>> from consist.bench.results import Target
    >>> print(target_text(Target("N", "own", 101.6, 31.0, 28.0, 34.0, "Own", "body length")))
    Target      1.09 oz   31.0 g
    Near enough 0.99 to 1.20 oz   28.0 to 34.0 g
    N scale, Own, body length 4.00 in or 101.6 mm; a little over is better than under.
    <BLANKLINE>
    """
    oz, low_oz, high_oz = (grams / GRAMS_PER_OUNCE for grams in (target.target_g, target.low_g, target.high_g))
    inches = target.length_mm / MM_PER_INCH
    return (
        f"Target      {oz:.2f} oz   {target.target_g:.1f} g\n"
        f"Near enough {low_oz:.2f} to {high_oz:.2f} oz   {target.low_g:.1f} to {target.high_g:.1f} g\n"
        f"{scale_words(target.scale)}, {target.title}, {target.length_words} {inches:.2f} in or "
        f"{target.length_mm:.1f} mm; a little over is better than under.\n"
        + (f"{target.note}\n" if target.note else "")
    )
