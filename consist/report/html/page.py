"""The whole page: its contents, every sheet with its pictures, and its style and script inside it."""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from hashlib import sha256
from importlib.resources import files
from itertools import count, groupby

from markupsafe import Markup

from consist.report.charts import Chart, inline_svg
from consist.report.document import Block, Caution, Document, Facts, Items, Para, Picture, Section, Sheet, Table
from consist.report.html.elements import cell_words, element, lines, mark, marked, safe
from consist.report.html.tables import table_lines
from consist.report.one_page import Fit, fit_of

__all__ = ["html_page", "sheet_html"]

TONIGHT = "Tonight"
"""What the sheet of the session is headed."""
GROUPS = {
    "session": TONIGHT,
    "train": "Trains",
    "switch-list": "Switch lists",
    "power": "Engines",
    "bench": "Bench",
    "door": "Door",
}
"""The kinds of sheets in the order of the contents, and what each is headed."""
WHOLE = 100.0
BLANK, NEWLINE = Markup(" "), Markup("\n")
FOLLOW = Markup("""<div class="follow" hidden>
<label for="{slider}">Head end along the route</label>
<input type="range" id="{slider}" min="0" max="200" step="1" value="0">
<output for="{slider}"></output>
<p class="legend" hidden>Each bar now is the car's greatest use with the head end in this stretch of the route; \
leave the slider for the greatest of all.</p>
</div>""")
Charts = Mapping[Picture, Chart]


def html_page(document: Document, chart_of: Callable[[Picture], Chart]) -> str:
    """The report as one HTML page, its pictures in it; the same document gives the same text.

    Every text of the document is escaped. Only the pictures are taken as markup, as `inline_svg` gives it.
    """
    script = _file("page.js")
    sheets = (sheet_html(sheet, document.title, chart_of) for sheet in document.sheets)
    page = _file("page.html").format(
        title=safe(document.title),
        closing=safe(document.closing),
        contents=_contents(document),
        sheets=NEWLINE.join(sheets),
        style=_file("page.css"),
        script=script,
        # as a Content-Security-Policy names it; source: W3C CSP Level 3, 2.3.1, hash-source
        script_hash=f"sha256-{b64encode(sha256(script.encode()).digest()).decode()}",
    )
    return str(page)


def _file(name: str) -> Markup:
    return Markup(files(__package__).joinpath(name).read_text(encoding="utf-8"))


def _contents(document: Document) -> Markup:
    """The sheets by their kinds; the one sheet of a kind that is not one a train is linked by the kind's title."""
    groups = []
    for kind, title in GROUPS.items():
        sheets = [sheet for sheet in document.sheets if sheet.kind == kind]
        if len(sheets) == 1 and sheets[0].train is None:
            link = element("a", title, href=f"#{sheets[0].anchor}")
            groups.append(lines("div", element("h3", link), class_=f"group of-{kind}"))
        elif sheets:
            listed = [
                element("li", *_judged(element("a", of.train or of.title, href=f"#{of.anchor}", dir="auto"), of))
                for of in sheets
            ]
            groups.append(lines("div", element("h3", title), lines("ul", *listed), class_=f"group of-{kind} many"))
    return NEWLINE.join(groups)


def _judged(words: Markup, sheet: Sheet) -> tuple[Markup, ...]:
    """Words with the sheet's verdict behind them."""
    return (words,) if sheet.verdict is None else (words, BLANK, mark(sheet.verdict))


def sheet_html(sheet: Sheet, title: str, chart_of: Callable[[Picture], Chart]) -> Markup:
    """A sheet of the document of that title.

    Its sections stand in runs, of pictures alone or of other things, for the style to set side by side.
    """
    charts = {
        block: chart_of(block) for section in sheet.sections for block in section.blocks if isinstance(block, Picture)
    }
    fit = fit_of(sheet, {picture: chart.height / chart.width for picture, chart in charts.items()})
    anchors = (f"{sheet.anchor}--{number}" for number in count(1))
    followed, runs = sheet.kind != "train", []
    for drawn, together in groupby(sheet.sections, key=_drawn):
        members = list(together)
        told = [lines("div", *(_section(one, sheet, fit, charts, anchors) for one in members), class_="sections")]
        if not followed and any(_followed(section, charts) for section in members):
            followed = True
            told.insert(0, FOLLOW.format(slider=f"{sheet.anchor}--head"))
        runs.append(lines("div", *told, class_="drawn-run" if drawn else "told-run"))
    if any(fit.leaves_out(block, section) for section in sheet.sections for block in section.blocks):
        runs.append(element("p", "The page on a screen has more pictures of this train.", class_="on-paper legend"))
    # that of the session is not the document's title again, which stands above it
    heading = TONIGHT if sheet.kind == "session" and sheet.title == title else sheet.title
    titled, drawn_percent = f"{sheet.anchor}--title", fit.drawn_percent
    title_line = element("h2", *_judged(element("span", heading, dir="auto"), sheet), id=titled)
    # open, so that all can be read without script, which folds it
    fold = lines(
        "details",
        element("summary", title_line),
        lines("div", *runs, class_="flow", style=f"--drawn: {drawn_percent}%" if drawn_percent < WHOLE else None),
        element("p", element("a", "Back to contents", href="#contents"), class_="back"),
        open=True,
    )
    return lines(
        "article",
        fold,
        class_=f"sheet sheet-{sheet.kind}",
        id=sheet.anchor,
        aria_labelledby=titled,
    )


