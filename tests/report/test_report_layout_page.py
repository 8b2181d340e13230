"""A layout's page and its JSON: figures of the lines, places, what is out of reach, rough joints."""

from __future__ import annotations

import json
from dataclasses import replace

import builders
import pytest
import report_samples
from pages import layout_text
from rich.cells import cell_len

from consist.report.json import as_json
from consist.report.sheets.layout import layout_figures
from consist.track import Layout, Place
from consist.wording import Units

__all__: list[str] = []


@pytest.fixture
def layout() -> Layout:
    """The hill with no way straight from the mill up to the top, and a name that is hard to print."""
    hill = report_samples.hill()
    moves = frozenset({frozenset(("low", "high")), frozenset(("low", "side"))})
    places = {**hill.places, "Fork": Place("Fork", moves, standing_mm=1200.0)}
    return replace(hill, name="Bench [red]\x1b[7m 台", places=places)


def page(layout: Layout, units: str = "g", width: int = 80) -> str:
    """The page as text."""
    return layout_text(layout, ["An odd key [x]."], Units("oz" if units == "oz" else "g"), width)


@pytest.mark.parametrize("units", ["oz", "g"])
def test_page_keeps_to_its_width_and_to_plain_text(layout: Layout, units: str) -> None:
    text = page(layout, units)
    assert all(cell_len(line) <= 80 and line == line.rstrip() for line in text.split("\n"))
    assert "\x1b" not in text
    assert "Bench [red][7m 台" in text
    assert "An odd key [x]." in text


def test_lines_are_told_in_figures(layout: Layout) -> None:
    rows = page(layout).split("\n")
    first = next(row for row in rows if row.startswith("1 Low Yard"))
    # 1000 + 600·π/2 + 800·π/3 + 150 = 2930 mm; 0.02·600·π/2 + 0.01·(800·π/3 + 150) = 28.7 mm;
    # 2 % on 600 mm radius takes 8.02/600 = 1.34 % more, and back there is only the curves' own
    assert first.split() == ["1", "Low", "Yard", "Fork", "2.93", "m", "29", "2.0", "3.3", "–", "–", "600", "mm"]
    third = next(row for row in rows if row.startswith("3 Fork"))
    assert third.split() == ["3", "Fork", "Side", "Mill", "900", "mm", "-4", "–", "–", "0.5", "0.5", "–"]


def test_places_and_what_is_out_of_reach(layout: Layout) -> None:
    text = " ".join(page(layout).split())
    assert "Fork: ends low, high and side, through between low and high; low and side, a train of 1.20 m" in text
    assert "Low Yard: end of the line (out)." in text
    assert "From Hill Top no train can reach Side Mill without reversing." in text
    assert "From Side Mill no train can reach Hill Top without reversing." in text


def test_a_layout_without_such_places_says_so() -> None:
    assert "Every place can be reached from every other without reversing." in page(report_samples.hill())


def test_parts_without_track_between_them_are_told_apart() -> None:
    two = builders.layout(
        builders.line("A, out", "B, in", builders.straight(100.0)),
        builders.line("C, out", "D, in", builders.straight(100.0)),
    )
    text = " ".join(page(two).split())
    assert "The layout is in 2 parts that no track joins: A and B; C and D." in text
    assert "without reversing" not in text


def test_joints_without_easement_are_listed(layout: Layout) -> None:
    rows = [row.split() for row in page(layout).split("\n")]
    assert ["1", "Low", "Yard", "to", "Fork", "2", "1.00", "m", "straight", "600", "mm", "left", "600", "mm"] in rows
    assert not [row for row in rows if "800" in row and "right" in row]  # that curve has easements
    smooth = page(builders.one_line(builders.straight(500.0), builders.curve(600.0, 90.0, easement_mm=200.0)))
    assert "None: every curve comes on through an easement." in smooth


def test_json_tells_the_same(layout: Layout) -> None:
    whole = json.loads(as_json("layout", layout_figures(replace(layout, notes=("odd",)))))
    assert whole["layout"] == layout.name
    assert whole["lines"][1]["ruling_percent"] == pytest.approx(1.5)
    assert whole["lines"][1]["sharpest_radius_mm"] is None
    assert whole["out_of_reach"] == {"Hill Top": ["Side Mill"], "Side Mill": ["Hill Top"]}
    joint = whole["joints"][0]
    assert (joint["piece"], joint["radius_before_mm"], joint["radius_after_mm"]) == (2, None, pytest.approx(600.0))
    assert whole["notes"] == ["odd"]
    assert as_json("layout", layout_figures(replace(layout, notes=("odd",)))).endswith("}\n")
