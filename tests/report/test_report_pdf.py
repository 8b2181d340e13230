"""The report on paper, read back with pypdf: its pages, its words, its pictures."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path

import chart_samples
import html_samples
import numpy as np
import pytest
from pypdf import PageObject, PdfReader
from pypdf.generic import ContentStream

import consist
from consist.evening.overview import Overview, overview
from consist.report.charts import Chart, pdf_file, train_chart
from consist.report.document import (
    Block,
    Caution,
    Cell,
    ChartKind,
    Column,
    Document,
    Facts,
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
from consist.report.paper import report_pdf
from consist.report.whole_report import WholeReport
from consist.wording import Units

__all__: list[str] = []

SESSIONS = Path(__file__).parents[2] / "sample_sessions"
POINTS_A_MM = 72.0 / 25.4
PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""ISO 216 A4; Letter, 8.5 by 11 in."""


@pytest.fixture(scope="module")
def shelf() -> Overview:
    return overview(consist.load(SESSIONS / "sunday_shelf"))


@pytest.fixture(scope="module")
def whole(shelf: Overview) -> WholeReport:
    return WholeReport(shelf, Units("oz"))


@pytest.fixture(scope="module")
def written(whole: WholeReport) -> dict[str, bytes]:
    """The report on each paper."""
    return {name: whole.as_pdf(name) for name in PAPERS_MM}


@dataclass(frozen=True)
class Pages:
    """The pages of a report and their words."""

    pages: list[PageObject]
    words: list[str]

    def of(self, sheet: Sheet) -> int:
        """The number of the page that begins with a sheet's title."""
        return next(k for k, words in enumerate(self.words) if words.startswith(_plain(sheet.title)))


@pytest.fixture(scope="module", params=sorted(PAPERS_MM))
def pages(written: dict[str, bytes], request: pytest.FixtureRequest) -> Pages:
    read = list(PdfReader(BytesIO(written[request.param])).pages)
    return Pages(read, [_words(page) for page in read])


def _read(document: Document, chart_of: Callable[[Picture], Chart] = html_samples.drawn) -> list[PageObject]:
    return list(PdfReader(BytesIO(report_pdf(document, chart_of))).pages)


def _words(page: PageObject) -> str:
    return " ".join(page.extract_text().split())


def _plain(text: str) -> str:
    return " ".join(text.split())


def _squeezed(text: str) -> str:
    """Without any blank, since a print may break a line, or a long word, anywhere."""
    return re.sub(r"\s", "", text)


def _one_sheet(*blocks: Block, kind: str = "session") -> Document:
    sheet = Sheet(kind, "one", "One sheet", (Section("Part", tuple(blocks)),))  # type: ignore[arg-type]
    return Document("Evening", (sheet,), "For models.")


def _boxes(page: PageObject) -> int:
    """The squares on a page that are drawn as outlines: the boxes to tick."""
    content = page.get_contents()
    assert content is not None
    stream = ContentStream(content, page.pdf)
    squares, last = 0, None
    for operands, operator in stream.operations:
        if operator == b"re":
            last = [float(operand) for operand in operands]
        elif operator in (b"S", b"s") and last is not None:
            squares += abs(last[2] - last[3]) < 0.01
            last = None
        elif operator in (b"f", b"f*", b"B", b"n", b"W"):
            last = None
    return squares


def test_every_sheet_begins_a_page_and_a_train_takes_one(whole: WholeReport, pages: Pages) -> None:
    sheets = whole.document.sheets
    starts = [pages.of(sheet) for sheet in sheets]
    assert starts == sorted(set(starts))
    assert starts[0] == 0
    for sheet, start, following in zip(sheets, starts, [*starts[1:], len(pages.pages)], strict=True):
        if sheet.kind in ("train", "switch-list"):
            assert following - start == 1, sheet.title


def test_papers_have_their_sizes(written: dict[str, bytes]) -> None:
    for name, (wide, high) in PAPERS_MM.items():
        (box,) = {tuple(page.mediabox) for page in PdfReader(BytesIO(written[name])).pages}
        assert (box[2], box[3]) == pytest.approx((wide * POINTS_A_MM, high * POINTS_A_MM), abs=0.01)


