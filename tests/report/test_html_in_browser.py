"""The page as a browser shows and prints it: on a phone, on a desk, by keyboard, without script and on paper."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from browser import DESKTOP, FOCUS, PHONE, RIGHT_OF_VIEW, WEAK_CONTRAST, launched, shown
from html_samples import HOSTILE_NAMES, drawn, hostile
from pypdf import PdfReader

from consist.evening.overview import Overview, overview
from consist.report.document import Document
from consist.report.html import html_page
from consist.report.json import as_json
from consist.report.whole_report import WholeReport
from consist.session import load
from consist.wording import units_for

__all__: list[str] = []

SESSIONS = Path(__file__).parents[2] / "sample_sessions"
FULL_TRAINS = ("Ore Loads 1", "Hill Freight 21", "Valley Local")
"""The large sample's longest train, one with a helper, and one of several legs."""
SMALL_ENOUGH = 2_000_000 / 9  # bytes a train, of the large sample's nine: the project's own limit
WIDTHS = (PHONE, DESKTOP)
TABLETS = (704, 768, 831, 1024)
MOST_SCREENS, ABOVE_FOLDS = 12, 7
"""How long the page of the large sample may be as it comes on a phone, and its verdicts and tasks alone."""
PAPER_WIDE = (703, 725)
"""A4 and Letter less the margins of the print style, 12 mm each side, at 96 to the inch."""


class Told:
    """A session's report, of all its trains or those named: its overview, its document and the file with its page."""

    def __init__(self, name: str, folder: Path, trains: Sequence[str] = ()) -> None:
        session = load(SESSIONS / name)
        if trains:
            session = replace(session, trains=tuple(train for train in session.trains if train.name in trains))
        self.overview: Overview = overview(session)
        report = WholeReport(self.overview, units_for("in"))
        self.document: Document = report.document
        self.file = folder / f"{name}.html"
        self.file.write_text(report.as_html(), encoding="utf-8")


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with launched() as it:
        yield it


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Told:
    return Told("sunday_shelf", tmp_path_factory.mktemp("shelf"))


@pytest.fixture(scope="module")
def hostile_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("hostile") / "page.html"
    file.write_text(html_page(hostile(), drawn), encoding="utf-8")
    return file


@pytest.mark.parametrize("viewport", WIDTHS, ids=("phone", "desktop"))
def test_shown_quietly_and_within_its_width(browser: Any, shelf: Told, viewport: dict[str, int]) -> None:
    with shown(browser, shelf.file, viewport) as it:
        assert it.page.evaluate(RIGHT_OF_VIEW) == {"scrolls": False, "out": []}
        assert it.complaints == []
        assert it.asked_for == [shelf.file.as_uri()]


@pytest.fixture(scope="module")
def club(tmp_path_factory: pytest.TempPathFactory) -> Told:
    return Told("club_night", tmp_path_factory.mktemp("club"), FULL_TRAINS)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("viewport", WIDTHS, ids=("phone", "desktop"))
def test_every_text_stands_out_from_its_ground(
    browser: Any, shelf: Told, viewport: dict[str, int], scheme: str
) -> None:
    with shown(browser, shelf.file, viewport, scheme=scheme) as it:
        ground = it.page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert (ground == "rgb(255, 255, 255)") == (scheme == "light")
        found = it.page.evaluate(WEAK_CONTRAST)
    assert found["weak"] == []
    assert found["seen"] > 500


@pytest.mark.parametrize("wide", TABLETS)
def test_nothing_overflows_between_a_phone_and_a_desk(browser: Any, club: Told, wide: int) -> None:
    with shown(browser, club.file, {"width": wide, "height": 1000}) as it:
        assert it.page.evaluate(RIGHT_OF_VIEW) == {"scrolls": False, "out": []}


def test_sheets_fold_and_the_verdicts_come_first(browser: Any, club: Told) -> None:
    screens = "id => (id ? document.getElementById(id) : document.documentElement).offsetHeight / innerHeight"
    with shown(browser, club.file, PHONE, folded=True) as it:
        assert it.page.evaluate(screens, club.document.sheets[0].anchor) < ABOVE_FOLDS
        assert it.page.evaluate(screens) < MOST_SCREENS
        closed = it.page.locator("article > details:not([open])")
        assert closed.count() == len(club.document.sheets) - 1
        assert closed.locator("summary h2:visible").count() == closed.count()
        contents = it.page.locator("#contents").inner_text()
    for train in club.overview.trains:
        assert f"{train.check.train} {train.check.verdict.upper()}" in contents


