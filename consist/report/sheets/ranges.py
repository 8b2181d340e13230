"""How sure figures are: the range of each train's margin and power use, and what to measure first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from consist.evening.results import TrainCheck
from consist.house import House
from consist.learning.ranges import TrainRange
from consist.report.document import Cell, Column, Para, RangeBar, Table
from consist.report.sheets.cells import figure, table, words
from consist.report.words import margin
from consist.rules import OFTEN
from consist.wording import NONE, between, percent

__all__ = ["range_fact", "ranges_told"]

LEGEND = "Nine of ten cases that what was not measured leaves open lie between; on hold is the share of all of them."


def range_fact(check: TrainCheck) -> tuple[str, Cell] | None:
    """A train's range as a fact of its sheet; None where it was not asked for."""
    known = check.range
    if known is None:
        return None
    first = "" if known.first is None else f"; measure {known.first.words}"
    return "Range", figure(f"{_margins(known)}, {_on_hold(known)}{first}.", known.hold_share)


def ranges_told(checks: Sequence[TrainCheck], house: House, anchors: Mapping[str, str]) -> tuple[Table | Para, ...]:
    """A row for each train whose range was asked for; nothing where none was."""
    asked = [(check, check.range) for check in checks if check.range is not None]
    if not asked:
        return ()
    told = table(
        "What was not measured leaves open",
        asked,
        words("train", lambda one: one[0].train, wide=True, strong=True, links=anchors),
        (Column("margin"), lambda one: Cell(_margins(one[1]))),
        (Column("side use", lesser=True), lambda one: Cell("", bar=_bar(*one, house))),
        (Column("on hold", figures=True), lambda one: figure(percent(one[1].hold_share, OFTEN), one[1].hold_share)),
        (Column("power use", lesser=True), lambda one: Cell(_powers(one[1]))),
        words("measure first", lambda one: NONE if one[1].first is None else one[1].first.words, wide=True),
    )
    return told, Para(LEGEND, legend=True)


def _margins(known: TrainRange) -> str:
    if known.margin is None:
        return NONE
    least, most = known.margin
    return f"{margin(least)} to {margin(most)}" if most is not None else f"{margin(least)} and more"


def _on_hold(known: TrainRange) -> str:
    return f"on hold in {percent(known.hold_share, OFTEN)} of cases" if known.hold_share > 0.0 else "never on hold"


def _powers(known: TrainRange) -> str:
    if known.power_use is None:
        return NONE
    least, most = (percent(use) for use in known.power_use)
    return between(least, most) if NONE not in (least, most) else f"{least} and more"


def _bar(check: TrainCheck, known: TrainRange, house: House) -> RangeBar | None:
    if known.margin is None or known.margin[0] is None:
        return None
    least = 0.0 if known.margin[1] is None else 1.0 / known.margin[1]
    return RangeBar(least, check.side_use, 1.0 / known.margin[0], 1.0 / house.care_margin, 1.0 / house.hold_margin)
