"""How a train's sheet is put on one page: with how large pictures, and without what is told elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil

from consist.report.document import Block, ChartKind, Facts, Item, Items, Picture, Section, Sheet, Table

__all__ = ["FITS", "Fit", "fit_of"]


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
        compares = any(isinstance(one, Picture) and one.kind == "then" for one in section.blocks)
        return self.without_comparison and isinstance(block, Table) and compares


THEN: frozenset[ChartKind] = frozenset({"then"})
BOTH: frozenset[ChartKind] = frozenset({"then", "train"})
FITS = (
    Fit(),
    Fit(80),
    Fit(80, THEN),
    *(Fit(percent, THEN, without_comparison=True) for percent in (80, 72, 64)),
    *(Fit(percent, BOTH, without_comparison=True) for percent in (80, 72, 64, 56, 48)),
)
"""What is tried in turn. The order suggested is on the switch list too, and the standing order says what the train's
picture does."""

# In millimetres, as the style prints a sheet in two columns: the height and the width of Letter, the lower and wider
# of the two papers, so that a sheet fits A4 as well.
COLUMNS_MM = 2 * 252.0
WASTED_MM = 30.0  # a picture is not broken, and leaves the foot of a column empty
COLUMN_MM = 93.0
LINE_MM = 3.39
LETTERS = 60  # a line
FACT_LETTERS = 46
HEADING_MM = 6.0
GAP_MM = 0.7
ROW_MM = 3.8
TABLE_HEAD_MM = 6.0
CAPTION_MM = 4.0


def fit_of(sheet: Sheet, shapes: Mapping[Picture, float]) -> Fit:
    """How a train's sheet is put on paper; `shapes` has the height of each picture as a share of its width."""
    if sheet.kind != "train":
        return Fit()
    room = COLUMNS_MM - WASTED_MM
    heights = ((fit, sum(_section_mm(section, fit, shapes) for section in sheet.sections)) for fit in FITS)
    return next((fit for fit, mm in heights if mm <= room), FITS[-1])


def _section_mm(section: Section, fit: Fit, shapes: Mapping[Picture, float]) -> float:
    kept = [block for block in section.blocks if not fit.leaves_out(block, section)]
    heading = HEADING_MM if section.title and kept else 0.0
    return heading + sum(_block_mm(block, fit, shapes) + GAP_MM for block in kept)


def _block_mm(block: Block, fit: Fit, shapes: Mapping[Picture, float]) -> float:
    if isinstance(block, Picture):
        return CAPTION_MM + shapes[block] * COLUMN_MM * fit.drawn_percent / 100.0
    if isinstance(block, Table):
        return TABLE_HEAD_MM + ROW_MM * len(block.rows)
    if isinstance(block, Facts):
        return _lines_mm((cell.text for _, cell in block.facts), FACT_LETTERS)
    labelled = block.items if isinstance(block, Items) else (block,)
    told = (f"MARK {one.label} {one.text}" if one.label else one.text for one in labelled)
    below = (text for one in labelled if isinstance(one, Item) for text in one.more)
    return _lines_mm((*told, *below), LETTERS)


def _lines_mm(texts: Iterable[str], letters: int) -> float:
    return sum(LINE_MM * ceil(len(text) / letters) + 0.4 for text in texts)