def test_what_the_document_says_is_on_paper(whole: WholeReport, pages: Pages) -> None:
    """All text but that of a train's sheet, which may leave pictures and the comparison to the switch list."""
    said = _squeezed("".join(pages.words))
    for sheet in whole.document.sheets:
        for section in sheet.sections:
            for block in section.blocks:
                if isinstance(block, Items):
                    texts = [text for item in block.items for text in (item.label, item.text, *item.more)]
                elif isinstance(block, Para):
                    texts = [block.text]
                elif isinstance(block, Table) and sheet.kind != "train":
                    texts = [cell.text for row in block.rows for cell in row.cells if cell.bar is None]
                else:
                    continue
                for text in texts:
                    assert _squeezed(text) in said, text


def test_a_trains_figures_are_on_its_page(whole: WholeReport, pages: Pages) -> None:
    for sheet in whole.document.sheets:
        if sheet.kind == "train":
            words = pages.words[pages.of(sheet)]
            tables = [block for part in sheet.sections for block in part.blocks if isinstance(block, Table)]
            standing = next(table for table in tables if any(cell.bar for row in table.rows for cell in row.cells))
            for row in standing.rows:
                for cell in row.cells:
                    if cell.bar is not None or cell.strong:
                        assert _plain(cell.text) in words


def test_a_switch_list_has_a_box_for_every_vehicle_and_every_move(whole: WholeReport, pages: Pages) -> None:
    counted = 0
    for sheet in whole.document.sheets:
        if sheet.kind == "switch-list":
            blocks = [block for part in sheet.sections for block in part.blocks]
            wanted = sum(len(block.items) for block in blocks if isinstance(block, Items) and block.boxes)
            wanted += sum(
                len(block.rows)
                for block in blocks
                if isinstance(block, Table) and any(column.ticked for column in block.columns)
            )
            assert _boxes(pages.pages[pages.of(sheet)]) == wanted
            counted += wanted
    assert counted > 20


def test_pictures_are_vectors_on_the_pages_of_their_trains(whole: WholeReport, pages: Pages) -> None:
    for sheet in whole.document.sheets:
        if sheet.kind != "train":
            continue
        page = pages.pages[pages.of(sheet)]
        assert not page.images
        blocks = [block for part in sheet.sections for block in part.blocks]
        drawn = [
            block
            for block in blocks
            if isinstance(block, Picture) and block.title in pages.words[page.page_number or 0]
        ]
        assert len(drawn) >= 4
        # the legend of the picture of side use is words, not shapes
        assert "care: to 100 %" in pages.words[pages.of(sheet)]


def test_a_picture_is_drawn_where_room_was_left_and_as_large(whole: WholeReport) -> None:
    """A chart on the report's page is the chart's own page, brought to the width of a column."""
    picture = next(
        block
        for sheet in whole.document.sheets
        for part in sheet.sections
        for block in part.blocks
        if isinstance(block, Picture) and block.kind == "drawbar"
    )
    alone = PdfReader(BytesIO(pdf_file(whole.chart_of(picture)))).pages[0]
    document = Document("Evening", (Sheet("train", "t", "T", (Section("", (picture,)),)),), "")
    (page,) = PdfReader(BytesIO(report_pdf(document, whole.chart_of))).pages
    content, drawn = page.get_contents(), alone.get_contents()
    assert content is not None
    assert drawn is not None
    found = re.search(rb"([\d.]+) 0 0 ([\d.]+) 0 0 cm\s+1 j", content.get_data())
    assert found is not None
    across, down = (float(figure) for figure in found.groups())
    column = (PAPERS_MM["a4"][0] - 2 * 10.0 - 6.0) / 2.0 * POINTS_A_MM
    assert across == down
    assert across * float(alone.mediabox.width) == pytest.approx(column, abs=0.1)
    shapes = re.compile(rb"[\d.]+ [\d.]+ [ml]\b")
    assert shapes.findall(drawn.get_data())
    assert set(shapes.findall(drawn.get_data())) <= set(shapes.findall(content.get_data()))


def test_the_same_report_has_the_same_bytes(shelf: Overview, written: dict[str, bytes]) -> None:
    assert WholeReport(shelf, Units("oz")).as_pdf() == written["a4"]


def test_hostile_names_are_words(capfd: pytest.CaptureFixture[str]) -> None:
    document = html_samples.hostile()
    said = _squeezed("".join(page.extract_text() for page in _read(document)))
    for name in html_samples.HOSTILE_NAMES:
        if name.isascii():
            assert _squeezed(name) in said, name
    assert "standsforaletterthatthisprintdoesnothave" in said
    assert capfd.readouterr() == ("", "")


def test_no_note_of_letters_where_none_is_lacking() -> None:
    assert "does not have" not in _words(_read(html_samples.every_block())[0])