def test_a_link_opens_its_sheet(browser: Any, club: Told) -> None:
    with shown(browser, club.file, PHONE, folded=True) as it:
        for anchor in ("train-1", "train-2"):
            fold = it.page.locator(f"#{anchor} > details")
            for _ in range(2):  # also where the address names the sheet already
                it.page.evaluate("anchor => (document.querySelector(`#${anchor} > details`).open = false)", anchor)
                it.page.locator(f"#contents a[href='#{anchor}']").click()
                assert fold.get_attribute("open") is not None
                assert 0 <= it.page.locator(f"#{anchor}").bounding_box()["y"] < PHONE["height"] / 2
        it.page.goto(f"{club.file.as_uri()}#train-3")
        it.page.reload()
        assert it.page.locator("#train-3 > details").get_attribute("open") is not None
        assert it.page.locator("#train-2 > details").get_attribute("open") is None
        it.page.locator("#unfold").click()
        assert it.page.locator("details:not([open])").count() == 0


def test_what_is_printed_is_unfolded(browser: Any, shelf: Told, tmp_path: Path) -> None:
    one = Told("sunday_shelf", tmp_path, [shelf.overview.trains[0].check.train])
    heads = printed_heads(browser, one, tmp_path / "page.pdf", "A4", folded=True)
    assert heads == printed_heads(browser, one, tmp_path / "page.pdf", "A4")
    assert len(heads) >= len(one.document.sheets)


