"""Ranges as they are told: a line a train on a terminal, a bar on page and paper, and in the JSON."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

import consist
from consist.cli import app
from consist.report.document import Cell, Column, Document, RangeBar, Row, Section, Sheet, Table
from consist.report.html.elements import range_bar
from consist.report.paper import report_pdf
from consist.report.words import margin

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]
SHELF, NIGHT = str(ROOT / "sample_sessions/sunday_shelf"), str(ROOT / "sample_sessions/club_night")


def _ran(*args: str) -> str:
    ran = CliRunner().invoke(app, [*args])
    assert ran.exit_code in (0, 1), ran.stderr
    return ran.stdout


def _json(*args: str) -> Any:
    return json.loads(_ran(*args, "--json"))


def _bare(whole: Any) -> Any:
    """What is left without ranges, the finding they give and its task."""
    for train in whole["trains"]:
        train.pop("range", None)
        train["findings"] = [one for one in train["findings"] if one["code"] != "unsure"]
    whole["tasks"] = [one for one in whole["tasks"] if one["why"] != ["unsure"]]
    return whole


def test_the_session_tells_a_line_a_train() -> None:
    page = _ran("check", NIGHT, "--no-pages").splitlines()
    assert max(len(line) for line in page if not line.startswith("Next: ")) <= 80
    start = page.index("HOW SURE")
    session = consist.load(NIGHT)
    checked = consist.check(session)
    told = page[start + 2 : start + 2 + len(session.trains)]
    for line, one in zip(told, checked.trains, strict=True):
        assert line.startswith(one.train)
        assert one.range is not None
        assert f"{100.0 * one.range.hold_share:.0f} %" in line
        if one.range.first is not None:
            assert line.endswith(one.range.first.words)


def test_a_trains_page_tells_its_range_in_a_line() -> None:
    page = _ran("check", SHELF, "--train", "Quarry Mixed 3").splitlines()
    (line,) = [line for line in page if line.startswith("Range ")]
    known = consist.check(consist.load(SHELF), "Quarry Mixed 3").trains[0].range
    assert known is not None
    assert known.margin is not None
    least, most = (margin(end) for end in known.margin)
    held = f"on hold in {100.0 * known.hold_share:.0f} % of cases"
    assert line == f"Range         {least} to {most}, {held}; measure how its cars roll."
    assert len(line) <= 80


def test_the_json_has_the_ranges_of_the_check() -> None:
    whole = _json("check", SHELF)
    for train, one in zip(whole["trains"], consist.check(consist.load(SHELF)).trains, strict=True):
        assert one.range is not None
        assert one.range.margin is not None
        assert train["range"]["margin"] == list(one.range.margin)
        assert train["range"]["hold_share"] == one.range.hold_share
        assert len(train["range"]["power_use"]) == 2
        assert [each["name"] for each in train["range"]["measure"]] == [each.name for each in one.range.measure]
        assert all(0.0 < each["narrows"] <= 1.0 for each in train["range"]["measure"])
        least, most = train["range"]["margin"]
        assert least <= train["margin"] <= most


@pytest.mark.parametrize("session", [SHELF, NIGHT])
def test_without_ranges_all_else_is_as_it_was(session: str) -> None:
    """But for the verdict of a train that is only unsure, of which the samples have none."""
    without = _json("check", session, "--no-ranges")
    assert not any("range" in train for train in without["trains"])
    assert "unsure" not in json.dumps(without)
    assert _bare(_json("check", session)) == without
    page = _ran("check", session, "--no-ranges")
    assert "HOW SURE" not in page
    assert "\nRange " not in page


def test_a_what_if_compares_figures_without_ranges() -> None:
    whole = _json("check", SHELF, "--train", "Quarry Mixed 3", "--without", "PQF 71")
    assert not any("range" in train for train in whole["trains"])
    assert {one["verdict"] for one in whole["before"]} == {"care"}


def test_orders_and_screening_know_nothing_of_ranges() -> None:
    assert "unsure" not in _ran("order", SHELF, "--seconds", "0.2", "--json")


def test_a_report_draws_each_range_and_leaves_them_out_where_asked(tmp_path: Path) -> None:
    page, pdf = tmp_path / "with.html", tmp_path / "with.pdf"
    _ran("report", SHELF, "--output", str(page), "--pdf", str(pdf))
    written = page.read_text(encoding="utf-8")
    assert written.count('class="spread"') == 3
    assert "How sure" in written
    first = PdfReader(pdf).pages[0].extract_text()
    assert "How sure" in first
    assert re.search(r"\d\.\d\d to \d\.\d\d", first)
    bare = tmp_path / "bare.html"
    _ran("report", SHELF, "--no-ranges", "--output", str(bare))
    assert 'class="spread"' not in bare.read_text(encoding="utf-8")
    assert "How sure" not in bare.read_text(encoding="utf-8")


def _paths(bar: RangeBar) -> dict[str, str]:
    return dict(re.findall('<path class="([^"]+)" d="([^"]+)"', range_bar(bar)))


def test_a_ranges_bar_stands_on_the_scale_of_a_uses_and_ends_open_past_it() -> None:
    """A strip of 100 is full at 1.3 times the share of hold."""
    paths = _paths(RangeBar(0.13, 0.65, 1.17, 0.65, 1.0))
    assert paths["spread"] == "M10 3H90V8H10Z"
    assert paths["middle"] == "M50 1V10"
    assert (paths["at-care"], paths["at-hold"]) == ("M50-1V13", "M76.9-1V13")
    assert _paths(RangeBar(0.13, 0.65, 2.0, 0.65, 1.0))["spread"] == "M10 3H93L100 5.5 93 8H10Z"
    assert "13 % to 117 %, 65 % in the middle" in range_bar(RangeBar(0.13, 0.65, 1.17, 0.65, 1.0))


@pytest.mark.parametrize("most", [0.9, 5.0])
def test_a_ranges_bar_is_set_on_paper(most: float) -> None:
    rows = (Row((Cell("Turn"), Cell("", bar=RangeBar(0.4, 0.6, most, 0.67, 1.0)))),)
    table = Table("How sure", (Column("train"), Column("side use")), rows)
    document = Document("Bench", (Sheet("session", "session", "Bench", (Section("How sure", (table,)),)),), "End.")
    assert report_pdf(document, lambda picture: pytest.fail(f"no {picture} is drawn")).startswith(b"%PDF")


def test_frames_have_the_ends() -> None:
    session = consist.load(SHELF)
    frame = consist.check(session).to_frame()
    assert (frame["margin_low"] < frame["margin"]).all()
    assert (frame["margin"] < frame["margin_high"]).all()
    bare = consist.check(session, ranges=False).to_frame()
    assert bare["margin_low"].isna().all()


def test_the_words_are_explained() -> None:
    for word in ("range", "hold_share", "unsure", "rolling_common", "helper_part", "measure first"):
        told = _ran("explain", word)
        assert told.replace(" ", "_").startswith(word.replace(" ", "_"))
