"""The document's blocks made ready for the templates: each with the name of its macro and the anchors it needs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import count, groupby
from typing import TypeGuard

from consist.report.charts import Chart
from consist.report.document import Block, Caution, Document, Facts, Items, Para, Picture, Section, Sheet, Table
from consist.report.html.contents import heading_of
from consist.report.html.paper import fit_of
from consist.report.html.pictures import PictureView, picture_view
from consist.report.html.tables import TableView, table_view
from consist.report.one_page import Fit

__all__ = ["Part", "Run", "SectionView", "SheetView", "sheet_views"]

MACROS: dict[type, str] = {Para: "para", Items: "items", Facts: "facts", Table: "table", Caution: "caution"}


@dataclass(frozen=True)
class Part:
    """What one macro writes: a block, a table with its ways of standing, or pictures that stand together.

    What is not `on_paper` is left out where the page is printed.
    """

    macro: str
    block: Block | TableView | tuple[PictureView, ...]
    anchor: str
    on_paper: bool = True


@dataclass(frozen=True)
class SectionView:
    """A section's heading, empty where it has none, and its parts.

    `drawn` is whether it is pictures alone, `followed` whether one of them can follow the head end.
    """

    title: str
    anchor: str
    parts: tuple[Part, ...]
    drawn: bool
    followed: bool

    @property
    def on_paper(self) -> bool:
        """Whether anything of it is printed."""
        return any(part.on_paper for part in self.parts)


@dataclass(frozen=True)
class Run:
    """Sections that stand together: of pictures alone, or of other things. A slider is offered where it `follows`."""

    sections: tuple[SectionView, ...]
    drawn: bool
    follows: bool


@dataclass(frozen=True)
class SheetView:
    """A sheet: its heading, its sections in runs, and how it is put on paper."""

    sheet: Sheet
    heading: str
    runs: tuple[Run, ...]
    fit: Fit

    @property
    def whole_on_paper(self) -> bool:
        """Whether nothing is left out where it is printed."""
        return all(part.on_paper for run in self.runs for section in run.sections for part in section.parts)


def sheet_views(document: Document, chart_of: Callable[[Picture], Chart]) -> tuple[SheetView, ...]:
    """Every sheet of the document, its pictures drawn by `chart_of`."""
    return tuple(_sheet(sheet, heading_of(sheet, document), chart_of) for sheet in document.sheets)


def _sheet(sheet: Sheet, heading: str, chart_of: Callable[[Picture], Chart]) -> SheetView:
    numbers = count(1)
    charts = {block: chart_of(block) for section in sheet.sections for block in section.blocks if _is_picture(block)}
    fit = fit_of(sheet, {picture: chart.height / chart.width for picture, chart in charts.items()})
    anchors = (f"{sheet.anchor}--{number}" for number in numbers)
    sections = [_section(_once_told(section, sheet), fit, charts, anchors) for section in sheet.sections]
    slider = next((section for section in sections if section.followed and sheet.kind == "train"), None)
    runs = []
    for drawn, together in groupby(sections, key=lambda section: section.drawn):
        members = tuple(together)
        runs.append(Run(members, drawn, follows=slider in members))
    return SheetView(sheet, heading, tuple(runs), fit)


def _is_picture(block: Block) -> TypeGuard[Picture]:
    return isinstance(block, Picture)


def _once_told(section: Section, sheet: Sheet) -> Section:
    """The section without the marks that the sheet's own heading has already, where it stands right below that."""
    if section.title or sheet.verdict is None:
        return section
    blocks = (
        replace(block, level=None) if isinstance(block, Para) and block.level == sheet.verdict else block
        for block in section.blocks
    )
    return Section("", tuple(blocks))


def _section(section: Section, fit: Fit, charts: Mapping[Picture, Chart], anchors: Iterator[str]) -> SectionView:
    anchor = next(anchors)
    parts: list[Part] = []
    for together, blocks in groupby(
        section.blocks, key=lambda block: (_is_picture(block), fit.leaves_out(block, section))
    ):
        drawn, left_out = together
        if drawn:
            views = tuple(picture_view(block, charts[block], next(anchors)) for block in filter(_is_picture, blocks))
            parts.append(Part("pictures", views, views[0].anchor, not left_out))
        else:
            parts += [replace(_part(block, section.title, next(anchors)), on_paper=not left_out) for block in blocks]
    pictures = [view for part in parts if isinstance(part.block, tuple) for view in part.block]
    alone = all(part.macro == "pictures" for part in parts)
    return SectionView(section.title, anchor, tuple(parts), alone, any(view.followed for view in pictures))


def _part(block: Block, title: str, anchor: str) -> Part:
    if isinstance(block, Table):
        return Part("table", table_view(block, title), anchor)
    return Part(MACROS[type(block)], block, anchor)