def test_ticks_stay_with_their_tasks(browser: Any, shelf: Told, tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    page = shelf.file.read_text(encoding="utf-8")
    file.write_text(page, encoding="utf-8")
    checked = "all => all.map(box => box.checked)"
    with shown(browser, file, PHONE) as it:
        boxes = it.page.locator("input[type=checkbox]")
        boxes.first.check()
        boxes.last.check()
        it.page.reload()
        kept = boxes.evaluate_all(checked)
        assert (kept[0], kept[-1], sum(kept)) == (True, True, 2)
        words = it.page.locator(".to-do label").first.evaluate("label => label.lastChild.textContent")
        file.write_text(page.replace(words, f"{words} or not"), encoding="utf-8")
        it.page.reload()
        kept = boxes.evaluate_all(checked)
        assert (kept[0], kept[-1]) == (False, True)
        file.write_text(page.replace("<title>", "<title>Another "), encoding="utf-8")
        it.page.reload()
        assert not any(boxes.evaluate_all(checked))
        file.write_text(page, encoding="utf-8")
        it.page.reload()
        it.page.locator("#untick").click()
        it.page.reload()
        assert not any(boxes.evaluate_all(checked))
        assert it.complaints == []


def test_a_browser_that_keeps_nothing_still_ticks(browser: Any, shelf: Told) -> None:
    with shown(browser, shelf.file, PHONE) as it:
        refuse = "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no') } })"
        it.page.add_init_script(refuse)
        it.page.reload()
        box = it.page.locator("input[type=checkbox]").first
        box.check()
        assert box.is_checked()
        assert it.page.locator(".find:visible").count() > 0
        assert it.complaints == []


def test_the_keyboard_reaches_everything_and_shows_where_it_is(browser: Any, shelf: Told) -> None:
    with shown(browser, shelf.file, DESKTOP) as it:
        stops = []
        for _ in range(400):
            it.page.keyboard.press("Tab")
            stop = it.page.evaluate(FOCUS)
            if stop["tag"] == "body":
                break
            stops.append(stop)
        can_be_used = it.page.locator("a:visible, input:visible, button:visible, summary:visible").count()
    assert stops[0]["text"] == "Skip to the report"
    assert [stop for stop in stops if not (stop["outlined"] and stop["within"])] == []
    assert {stop["kind"] for stop in stops if stop["tag"] == "input"} == {"search", "range", "checkbox"}
    assert {f"#{sheet.anchor}" for sheet in shelf.document.sheets} <= {stop["to"] for stop in stops}
    assert len(stops) == can_be_used


def test_the_marker_follows_the_arrow_keys(browser: Any, shelf: Told) -> None:
    with shown(browser, shelf.file, PHONE) as it:
        sheet = it.page.locator("#train-1")
        slider, line, dot = (
            sheet.locator("input[type=range]"),
            sheet.locator(".marker.line"),
            sheet.locator(".marker.dot"),
        )
        chart = sheet.locator("[data-along]").first
        left, _, right, _ = map(float, (chart.get_attribute("data-along") or "").split())
        wide = chart.locator(".drawn").bounding_box()
        assert line.count() == sheet.locator("[data-along]").count() >= 2
        slider.focus()
        worst = shelf.overview.trains[0].moment
        assert worst is not None
        share = worst.head_mm / shelf.overview.trains[0].train.route.length_mm
        at_worst = wide["x"] + wide["width"] * (left + share * (right - left)) / 100
        assert line.first.bounding_box()["x"] == pytest.approx(at_worst, abs=2.5)
        it.page.keyboard.press("Home")
        starts = dot.bounding_box()
        assert line.first.bounding_box()["x"] == pytest.approx(wide["x"] + wide["width"] * left / 100, abs=1.5)
        it.page.keyboard.press("End")
        assert line.first.bounding_box()["x"] == pytest.approx(wide["x"] + wide["width"] * right / 100, abs=1.5)
        assert dot.bounding_box() != starts
        it.page.keyboard.press("ArrowLeft")
        assert line.first.bounding_box()["x"] < wide["x"] + wide["width"] * right / 100
        route = shelf.overview.trains[0].train.route
        assert (slider.get_attribute("aria-valuetext") or "").endswith(f" past {route.places[-2][0]}")
        it.page.keyboard.press("Home")
        assert sheet.locator(".follow output").inner_text() == f"at {route.stops[0]}"


def test_a_finger_moves_the_whole_train(browser: Any, shelf: Told) -> None:
    seen = shelf.overview.trains[0]
    assert seen.moment is not None
    share = seen.moment.total_mm / seen.train.route.length_mm
    with shown(browser, shelf.file, PHONE, touch=True) as it:
        sheet = it.page.locator("#train-1")
        slider, line = sheet.locator("input[type=range]"), sheet.locator("[data-words] .marker.line")
        stretch, over = sheet.locator(".marker.stretch"), sheet.locator(".marker.over .train")
        left, _, right, _ = map(float, (sheet.locator("[data-words]").get_attribute("data-along") or "").split())
        wide = sheet.locator("[data-words] .drawn").bounding_box()["width"] * (right - left) / 100
        slider.scroll_into_view_if_needed()
        box, long_at = slider.bounding_box(), []
        for at in (0.05, 0.9):
            it.page.touchscreen.tap(box["x"] + at * box["width"], box["y"] + box["height"] / 2)
            assert int(slider.input_value()) / 200 == pytest.approx(at, abs=0.05)
            assert sheet.locator(".follow output").inner_text() == slider.get_attribute("aria-valuetext")
            shown_at = stretch.bounding_box()
            head = int(slider.input_value()) / 200
            assert shown_at["width"] == pytest.approx(min(share, head) * wide, abs=1.0)
            assert shown_at["x"] + shown_at["width"] == pytest.approx(line.bounding_box()["x"], abs=2.5)
            long_at.append(over.evaluate("line => line.getTotalLength()"))
        assert long_at[1] > long_at[0] > 0


def test_the_bars_go_with_the_head_and_come_back(browser: Any, shelf: Told) -> None:
    seen = shelf.overview.trains[0]
    bars = """all => all.map(bar => [bar.querySelector("path:nth-child(2)").getAttribute("d"),
        bar.closest("td, th").querySelector("data").textContent])"""
    with shown(browser, shelf.file, PHONE) as it:
        sheet = it.page.locator("#train-1")
        slider, drawn = sheet.locator("input[type=range]"), sheet.locator("table").first.locator(".bar")
        greatest = drawn.evaluate_all(bars)
        slider.focus()
        for key, column in (("Home", 0), ("End", -1)):
            it.page.keyboard.press(key)
            assert sheet.locator(".follow p").is_visible()
            told = [words for _, words in drawn.evaluate_all(bars)]
            assert told == [f"{100 * use:.0f} %" for use in seen.along.use[:, column]]
        assert drawn.evaluate_all(bars) != greatest
        it.page.keyboard.press("Tab")
        assert drawn.evaluate_all(bars) == greatest
        assert not sheet.locator(".follow p").is_visible()
        assert it.complaints == []


def test_a_bar_short_of_a_limit_never_reads_as_past_it(browser: Any, shelf: Told, tmp_path: Path) -> None:
    """Care begins past 66.7 %: 66.6 % rounded to a whole number would read as past it."""
    page = tmp_path / "page.html"
    told, changed = re.subn(
        r'(data-uses="\[\[)[\d.]+', r"\g<1>0.666", shelf.file.read_text(encoding="utf-8"), count=1
    )
    assert changed == 1
    page.write_text(told, encoding="utf-8")
    with shown(browser, page, PHONE) as it:
        sheet = it.page.locator("#train-1")
        sheet.locator("input[type=range]").focus()
        it.page.keyboard.press("Home")
        first = sheet.locator("table").first.locator("td, th").filter(has=it.page.locator(".bar")).first
        assert first.locator("data").inner_text() == "66.6 %"
        assert first.locator(".bar path:nth-child(2)").get_attribute("class") == "go"


def test_the_filter_leaves_only_rows_with_the_text(browser: Any, shelf: Told) -> None:
    names = [train.check.train for train in shelf.overview.trains]
    with shown(browser, shelf.file, PHONE) as it:
        find = it.page.locator(".find").first
        rows = it.page.locator(f"#{find.locator('input').get_attribute('data-rows')} tbody tr")
        assert rows.count() == len(names)
        find.locator("input").fill(names[1].upper())
        assert [names[1] in text for text in rows.locator("visible=true").all_inner_texts()] == [True]
        assert find.locator("output").inner_text() == f"1 of {len(names)} shown"
        find.locator("input").fill("")
        assert rows.locator("visible=true").count() == len(names)


def test_a_box_is_ticked_by_its_words(browser: Any, shelf: Told) -> None:
    with shown(browser, shelf.file, PHONE, script=False) as it:
        first = it.page.locator(".to-do li").first
        first.locator("label").click(position={"x": 2, "y": 2})
        assert first.locator("input").is_checked()


def test_without_script_everything_is_there(browser: Any, shelf: Told) -> None:
    with shown(browser, shelf.file, PHONE, script=False) as without, shown(browser, shelf.file, PHONE) as with_it:
        assert without.page.locator(".find:visible, .follow:visible").count() == 0
        assert with_it.page.locator(".find:visible, .follow:visible").count() > 0
        plain, helped = (each.page.locator("main").inner_text().split() for each in (without, with_it))
        pictures = without.page.locator("svg[role=img]:visible").count()
    offers = "Show only the rows with Head end along the route 3 0 % of way: 0.00 m, ft in"
    assert set(helped) - set(plain) <= {*offers.split(" ")}
    assert len(plain) > 500
    assert pictures == pictures_of(shelf)


def pictures_of(told: Told) -> int:
    blocks = (block for sheet in told.document.sheets for section in sheet.sections for block in section.blocks)
    return sum(type(block).__name__ == "Picture" for block in blocks)


def test_figures_are_those_of_the_json(browser: Any, shelf: Told) -> None:
    trains = json.loads(as_json("check", {**vars(shelf.overview.check), "tasks": ()}))["trains"]
    sheets = [sheet for sheet in shelf.document.sheets if sheet.kind == "train"]
    with shown(browser, shelf.file, DESKTOP) as it:
        for sheet, train in zip(sheets, trains, strict=True):
            read = "elements => elements.map(e => e.value)"
            told = {json.loads(value) for value in it.page.eval_on_selector_all(f"#{sheet.anchor} dl data", read)}
            assert {train["margin"], train["peak_drawbar"]["g"], train["order_score"], train["heavy_forward"]} <= told
            rows = it.page.locator(f"#{sheet.anchor} table").first.locator("tbody tr:not(.engine)")
            seen = rows.evaluate_all("rows => rows.map(row => [...row.querySelectorAll('data')].map(e => e.value))")
            assert len(seen) == len(train["cars"])
            for figures, car in zip(seen, train["cars"], strict=True):
                assert {car["spot"], car["weight_g"], car["side_use"]} <= {json.loads(figure) for figure in figures}
        at_a_glance = it.page.eval_on_selector_all(
            "#session table:first-of-type data", "all => all.map(e => e.value)"
        )
    assert {train["margin"] for train in trains} <= {json.loads(value) for value in at_a_glance}


@pytest.mark.parametrize("viewport", WIDTHS, ids=("phone", "desktop"))
def test_hostile_names_do_no_harm(browser: Any, hostile_file: Path, viewport: dict[str, int]) -> None:
    with shown(browser, hostile_file, viewport) as it:
        it.page.mouse.move(150, 300)
        assert it.page.evaluate("window.ran") is None
        assert it.page.evaluate(RIGHT_OF_VIEW) == {"scrolls": False, "out": []}
        assert (it.complaints, it.asked_for) == ([], [hostile_file.as_uri()])
        seen = [
            text.strip()
            for text in it.page.locator("#train-1 tbody th").evaluate_all(
                "all => all.map(e => e.querySelector('.amount')?.textContent ?? e.textContent)"
            )
        ]
        title = it.page.title()
    for name in HOSTILE_NAMES:
        assert any(name in text for text in seen), name
    assert title == HOSTILE_NAMES[0]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_printed_with_one_sheet_a_page(browser: Any, shelf: Told, tmp_path: Path, paper: str) -> None:
    heads = printed_heads(browser, shelf, tmp_path / "page.pdf", paper)
    assert [sheet_of(head, shelf.document) for head in heads] == [sheet.anchor for sheet in shelf.document.sheets]


def test_full_trains_are_small_and_print_one_a_page(browser: Any, club: Told, tmp_path: Path) -> None:
    assert club.file.stat().st_size < SMALL_ENOUGH * len(club.overview.trains)
    with shown(browser, club.file, PHONE) as it:
        assert it.page.evaluate(RIGHT_OF_VIEW) == {"scrolls": False, "out": []}
    assert [name for wide in PAPER_WIDE for name in tables_too_wide(browser, club, wide)] == []
    for paper in ("A4", "Letter"):
        pages = [sheet_of(head, club.document) for head in printed_heads(browser, club, tmp_path / "p.pdf", paper)]
        for number, sheet in enumerate(club.document.sheets):
            if sheet.kind in ("train", "switch-list"):
                following = club.document.sheets[number + 1].anchor
                assert pages[pages.index(sheet.anchor) + 1] == following, (paper, sheet.title)


@pytest.mark.parametrize("wide", PAPER_WIDE, ids=("A4", "Letter"))
def test_printed_tables_stay_in_their_columns(browser: Any, shelf: Told, wide: int) -> None:
    assert tables_too_wide(browser, shelf, wide) == []


def tables_too_wide(browser: Any, told: Told, wide: int) -> list[str]:
    """The tables that do not fit their column on paper, by name."""
    with shown(browser, told.file, {"width": wide, "height": 1000}) as it:
        it.page.emulate_media(media="print")
        tables = it.page.locator("table:visible")
        assert tables.count() > 0
        found: list[str] = tables.evaluate_all(
            "all => all.filter(t => t.offsetWidth > t.parentElement.clientWidth + 1).map(t => t.caption.innerText)"
        )
    return found


def printed_heads(browser: Any, told: Told, file: Path, paper: str, *, folded: bool = False) -> list[str]:
    """The first line of each page."""
    with shown(browser, told.file, DESKTOP, folded=folded) as it:
        it.page.pdf(path=str(file), format=paper, prefer_css_page_size=False)
    return [page.extract_text().strip().split("\n")[0] for page in PdfReader(file).pages]


def sheet_of(head: str, document: Document) -> str | None:
    """The sheet that a page begins with, None where it goes on with one."""
    said = re.sub(r" (GO|CARE|HOLD)$", "", head.strip())
    titles = {sheet.title: sheet.anchor for sheet in document.sheets}
    return titles.get(said)
