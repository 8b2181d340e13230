"""Blocks of a document as things that flow down a page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable, HRFlowable, Spacer

from consist.report.charts import Chart
from consist.report.document import Block, Caution, Facts, Item, Items, Para, Picture, Section, Table
from consist.report.one_page import Fit
from consist.report.paper.tables import Drawn, TickBox, table_grid
from consist.report.paper.type import ALL, GREY, INK, Type

__all__ = ["Group", "Writer"]

Group = list[Flowable]
"""What stays together on a page."""

LABEL_SHARES = 0.1, 0.4  # of the width, the least and the most for the names of facts
LARGEST_SCALE = 0.9  # points a drawing unit; lettering of 9 units is then as large as the text around a picture
INDENT = 1.6  # letters' sizes
AFTER_ITEM, AFTER_BLOCK, AFTER_PICTURE = 0.15, 0.4, 0.5  # letters' sizes of air
BARE: list[Any] = [
    ("LEFTPADDING", *ALL, 0.0),
    ("RIGHTPADDING", *ALL, 0.0),
    ("TOPPADDING", *ALL, 0.0),
    ("BOTTOMPADDING", *ALL, 1.5),
    ("VALIGN", *ALL, "TOP"),
]


class Writer:
    """Writes blocks in letters of a size, in a column `wide` points wide; a picture is no higher than `tallest`.

    A block is made once, however often it is asked for; only pictures are made anew, `chart_of` drawing them.
    """

    def __init__(self, letters: Type, wide: float, tallest: float, chart_of: Callable[[Picture], Chart]) -> None:
        self.letters, self._wide, self._tallest, self._chart_of = letters, wide, tallest, chart_of
        self._made: dict[int, list[Group]] = {}

    def section(self, section: Section, fit: Fit, drawn: float) -> list[Group]:
        """A section, its pictures `drawn` times as wide as the column; its heading stays with what follows it."""
        groups: list[Group] = []
        for block in section.blocks:
            if fit.leaves_out(block, section):
                continue
            if isinstance(block, Picture):
                groups.append(self._picture(block, drawn))
                continue
            if id(block) not in self._made:
                self._made[id(block)] = self._block(block)
            groups += self._made[id(block)]
        if section.title and groups:
            rule = HRFlowable(width="100%", thickness=0.6, color=GREY)
            groups[0] = [self.letters.words(section.title, "heading"), rule, Spacer(0.0, 1.5), *groups[0]]
        return groups

    def _block(self, block: Block) -> list[Group]:
        match block:
            case Para():
                # a level without a label is that of the whole sheet, which its title tells
                level = block.level if block.label else None
                return [[self.letters.words(block.text, "small" if block.legend else "plain", block.label, level)]]
            case Items():
                # the air is of the item's group, so that a page does not end within an item
                after = self._air(AFTER_ITEM)
                told = [[self._item(item, number, block), after] for number, item in enumerate(block.items, start=1)]
                return [*told, [self._air(AFTER_BLOCK)]]
            case Table():
                return [[table_grid(block, self._wide, self.letters)], [self._air(AFTER_BLOCK)]]
            case Facts():
                return [[self._facts(block), self._air(AFTER_BLOCK)]] if block.facts else []
            case Caution():
                return [[self._caution(block), self._air(AFTER_BLOCK)]]
        raise TypeError(f"no block of kind {type(block).__name__} is known")

    def _air(self, sizes: float) -> Spacer:
        return Spacer(0.0, sizes * self.letters.size)

    def _item(self, item: Item, number: int, of: Items) -> Flowable:
        letters = self.letters
        sign = f"{number}." if of.numbered else "–"
        first: Flowable = TickBox(0.9 * letters.size) if of.boxes else letters.words(sign)
        rows: list[list[Flowable | str]] = [[first, letters.words(item.text, "plain", item.label, item.level)]]
        rows += [["", letters.words(more, "small")] for more in item.more]
        indent = INDENT * letters.size
        above = ("TOPPADDING", (0, 0), (0, 0), 1.5 if of.boxes else 0.0)
        return letters.grid(rows, [indent, self._wide - indent], "small", *BARE, above)

    def _facts(self, facts: Facts) -> Flowable:
        letters, (least, most) = self.letters, (share * self._wide for share in LABEL_SHARES)
        names = min(max(max(letters.width(name, bold=True) for name, _ in facts.facts) + 8.0, least), most)
        rows = [[letters.words("", "cell", name), letters.words(cell.text, "cell")] for name, cell in facts.facts]
        under = ("TOPPADDING", *ALL, 0.8), ("LINEBELOW", *ALL, 0.3, HexColor(GREY))
        return letters.grid(rows, [names, self._wide - names], "cell", *BARE, *under)

    def _caution(self, caution: Caution) -> Flowable:
        box = ("BOX", *ALL, 0.7, HexColor(INK)), ("LINEBEFORE", (0, 0), (0, -1), 3.0, HexColor(INK))
        air = ("TOPPADDING", *ALL, 2.0), ("BOTTOMPADDING", *ALL, 2.0)
        text = self.letters.words(caution.text, "plain", caution.label)
        return self.letters.grid([[text]], [self._wide - 2.0], "plain", *air, *box)

    def _picture(self, picture: Picture, drawn: float) -> Group:
        chart = self._chart_of(picture)
        scale = min(drawn * self._wide / chart.width, self._tallest / chart.height, LARGEST_SCALE)
        return [self.letters.words(picture.title, "caption"), Drawn(chart.sheet, scale), self._air(AFTER_PICTURE)]
