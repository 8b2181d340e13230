"""What every part of the power page shares: the order of trains, their letters, and engines in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from string import ascii_letters, ascii_uppercase

from consist.power import Combo, PowerPlan, TrainPower
from consist.power.words import clock
from consist.report.words import NONE, unbroken

__all__ = ["MANY_MORE", "combos_words", "engines_words", "in_order", "letters", "time"]

MOST_COMBOS = 6
"""As many combinations are told for one train; the JSON has them all."""
MANY_MORE = "more (--json lists them)"
LETTERS = ascii_uppercase + ascii_letters[:26]


def in_order(plan: PowerPlan) -> list[TrainPower]:
    """The trains as they depart, those without a time last, else in the session's order."""
    return sorted(plan.trains, key=lambda train: (train.depart is None, train.depart or 0))


def letters(plan: PowerPlan) -> dict[str, str]:
    """What each train is called in a drawing: A to Z, then a to z, then numbers."""
    return {
        train.train: LETTERS[number] if number < len(LETTERS) else str(number + 1)
        for number, train in enumerate(in_order(plan))
    }


def time(minutes: int | None) -> str:
    """A time of the fast clock, or a dash."""
    return NONE if minutes is None else clock(minutes)


def combos_words(combos: Sequence[Combo], many_more: str = MANY_MORE) -> str:
    """The combinations that would do, those of the fewest engines first.

    `many_more` follows the number of those that are too many to tell.

    >>> from consist.power import Tightest
    >>> there = Tightest("Highkiln", 0.0)
    >>> combos_words([Combo({"Heavy": 1}, 0.5, 9.0, there), Combo({"Branch": 1, "Pug": 2}, 0.5, 9.0, there)])
    '1\\ue000Heavy or 1\\ue000Branch + 2\\ue000Pug'
    """
    if not combos:
        return "more than engines of these classes can do"
    told = [
        " + ".join(unbroken(f"{number} {name}") for name, number in combo.classes.items())
        for combo in combos[:MOST_COMBOS]
    ]
    if len(combos) > MOST_COMBOS:
        told.append(f"{len(combos) - MOST_COMBOS} {many_more}")
    return " or ".join(told)


def engines_words(names: Iterable[str]) -> str:
    """Engines as a table lists them."""
    return ", ".join(unbroken(name) for name in names)