def _drawn(section: Section) -> bool:
    return all(isinstance(block, Picture) for block in section.blocks)


def _followed(section: Section, charts: Charts) -> bool:
    """Whether a marker of the head end can be shown on a picture of it."""
    drawn = [charts[block] for block in section.blocks if isinstance(block, Picture)]
    return any(chart.along is not None or chart.track for chart in drawn)


def _section(section: Section, sheet: Sheet, fit: Fit, charts: Charts, anchors: Iterator[str]) -> Markup:
    """A section; what does not fit a sheet's one page of paper is shown on a screen alone."""
    anchor = next(anchors)
    parts = [element("h3", section.title, id=anchor)] if section.title else []
    off_paper = all(fit.leaves_out(block, section) for block in section.blocks)
    for (drawn, out), together in groupby(
        section.blocks, key=lambda block: (isinstance(block, Picture), fit.leaves_out(block, section))
    ):
        told = [_block(_once_told(block, section, sheet), section.title, charts, next(anchors)) for block in together]
        if drawn:
            told = [lines("div", *told, class_="pictures")]
        if out and not off_paper:
            told = [element("div", part, NEWLINE, class_="on-screen") for part in told]
        parts += told
    return lines(
        "section",
        *parts,
        class_="on-screen" if off_paper else None,
        aria_labelledby=anchor if section.title else None,
    )


def _once_told(block: Block, section: Section, sheet: Sheet) -> Block:
    """The block without the mark that the sheet's own heading has already, where it stands right below that."""
    if isinstance(block, Para) and block.level == sheet.verdict and not section.title:
        return replace(block, level=None)
    return block


def _block(block: Block, title: str, charts: Charts, anchor: str) -> Markup:
    match block:
        case Para():
            words = marked(block.text, block.label, block.level)
            return element("p", words, class_="legend" if block.legend else None)
        case Caution():
            return element("p", marked(block.text, block.label), class_="caution")
        case Facts():
            told = ((element("dt", label), element("dd", cell_words(cell))) for label, cell in block.facts)
            return lines("dl", *(element("div", *pair) for pair in told), class_="facts")
        case Items():
            return _items(block, anchor)
        case Table():
            return table_lines(block, title, anchor)
        case Picture():
            return _picture(block, charts[block], anchor)


def _items(items: Items, anchor: str) -> Markup:
    told = []
    for number, item in enumerate(items.items, start=1):
        words, box = marked(item.text, item.label, item.level, item.link), f"{anchor}-{number}"
        said = [element("span", words)]
        if items.boxes:
            said = [element("input", type="checkbox", id=box), element("label", words, for_=box)]
        told.append(element("li", *said, *(element("span", line, class_="more") for line in item.more)))
    return lines("ol" if items.numbered else "ul", *told, class_="to-do" if items.boxes else "list")


def _picture(picture: Picture, chart: Chart, anchor: str) -> Markup:
    """A picture, and in per cent of its sides where a marker may go on it: over its plot, or along its track.

    Words tell where the head end is at places evenly along the route, the start being the one nearest to the worst;
    the train's length is a share of the route.
    """
    plot, followed = chart.along, {}
    if plot is not None:
        followed["data_along"] = f"{_percent(plot.left, plot.top, chart)} {_percent(plot.right, plot.bottom, chart)}"
    if plot is not None and plot.words:
        share, long = (
            mm / plot.route_mm if plot.route_mm > 0.0 else 0.0 for mm in (plot.head_mm or 0.0, plot.train_mm)
        )
        followed["data_words"] = json.dumps(plot.words, ensure_ascii=False)
        followed["data_start"] = str(round(share * (len(plot.words) - 1)))
        followed["data_long"] = f"{long:.4f}"
    if plot is not None and plot.uses:
        rounded = [[None if use is None else round(use, 4) for use in car] for car in plot.uses]
        followed["data_uses"] = json.dumps(rounded, separators=(",", ":"))
    if chart.track:
        followed["data_track"] = " ".join(_percent(x, y, chart, ",") for x, y in chart.track)
    return lines(
        "figure",
        element("figcaption", picture.title),
        element("div", Markup(inline_svg(chart, anchor)), class_="drawn"),
        class_=f"picture picture-{picture.kind}",
        id=anchor,
        **followed,
    )


def _percent(x: float, y: float, chart: Chart, between: str = " ") -> str:
    return f"{WHOLE * x / chart.width:.2f}{between}{WHOLE * y / chart.height:.2f}"
