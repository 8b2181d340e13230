"""How a train's sheet is put on one page of paper: with how large pictures, and without what is told elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

from consist.report.document import Block, ChartKind, Picture, Section, Table

__all__ = ["FITS", "Fit"]

SMALLER, SMALLER_STILL, SMALL, SMALLEST = 80, 72, 64, 56
"""Widths of a picture on a sheet that is full, in per cent of the column's."""


@dataclass(frozen=True)
class Fit:
    """How a sheet is put on paper: with smaller pictures, and without what the sheet or another tells as well.

    `drawn_percent` is the width of a picture in per cent of the column's.
    """

    drawn_percent: int = 100
    without: frozenset[ChartKind] = frozenset()
    without_comparison: bool = False

    def leaves_out(self, block: Block, section: Section) -> bool:
        """Whether a block of a section stays off the paper."""
        if isinstance(block, Picture):
            return block.kind in self.without
        return self.without_comparison and isinstance(block, Table) and _compares(section)


THEN: frozenset[ChartKind] = frozenset({"then"})
BOTH: frozenset[ChartKind] = frozenset({"then", "train"})
FITS = (
    Fit(),
    Fit(SMALLER),
    Fit(SMALLER, THEN),
    Fit(SMALLER, THEN, without_comparison=True),
    Fit(SMALLER_STILL, THEN, without_comparison=True),
    Fit(SMALL, THEN, without_comparison=True),
    Fit(SMALLER, BOTH, without_comparison=True),
    Fit(SMALLER_STILL, BOTH, without_comparison=True),
    Fit(SMALL, BOTH, without_comparison=True),
    Fit(SMALLEST, BOTH, without_comparison=True),
)
"""What is tried in turn. The order suggested is on the switch list too, and the standing order says what the train's
picture does."""


def _compares(section: Section) -> bool:
    return any(isinstance(block, Picture) and block.kind == "then" for block in section.blocks)
