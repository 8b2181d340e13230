"""Trains left short of power: what stands there, what it would take, and what would mend it, cheapest first."""

from __future__ import annotations

from rich.text import Text

from consist.power import PowerPlan, TrainPower
from consist.report.power_words import combos_words, in_order
from consist.report.verdicts import STYLES
from consist.report.words import at, clean, listing, paragraph, percent

__all__ = ["short_trains"]


def short_trains(plan: PowerPlan, width: int) -> list[Text]:
    """A paragraph a train that is short, then its options, numbered."""
    lines: list[Text] = []
    for train in in_order(plan):
        if not train.short:
            continue
        lines += [Text()] if lines else []
        lines += paragraph(
            f"{_has(train)} It takes {combos_words(train.combos)}.",
            width,
            label=f"SHORT {clean(train.train)}:",
            style=f"bold {STYLES['hold']}",
        )
        for number, option in enumerate(train.options, start=1):
            lines += paragraph(clean(option.say), width, label=f"  {number}.", indent=5)
        if not train.options:
            lines += paragraph("Nothing that was looked at mends it.", width, label="  -", indent=4)
    return lines


def _has(train: TrainPower) -> str:
    start = clean(train.start)
    engines = train.assigned or train.at_hand
    if not engines:
        return f"No engine is free at {start}."
    names = listing([clean(name) for name in engines])
    one = len(engines) == 1
    have = f"It has only {names}" if train.assigned else f"At {start} there {'is' if one else 'are'} only {names}"
    if train.use is None:
        return f"{have}, which {'has' if one else 'have'} no pull to use at the hardest place."
    where = "" if train.tightest is None else f" {clean(at(train.tightest.place))}"
    return f"{have}, asked for {percent(train.use)} of {'its' if one else 'their'} usable pull{where}."
