"""The plan at a glance, a row a train, and below it what would do for each and where it is tightest."""

from __future__ import annotations

from rich.text import Text

from consist.power import PowerPlan, TrainPower
from consist.report.columns import Column, lay_out
from consist.report.power_told import SHORT, needs_words
from consist.report.power_words import engines_words, in_order, letters, time
from consist.report.units import Units
from consist.report.verdicts import STYLES
from consist.report.words import NONE, clean, paragraph, percent
from consist.session import Session

__all__ = ["needs", "plan_table"]

ENGINES_WIDTH, NARROW, NARROW_ENGINES = 16, 72, 12
"""Columns for a train's engines, fewer on a narrow page; more engines go on a row below, so that no name is cut."""


def plan_table(plan: PowerPlan, width: int) -> list[Text]:
    """Which engines go on which train, in the order of departure."""
    columns = (
        Column(""),
        Column("departs", right=True),
        Column("arrives", right=True),
        Column("train", least=8, gap=2),
        Column("from", least=6),
        Column("to", least=6),
        Column("engines"),
        Column("use", right=True),
    )
    keys = letters(plan)
    rows: list[list[str | Text]] = []
    for train in in_order(plan):
        first, *more = _engines(train, ENGINES_WIDTH if width >= NARROW else NARROW_ENGINES)
        rows.append(
            [
                keys[train.train],
                time(train.depart),
                time(train.arrive),
                clean(train.train),
                clean(train.start),
                clean(train.finish),
                first,
                percent(train.use) if train.assigned else NONE,
            ]
        )
        rows.extend(["", "", "", "", "", "", names, ""] for names in more)
    return lay_out(columns, rows, width)


def _engines(train: TrainPower, width: int) -> list[Text]:
    """The engines on rows of `width`, a train left short told first."""
    label = f"{SHORT}:" if train.assigned else SHORT
    told = engines_words(train.assigned) or ("" if train.short else NONE)
    style = f"bold {STYLES['hold']}"
    return paragraph(told, width, label=label if train.short else "", style=style if train.short else "", indent=0)


def needs(session: Session, plan: PowerPlan, units: Units, width: int) -> list[Text]:
    """For each train, the combinations that would do, and where the engines it has are nearest to their limit."""
    trains = {train.name: train for train in session.trains}
    lines: list[Text] = []
    for train in in_order(plan):
        said = needs_words(trains[train.train], train, units)
        lines += paragraph(said, width, label=f"{clean(train.train)}:", style="bold")
    return lines
