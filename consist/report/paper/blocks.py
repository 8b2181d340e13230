"""Blocks of a document as things that flow down a page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, HRFlowable, Spacer
from reportlab.platypus import Table as Grid

from consist.report.charts import Chart
from consist.report.document import Block, Caution, Facts, Item, Items, Para, Picture, Section, Table
from consist.report.one_page import Fit
from consist.report.paper.lettering import GREY, INK, Type, marked
from consist.report.paper.marks import Drawn, TickBox
from consist.report.paper.tables import empty_cells, table_flowable

__all__ = ["Group", "Writer"]

Group = list[Flowable]
"""What stays together on a page."""

LABEL_SHARE = 0.2  # of the width, for the names of facts
LARGEST_SCALE = 0.9  # points a drawing unit; lettering of 9 units is then as large as the text around a picture
INDENT = 1.6  # letters' sizes
AFTER_ITEM = 0.15  # letters' sizes of air after an item
NO_PADDING: list[Any] = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0.0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0.0),
    ("TOPPADDING", (0, 0), (-1, -1), 0.0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]


@dataclass(frozen=True)
class Writer:
    """Writes blocks in a column `wide` points wide.

    A picture is put at `drawn` times the width of the column, no higher than `tallest` points.
    """

    wide: float
    letters: Type
    chart_of: Callable[[Picture], Chart]
    tallest: float
    drawn: float = 1.0

    def section(self, section: Section, fit: Fit, tried: dict[int, list[Group]] | None = None) -> list[Group]:
        """A section; its heading stays with what follows it. Blocks that were `tried` are taken as they were."""
        groups: list[Group] = []
        for block in section.blocks:
            if fit.leaves_out(block, section):
                continue
            made = None if tried is None else tried.get(id(block))
            if made is None:
                made = self._block(block)
                if tried is not None and not isinstance(block, Picture):
                    tried[id(block)] = made
            groups += made
        if section.title and groups:
            rule = HRFlowable(width="100%", thickness=0.6, color=GREY)
            groups[0] = [marked(section.title, self.letters.style("heading")), rule, Spacer(0.0, 1.5), *groups[0]]
        return groups

    def _block(self, block: Block) -> list[Group]:
        letters = self.letters
        air = Spacer(0.0, 0.4 * letters.size)
        if isinstance(block, Para):
            # a level without a label is that of the whole sheet, which its title tells
            level = block.level if block.label else None
            return [
                [
                    marked(
                        block.text,
                        letters.style("small") if block.legend else letters.style("plain"),
                        block.label,
                        level,
                    )
                ]
            ]
        if isinstance(block, Items):
            # the air is of the item's group, so that a page does not end within an item
            after = Spacer(0.0, AFTER_ITEM * letters.size)
            told = [[self._item(item, number, block), after] for number, item in enumerate(block.items, start=1)]
            return [*told, [air]]
        if isinstance(block, Picture):
            return [self._picture(block)]
        if isinstance(block, Facts) and not block.facts:
            return []
        if isinstance(block, Table):
            return [[table_flowable(block, self.wide, letters)], [air]]
        return [[self._facts(block) if isinstance(block, Facts) else self._caution(block), air]]

    def _item(self, item: Item, number: int, of: Items) -> Flowable:
        letters = self.letters
        text = [marked(item.text, letters.style("plain"), item.label, item.level)]
        text += [marked(more, letters.style("small")) for more in item.more]
        first: Flowable
        if of.boxes:
            first = TickBox(0.9 * letters.size)
        else:
            first = marked(f"{number}." if of.numbered else "–", letters.style("plain"))
        indent = INDENT * letters.size
        rows = list(zip([first, *[""] * len(item.more)], text, strict=True))
        grid = Grid(rows, colWidths=[indent, self.wide - indent], splitInRow=1)
        above = ("TOPPADDING", (0, 0), (0, 0), 1.5 if of.boxes else 0.0)
        grid.setStyle([*NO_PADDING, *empty_cells(letters.style("small")), above])
        return grid

    def _facts(self, facts: Facts) -> Flowable:
        names = max((self.letters.width(name, bold=True) for name, _ in facts.facts), default=0.0) + 8.0
        names = min(max(names, LABEL_SHARE * self.wide / 2.0), 0.4 * self.wide)
        style = self.letters.style("cell")
        rows = [[marked("", style, name), marked(cell.text, style)] for name, cell in facts.facts]
        grid = Grid(rows, colWidths=[names, self.wide - names], splitInRow=1)
        under = ("LINEBELOW", (0, 0), (-1, -1), 0.3, HexColor(GREY))
        grid.setStyle([*NO_PADDING, *empty_cells(style), ("TOPPADDING", (0, 0), (-1, -1), 0.8), under])
        return grid

    def _caution(self, caution: Caution) -> Flowable:
        text = marked(caution.text, self.letters.style("plain"), caution.label)
        grid = Grid([[text]], colWidths=[self.wide - 2.0], splitInRow=1)
        box = [("BOX", (0, 0), (-1, -1), 0.7, HexColor(INK)), ("LINEBEFORE", (0, 0), (0, -1), 3.0, HexColor(INK))]
        air = [("TOPPADDING", (0, 0), (-1, -1), 2.0), ("BOTTOMPADDING", (0, 0), (-1, -1), 2.0)]
        grid.setStyle([*empty_cells(self.letters.style("plain")), *air, *box])
        return grid

    def _picture(self, picture: Picture) -> Group:
        chart = self.chart_of(picture)
        scale = min(self.drawn * self.wide / chart.width, self.tallest / chart.height, LARGEST_SCALE)
        drawn = Drawn(chart, scale)
        return [marked(picture.title, self.letters.style("caption")), drawn, Spacer(0.0, 0.5 * self.letters.size)]
