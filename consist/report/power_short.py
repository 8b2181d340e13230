"""Trains left short of power: what stands there, what it would take, and what would mend it, cheapest first."""

from __future__ import annotations

from rich.text import Text

from consist.power import PowerPlan
from consist.report.power_told import NO_OPTION, SHORT, short_words
from consist.report.power_words import in_order
from consist.report.verdicts import STYLES
from consist.report.words import clean, paragraph

__all__ = ["short_trains"]


def short_trains(plan: PowerPlan, width: int) -> list[Text]:
    """A paragraph a train that is short, then its options, numbered."""
    lines: list[Text] = []
    for train in in_order(plan):
        if not train.short:
            continue
        lines += [Text()] if lines else []
        lines += paragraph(
            short_words(train),
            width,
            label=f"{SHORT} {clean(train.train)}:",
            style=f"bold {STYLES['hold']}",
        )
        for number, option in enumerate(train.options, start=1):
            lines += paragraph(clean(option.say), width, label=f"  {number}.", indent=5)
        if not train.options:
            lines += paragraph(NO_OPTION, width, label="  -", indent=4)
    return lines
