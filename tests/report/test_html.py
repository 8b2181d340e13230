"""The page as text: what it is made of, that nothing of a file leaves its place, and that it asks for nothing."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from dataclasses import dataclass, field, replace
from hashlib import sha256
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from html_samples import HOSTILE_NAMES, drawn, every_block, hostile

from consist.report.document import (
    Cell,
    Column,
    Document,
    Item,
    Items,
    Para,
    Picture,
    Row,
    Section,
    Sheet,
    Table,
    UseBar,
)
from consist.report.html import html_page
from consist.report.html.elements import use_bar
from consist.report.one_page import FITS, fit_of

__all__: list[str] = []

EMPTY = {"meta", "link", "input", "path", "rect", "use"}
POINTING = ("for", "aria-labelledby", "data-rows")


@dataclass
class Element:
    """An element of the page, and all the text in it."""

    tag: str
    attributes: dict[str, str]
    text: str = ""
    inside: list[Element] = field(default_factory=list)


class Reader(HTMLParser):
    """The page taken apart, in its order."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.all: list[Element] = []
        self._open: list[Element] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.all.append(element)
        for outer in self._open:
            outer.inside.append(element)
        if tag not in EMPTY:
            self._open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in EMPTY:
            self._open.pop()

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop().tag == tag

    def handle_data(self, data: str) -> None:
        for element in self._open:
            element.text += data

    def of(self, *tags: str) -> list[Element]:
        return [element for element in self.all if element.tag in tags]


@pytest.fixture(scope="module")
def page() -> str:
    return html_page(every_block(), drawn)


@pytest.fixture(scope="module")
def plain(page: str) -> Reader:
    return Reader(page)


@pytest.fixture(scope="module")
def harmed() -> Reader:
    return Reader(html_page(hostile(), drawn))


def of_blocks(*blocks: Para | Items | Table) -> Reader:
    sheet = Sheet("session", "only", "A sheet", (Section("", blocks),))
    return Reader(html_page(Document("A title", (sheet,), "The end."), drawn))


def test_the_same_document_gives_the_same_text(page: str) -> None:
    assert html_page(every_block(), drawn) == page


def test_it_begins_as_a_page_should(page: str, plain: Reader) -> None:
    assert page.startswith('<!DOCTYPE html>\n<html lang="en">')
    assert page.index('<meta charset="utf-8">') < 1024  # bytes; source: HTML Living Standard, 4.2.5.4
    assert plain.of("title")[0].text == "An evening by hand"
    assert [meta.attributes["content"] for meta in plain.of("meta") if meta.attributes.get("name") == "viewport"] == [
        "width=device-width, initial-scale=1"
    ]


def test_only_its_own_script_may_run(plain: Reader) -> None:
    policy = next(meta.attributes["content"] for meta in plain.of("meta") if "http-equiv" in meta.attributes)
    (script,) = plain.of("script")
    assert script.attributes == {}
    hashed = b64encode(sha256(script.text.encode()).digest()).decode()
    assert [rule.strip() for rule in policy.split(";")] == [
        "default-src 'none'",
        f"script-src 'sha256-{hashed}'",
        "style-src 'unsafe-inline'",
        "img-src data:",
        "base-uri 'none'",
        "form-action 'none'",
    ]


def test_nothing_is_asked_for(page: str, harmed: Reader) -> None:
    for reader in (Reader(page), harmed):
        assert [element for element in reader.all if "src" in element.attributes] == []
        links = {element.attributes["href"] for element in reader.all if "href" in element.attributes}
        assert {link for link in links if not link.startswith("#")} == {"data:,"}
    assert set(re.findall(r"url\(([^)]*)\)", page)) == {"#care-hatch"}
    assert "@import" not in page


def test_every_anchor_is_there_once(plain: Reader, harmed: Reader) -> None:
    for reader in (plain, harmed):
        anchors = [element.attributes["id"] for element in reader.all if "id" in element.attributes]
        assert len(anchors) == len(set(anchors))
        pointed = [
            element.attributes[name] for element in reader.all for name in POINTING if name in element.attributes
        ]
        pointed += [element.attributes["href"][1:] for element in reader.of("a")]
        assert {one for several in pointed for one in several.split()} <= set(anchors)