def test_what_is_far_too_long_runs_over_and_loses_nothing() -> None:
    long = " ".join(f"word{k}" for k in range(3000))
    table = Table(
        "Cars",
        (Column("spot", figures=True), Column("car", wide=True), Column("note")),
        tuple(Row((Cell(str(k)), Cell(f"QLM {k}"), Cell(long if k == 7 else ""))) for k in range(200)),
    )
    document = _one_sheet(Para(long), Items((Item(long, label="X" * 500, more=(long,)),), boxes=True), table)
    pages = _read(document)
    said = _squeezed("".join(page.extract_text() for page in pages))
    assert said.count("word2999") == 4
    assert all(f"QLM{k}" in said for k in range(200))
    # the heading of the table is told again on each of its pages
    assert sum("spot car note" in _words(page) for page in pages) > 3


@pytest.mark.parametrize("kind", ["session", "train", "switch-list"])
def test_no_single_block_is_too_long_for_a_page(kind: str) -> None:
    """A table's row or frame that cannot be parted between pages would stop the whole report."""
    long = " ".join(f"word{k}" for k in range(2500))
    heading = Table("Cars", (Column(long), Column("b")), (Row((Cell("QLM 1"), Cell("QLM 2"))),))
    blocks = (Caution("Beware", long), Facts((("W" * 900, Cell(long)),)), heading)
    for block in blocks:
        pages = _read(_one_sheet(block, kind=kind))
        said = _squeezed("".join(page.extract_text() for page in pages))
        wanted = ("QLM1QLM2",) if block is heading else ("word0word1", "word2499")
        assert all(each in said for each in wanted), block


def test_blocks_without_anything_in_them_are_passed_over() -> None:
    empty = (Facts(()), Items(()), Para(""), Caution("", ""), Table("t", (Column("a"),), ()))
    (page,) = _read(_one_sheet(*empty, Para("The end")))
    assert "The end" in _words(page)


def test_a_very_long_title_is_cut_at_the_foot_alone() -> None:
    title = " ".join(f"word{k}" for k in range(2000))
    sheet = Sheet("session", "one", title, (Section("", (Para("x"),)),), "hold")
    pages = _read(Document(title, (sheet,), "For models."))
    words = [_words(page) for page in pages]
    assert "word1999 HOLD" in " ".join(words)
    assert all(re.search(r"word0 word1 \S.*… ?For models\. \d+$", each) for each in words)


def test_an_item_is_not_parted_between_pages() -> None:
    items = Items(tuple(Item(f"begin{k}", more=("more",) * 3 + (f"end{k}",)) for k in range(60)), boxes=True)
    pages = [_words(page) for page in _read(_one_sheet(items))]
    assert len(pages) > 2
    for k in range(60):
        assert any(f"begin{k} " in page and f"end{k} " in page for page in pages), k


def test_every_font_is_part_of_the_file(written: dict[str, bytes]) -> None:
    for page in PdfReader(BytesIO(written["a4"])).pages:
        fonts = page["/Resources"]["/Font"]  # type: ignore[index]
        named = {name for name in fonts if name.encode() + b" " in page.get_contents().get_data()}  # type: ignore[union-attr]
        assert named
        for name in named:
            assert "/FontFile2" in fonts[name]["/FontDescriptor"], name


def test_a_bar_that_goes_on_ends_in_a_point() -> None:
    """A plain bar ends upright; the last corner of one cut short stands at half its height."""

    def corners(use: float) -> list[tuple[float, float]]:
        row = Row((Cell("QLM 1"), Cell("use", use, bar=UseBar(use, 0.5, 1.0))))
        (page,) = _read(_one_sheet(Table("Cars", (Column("car"), Column("use", figures=True)), (row,))))
        content = ContentStream(page.get_contents(), page.pdf)
        path: list[tuple[float, float]] = []
        for operands, operator in content.operations:
            if operator == b"m":
                path = []
            if operator in (b"m", b"l"):
                path.append((float(operands[0]), float(operands[1])))
            if operator in (b"B", b"b", b"B*", b"b*", b"f") and len(path) > 3:
                return path
        raise AssertionError("no bar is drawn")

    cut, whole = corners(2.0), corners(0.4)
    assert len({y for x, y in whole if x == max(x for x, _ in whole)}) == 2
    tips = [y for x, y in cut if x == max(x for x, _ in cut)]
    low, high = min(y for _, y in cut), max(y for _, y in cut)
    assert tips == [pytest.approx(0.5 * (low + high), abs=0.01)]


