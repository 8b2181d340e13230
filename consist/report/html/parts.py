"""The document's blocks made ready for the templates: pictures drawn, and how a train's sheet is put on one page."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import count, groupby
from typing import TypeGuard

from markupsafe import Markup

from consist.report.charts import Chart, inline_svg
from consist.report.document import Block, Caution, Document, Facts, Items, Para, Picture, Section, Sheet, Table
from consist.report.html.tables import TableView, table_view
from consist.report.one_page import Fit, fit_of

__all__ = ["TONIGHT", "PictureView", "SheetView", "heading_of", "sheet_views"]

TONIGHT = "Tonight"
"""What the sheet of the session is headed."""

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


WHOLE = 100.0


@dataclass(frozen=True)
class PictureView:
    """A picture drawn. `along` (left, top, right, bottom) and `track` (points x,y) are in per cent of its sides.

    Either is empty where the picture has no place for a marker. `words` tell, as JSON, where the head end is at
    places evenly along the route, empty where another picture does; `start` numbers the one nearest to the worst.
    """

    picture: Picture
    anchor: str
    svg: Markup
    along: str
    track: str
    words: str
    start: int

    @property
    def followed(self) -> bool:
        """Whether a marker of the head end can be shown on it."""
        return bool(self.along or self.track)


def picture_view(picture: Picture, chart: Chart, anchor: str) -> PictureView:
    """The picture with its markup, whose own anchors all begin with `anchor`."""
    svg = Markup(inline_svg(chart, anchor))
    words, start = _words(chart)
    return PictureView(picture, anchor, svg, _along(chart), _track(chart), words, start)


def _words(chart: Chart) -> tuple[str, int]:
    along = chart.along
    if along is None or not along.words:
        return "", 0
    share = (along.head_mm or 0.0) / along.route_mm if along.route_mm > 0.0 else 0.0
    return json.dumps(along.words, ensure_ascii=False), round(share * (len(along.words) - 1))


def _along(chart: Chart) -> str:
    if chart.along is None:
        return ""
    plot, wide, high = chart.along, chart.width, chart.height
    shares = (plot.left / wide, plot.top / high, plot.right / wide, plot.bottom / high)
    return " ".join(_percent(share) for share in shares)


def _track(chart: Chart) -> str:
    return " ".join(f"{_percent(x / chart.width)},{_percent(y / chart.height)}" for x, y in chart.track)


def _percent(share: float) -> str:
    return f"{WHOLE * share:.2f}"


def heading_of(sheet: Sheet, document: Document) -> str:
    """The sheet's heading; that of the session is not the document's title again, which stands above it."""
    return TONIGHT if sheet.kind == "session" and sheet.title == document.title else sheet.title
