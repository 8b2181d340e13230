"""A train before changes and after them, in one line."""

from __future__ import annotations

from consist.evening.results import TrainCheck
from consist.report.words import clean, margin
from consist.wording import NONE, percent

__all__ = ["before_words"]


def before_words(was: TrainCheck, now: TrainCheck) -> str:
    """What a train was before some changes, and what it is with them."""
    return f"{clean(now.train)} before these changes: {_told(was)}. With them: {_told(now)}."


def _told(check: TrainCheck) -> str:
    # no side pull and no pull at all have no figure
    use = NONE if check.power.use is None else percent(check.power.use)
    return f"{check.verdict.upper()}, margin {margin(check.margin)}, power use {use}"
