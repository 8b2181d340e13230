"""The legs of a train's trip as a small table, where its makeup changes on the way."""

from __future__ import annotations

from string import ascii_uppercase

from rich.text import Text

from consist.checking.results import TrainCheck
from consist.report.columns import Column, lay_out
from consist.report.units import Units
from consist.report.words import NONE, clean, margin, percent

__all__ = ["leg_name", "legs_table"]


def leg_name(number: int) -> str:
    """What a leg is called, by its number from 0: a letter, or a number once those run out.

    >>> leg_name(0), leg_name(25), leg_name(26)
    ('A', 'Z', '27')
    """
    return ascii_uppercase[number] if number < len(ascii_uppercase) else str(number + 1)


def legs_table(result: TrainCheck, units: Units, width: int) -> list[Text]:
    """One row a leg, from stop to stop."""
    columns = (
        Column("leg", right=True),
        Column("from", least=8),
        Column("to", least=8),
        Column("cars", right=True),
        Column(units.name, right=True),
        Column("margin", right=True),
        Column(f"drawbar {units.name}", right=True, gap=2),
        Column("power use", right=True, gap=2),
    )
    rows = [
        [
            leg_name(number),
            clean(leg.start),
            clean(leg.finish),
            str(len(leg.cars)),
            units.train_weight_figure(leg.weight_g),
            margin(leg.margin),
            NONE if leg.peak_drawbar_g is None else units.weight_figure(leg.peak_drawbar_g),
            percent(leg.power_use),
        ]
        for number, leg in enumerate(result.legs)
    ]
    return lay_out(columns, rows, width)
