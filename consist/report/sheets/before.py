"""A train before changes and after them, in one line."""

from __future__ import annotations

from consist.evening.results import TrainCheck
from consist.report.sheets.train import pull_that_does
from consist.report.words import clean, margin
from consist.session import Train
from consist.wording import NONE, Units, percent

__all__ = ["before_words"]


def before_words(was: TrainCheck, now: TrainCheck, train: Train, units: Units) -> str:
    """What a train was before some changes, and what it is with them, as `train` is; weights in `units`."""

    def told(check: TrainCheck) -> str:
        pull_g = pull_that_does(check, train)
        # no side pull and no pull at all have no figure
        use = NONE if check.power.use is None else percent(check.power.use)
        power = f"power use {use}" if pull_g is None else f"engines of {units.weight(pull_g)} of pull would do"
        return f"{check.verdict.upper()}, margin {margin(check.margin)}, {power}"

    return f"{clean(now.train)} before these changes: {told(was)}. With them: {told(now)}."