def test_headings_go_down_one_step_at_a_time(plain: Reader) -> None:
    levels = [int(heading.tag[1]) for heading in plain.of("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert [(one, two) for one, two in pairwise(levels) if two > one + 1] == []


def test_the_contents_have_every_sheet(plain: Reader) -> None:
    (contents,) = plain.of("nav")
    linked = [element.attributes["href"][1:] for element in contents.inside if element.tag == "a"]
    assert linked == [sheet.anchor for sheet in every_block().sheets]
    assert [element.text for element in contents.inside if "mark" in element.attributes.get("class", "")] == ["HOLD"]


def test_every_sheet_leads_back(plain: Reader) -> None:
    for sheet in plain.of("article"):
        assert "#contents" in [element.attributes.get("href") for element in sheet.inside]


def test_tables_can_be_heard(plain: Reader) -> None:
    tables = plain.of("table")
    assert len(tables) == 4
    for table in tables:
        (caption,) = [element.text for element in table.inside if element.tag == "caption"]
        assert caption
        head, *rows = [element for element in table.inside if element.tag == "tr"]
        assert {element.attributes["scope"] for element in head.inside} == {"col"}
        for row in rows:
            cells = [element for element in row.inside if element.tag in ("th", "td")]
            assert [cell.attributes["scope"] for cell in cells if cell.tag == "th"] == ["row"]
            assert sum(int(cell.attributes.get("colspan", "1")) for cell in cells) == len(head.inside)


def test_every_box_has_words(plain: Reader) -> None:
    labelled = {label.attributes["for"] for label in plain.of("label") if label.text.strip()}
    for box in plain.of("input"):
        assert box.attributes.get("aria-label", "").strip() or box.attributes["id"] in labelled


def test_figures_are_kept_whole() -> None:
    third = 1.0 / 3.0
    cells = (Cell("0.33", value=third), Cell("7", value=7), Cell("none"))
    reader = of_blocks(Table("Figures", (Column("a"), Column("b"), Column("c")), (Row(cells),)))
    assert [(json.loads(data.attributes["value"]), data.text) for data in reader.of("data")] == [
        (third, "0.33"),
        (7, "7"),
    ]


def test_names_never_become_markup(plain: Reader, harmed: Reader) -> None:
    assert {element.tag for element in harmed.all} == {element.tag for element in plain.all}
    assert len(harmed.of("script")) == 1
    assert [name for element in harmed.all for name in element.attributes if name.startswith("on")] == []
    (body,) = harmed.of("body")
    for name in HOSTILE_NAMES:
        assert name in body.text
    assert harmed.of("title")[0].text == HOSTILE_NAMES[0]


def test_what_is_no_text_is_left_out() -> None:
    told = "One\u202e \x1b[31mtwo\x07 \ue000three\nfour\u00a0oz."
    (para,) = [element for element in of_blocks(Para(told)).of("p") if "One" in element.text]
    assert para.text.replace("\u00a0", "~") == "One [31mtwo three four~oz."


def test_a_mark_stands_for_a_verdict_and_is_not_said_twice() -> None:
    table = Table(
        "Marks", (Column("a"), Column("b")), (Row((Cell("CARE", level="care"), Cell("SHORT", level="hold"))),)
    )
    reader = of_blocks(table, Items((Item("It is light.", label="HOLD", level="hold"),)))
    marks = [element for element in reader.of("strong") if element.attributes["class"].startswith("mark")]
    assert [(mark.attributes["class"], mark.text) for mark in marks] == [
        ("mark care", "CARE"),
        ("mark hold", "SHORT"),
        ("mark hold", "HOLD"),
    ]
    assert [cell.text.strip() for cell in reader.of("th", "td")][2:] == ["CARE", "SHORT"]


def test_a_mark_of_the_heading_is_not_said_again_below_it() -> None:
    sheet = Sheet("train", "t", "Turn", (Section("", (Para("It may go.", level="go"),)),), verdict="go", train="Turn")
    (article,) = Reader(html_page(Document("A title", (sheet,), ""), drawn)).of("article")
    assert [element.text for element in article.inside if element.tag == "strong"] == ["GO"]


@pytest.mark.parametrize(
    ("use", "reach", "beyond"),
    [
        (0.0, "go", False),
        (0.65, "go", False),
        (0.66, "care", False),
        (1.0, "care", False),
        (1.01, "hold", False),
        (1.3, "hold", False),  # a bar is full at 1.3 of hold
        (1.301, "hold", True),
        (9.0, "hold", True),
    ],
)
def test_a_bar_changes_past_its_marks_and_ends_open(use: float, reach: str, beyond: bool) -> None:
    paths = {
        path.attributes["class"]: path.attributes["d"] for path in Reader(use_bar(UseBar(use, 0.65, 1.0))).of("path")
    }
    assert list(paths) == ["track", reach, "under", "at-care", "at-hold"]
    end, care, hold = (max(figures(paths[name])) for name in (reach, "at-care", "at-hold"))
    assert 0.0 < care < hold < 100.0
    assert 0.0 <= end <= 100.0
    assert (end > hold) == (reach == "hold")
    assert ("L100 5.5" in paths[reach]) == beyond


def figures(path: str) -> list[float]:
    """How far a path goes across and down, without the figures of the strip's height."""
    return [float(figure) for figure in re.findall(r"[MHL](-?[\d.]+)", path)]


def test_a_narrow_table_keeps_its_rows_and_a_wide_one_stacks_them() -> None:
    few = Table("Few", (Column("car"), Column("use", figures=True)), (Row((Cell("PQF 201"), Cell("19 %"))),))
    many = Table("Many", tuple(Column(f"name {k}") for k in range(5)), (Row((Cell("a name to read"),) * 5),))
    assert [table_classes(table) for table in (few, many)] == [{"keeps"}, {"stacks"}]
    lesser = replace(many, columns=(many.columns[0], *(replace(column, lesser=True) for column in many.columns[1:])))
    assert table_classes(lesser) == {"keeps"}
    (also,) = [element for element in of_blocks(lesser).of("span") if element.attributes.get("class") == "also"]
    assert also.text == " · ".join(["a name to read"] * 4)


def table_classes(table: Table) -> set[str]:
    (element,) = of_blocks(table).of("table")
    return set(element.attributes["class"].split())


def test_a_row_has_a_cell_a_column() -> None:
    with pytest.raises(ValueError, match="a row of Short has not one cell for each column"):
        of_blocks(Table("Short", (Column("a"), Column("b")), (Row((Cell("alone"),)),)))


def test_what_is_said_of_an_engine_spreads_over_empty_cells() -> None:
    columns = (Column("spot"), Column("car"), Column("use", figures=True), Column("remark"))
    row = Row((Cell(""), Cell("21"), Cell(""), Cell("head end, leading")), engine=True)
    spans = [
        [cell.attributes.get("colspan", "1") for cell in of_blocks(Table("Order", columns, (one,))).of("th", "td")][
            4:
        ]
        for one in (row, replace(row, engine=False))
    ]
    assert spans == [["1", "1", "2"], ["1", "1", "1", "1"]]


def test_moved_is_said_of_the_car_that_moved() -> None:
    cells = (Cell("11"), Cell("PQF 1"), Cell("PQF 2", strong=True))
    order = Table("Order", (Column("spot", figures=True), Column("now"), Column("then")), (Row(cells, moved=True),))
    assert [element.text for element in of_blocks(order).of("th", "td")][3:] == ["11", "PQF 1", "PQF 2 moved"]
    plain = replace(order, rows=(Row((Cell("11"), Cell("PQF 1"), Cell("PQF 2")), moved=True),))
    assert [element.text for element in of_blocks(plain).of("th", "td")][3:] == ["11", "PQF 1 moved", "PQF 2"]


def test_a_long_train_leaves_on_paper_what_its_tables_do_not_tell() -> None:
    train, then, plan = (Picture(kind, "T", kind) for kind in ("train", "then", "plan"))
    rows = tuple(Row((Cell(f"PQF {k}"), Cell("28"))) for k in range(60))
    order = Table("Order", (Column("car"), Column("g", figures=True)), rows)
    sections = (Section("Pictures", (train, plan)), Section("Order", (order,)), Section("Better", (then, order)))
    sheet = Sheet("train", "t", "T", sections, train="T")
    short = replace(sheet, sections=sections[:1])
    shapes = {train: 1.0, then: 1.0, plan: 1.0}
    assert fit_of(short, shapes) == FITS[0]
    fit = fit_of(sheet, shapes)
    assert fit.leaves_out(then, sections[2])
    assert fit.leaves_out(order, sections[2])
    assert not fit.leaves_out(order, sections[1])
    assert not fit.leaves_out(plan, sections[0])
    assert fit_of(replace(sheet, kind="bench"), shapes) == FITS[0]


def test_only_a_train_that_is_drawn_along_its_route_has_a_slider(plain: Reader) -> None:
    with_slider = [
        article.attributes["id"]
        for article in plain.of("article")
        if any(element.attributes.get("type") == "range" for element in article.inside)
    ]
    assert with_slider == ["train-1"]
    hidden = [element for element in plain.of("div") if element.attributes.get("class") in ("find", "follow")]
    assert hidden
    assert all("hidden" in element.attributes for element in hidden)
