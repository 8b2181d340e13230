"""Where the engines that the session's file gives its trains differ from those of the plan."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from rich.text import Text

from consist.power import PowerPlan, TrainPower
from consist.report.columns import Column, lay_out
from consist.report.power_told import SHORT, differing, given_words
from consist.report.power_words import engines_words
from consist.report.words import NONE, clean, paragraph, percent

__all__ = ["given_and_planned"]


USES_AND_GAPS = 16
"""Columns that are not for names."""


def given_and_planned(plan: PowerPlan, width: int) -> list[Text]:
    """A row for each train that differs, and the engines of the two in all."""
    differ = differing(plan)
    if not differ:
        return paragraph(given_words(plan), width)
    columns = (
        Column("train", least=8),
        Column("given", gap=2),
        Column("use", right=True),
        Column("planned", gap=2),
        Column("use", right=True),
    )
    names_width = (width - USES_AND_GAPS) // 3
    rows = [row for train in differ for row in _rows(train, names_width)]
    return [*lay_out(columns, rows, width), *paragraph(given_words(plan), width)]


def _rows(train: TrainPower, names_width: int) -> list[list[str | Text]]:
    """The train's row, and rows below it where its engines take more than one."""
    planned = train.assigned or (SHORT if train.short else ())
    given_lines, planned_lines = (_names(names, names_width) for names in (train.given, planned))
    first: list[str | Text] = [
        clean(train.train),
        given_lines[0],
        percent(train.given_use) if train.given else NONE,
        planned_lines[0],
        percent(train.use) if train.assigned else NONE,
    ]
    more = zip_longest(given_lines[1:], planned_lines[1:], fillvalue="")
    return [first, *(["", given, "", names, ""] for given, names in more)]


def _names(names: tuple[str, ...] | str, width: int) -> Sequence[Text]:
    return paragraph(names if isinstance(names, str) else engines_words(names) or "none", width, indent=0)