@pytest.mark.parametrize("paper", sorted(PAPERS_MM))
def test_a_train_of_24_cars_takes_one_page_with_what_only_its_pictures_tell(paper: str) -> None:
    session, seen = chart_samples.made((150.0,) * 24, np.tile(chart_samples.USES, (4, 1)))
    kinds: tuple[ChartKind, ...] = ("train", "plan", "profile", "side-use", "drawbar")
    pictures = tuple(Picture(kind, "Turn", f"The {kind}") for kind in kinds)
    told = "somewhere between one place and the next, with its head end a little way past a third"
    facts = Facts(
        tuple((f"Figure {k}", Cell(f"{k}: {told}, which is {told if k % 2 else 'all'}.")) for k in range(7))
    )
    rows = tuple(
        Row((Cell(str(k)), Cell(f"NQH {k}"), Cell("4.00"), Cell("20 %", 0.2, bar=UseBar(0.2, 0.67, 1.0)), Cell("")))
        for k in range(1, 25)
    )
    columns = (
        Column("spot"),
        Column("car", wide=True),
        Column("weight"),
        Column("use", figures=True),
        Column("remark"),
    )
    findings = Items(tuple(Item(f"{told}; {told}.", label="finding", level="care") for _ in range(4)))
    blocks: tuple[Block, ...] = (
        facts,
        *pictures,
        Table("Cars", columns, rows),
        findings,
        Caution("Beware", f"{told}; {told}."),
    )
    sheet = Sheet("train", "train-1", "Turn", (Section("", blocks),), "care", "Turn")

    def chart(picture: Picture) -> Chart:
        return train_chart(picture.kind, seen, session, Units("oz"))

    (page,) = PdfReader(BytesIO(report_pdf(Document("Evening", (sheet,), "For models."), chart, paper))).pages
    words = _words(page)
    assert all(f"NQH {k}" in words for k in range(1, 25))
    assert all(f"The {kind}" in words for kind in kinds if kind != "train")


def test_a_train_too_long_for_a_page_runs_over_with_all_its_pictures() -> None:
    rows = tuple(Row((Cell(str(k)), Cell(f"QLM {k}"))) for k in range(300))
    pictures = tuple(Picture(kind, "T", f"The {kind}") for kind in ("train", "plan", "profile"))
    table = Table("Cars", (Column("spot", figures=True), Column("car", wide=True)), rows)
    sheet = Sheet("train", "train-1", "T", (Section("", (*pictures, table)),), "go", "T")
    pages = _read(Document("Evening", (sheet,), ""))
    assert len(pages) > 1
    said = "".join(_words(page) for page in pages)
    assert all(f"QLM {k}" in said for k in range(300))
    assert all(f"The {picture.kind}" in said for picture in pictures)


def test_columns_that_may_be_left_out_go_before_names_are_broken() -> None:
    columns = (
        Column("car", wide=True),
        Column("kind", lesser=True),
        Column("note", lesser=True),
        Column("block", lesser=True),
        Column("weight", figures=True),
    )
    long = "told at length, "
    row = Row((Cell("QLM 1234567"), Cell(f"a kind {long * 6}"), Cell(long * 9), Cell(long * 3), Cell("3.75")))
    sheet = Sheet("train", "t", "T", (Section("", (Table("Cars", columns, (row,)),)),))
    said = _words(_read(Document("Evening", (sheet,), ""))[0])
    assert "QLM 1234567" in said
    assert "3.75" in said
    assert "a kind" in said
    assert "note" not in said
    assert "block" not in said


def test_the_line_at_the_foot_says_whose_it_is_and_what_it_is_for(whole: WholeReport, pages: Pages) -> None:
    for number, words in enumerate(pages.words, start=1):
        assert _plain(whole.document.closing) in words
        assert f"{_plain(whole.document.closing)} {number}" in words
        assert _plain(whole.document.title) in words


def test_sheets_are_in_the_outline(whole: WholeReport, written: dict[str, bytes]) -> None:
    outline = PdfReader(BytesIO(written["a4"])).outline
    titles = [_plain(str(entry.title)) for entry in outline if not isinstance(entry, list)]
    assert titles == [_plain(sheet.title) for sheet in whole.document.sheets]


def test_a_session_without_trains_is_a_report_too(shelf: Overview) -> None:
    bare = overview(replace(shelf.session, trains=(), engines={}))
    pages = PdfReader(BytesIO(WholeReport(bare, Units("oz")).as_pdf())).pages
    assert "No train is in this session yet" in _words(pages[0])


def test_a_document_without_sheets_is_one_empty_page() -> None:
    assert len(_read(Document("Evening", (), "For models."))) == 1
