"""Figures at the edge: ounces, feet and inches, metres, and how figures are cut."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from consist.report import Units, units_for
from consist.report.words import clean, fit, margin, paragraph, percent

__all__: list[str] = []

OZ, G = Units("oz"), Units("g")


def test_ounces_and_inches() -> None:
    assert OZ.weight(28.349523125) == "1.00 oz"  # exact by definition of the avoirdupois ounce
    assert OZ.weight(106.31) == "3.75 oz"  # NMRA RP-20.1: an HO car of 5.5 in
    assert OZ.train_weight(2834.9523125) == "100.0 oz"
    assert OZ.length(152.4) == "6.0 in"
    assert OZ.radius(609.6) == "24 in"
    assert OZ.radius(622.3) == "24.5 in"


@pytest.mark.parametrize(
    ("inches", "said"),
    [(0.0, "0 in"), (11.4, "11 in"), (11.6, "1 ft"), (12.0, "1 ft"), (171.0, "14 ft 3 in"), (-13.0, "-1 ft 1 in")],
)
def test_feet_and_inches(inches: float, said: str) -> None:
    assert OZ.distance(25.4 * inches) == said


def test_grams_and_metres() -> None:
    assert (G.weight(8.25), G.weight(106.3)) == ("8.2 g", "106 g")
    assert (G.distance(640.4), G.distance(12345.0)) == ("640 mm", "12.35 m")
    assert G.radius(250.0) == "250 mm"
    assert G.length(-0.2) == "0 mm"


def test_units_follow_the_layout_unless_chosen() -> None:
    assert units_for("in") == OZ
    assert units_for("mm") == G
    assert units_for("in", "g") == G


@given(st.floats(0.0, 50.0))
def test_a_margin_never_reads_better_than_it_is(value: float) -> None:
    assert float(margin(value)) <= value + 1e-9
    assert float(margin(value)) > value - 0.11


@given(st.floats(0.0, 3.0))
def test_only_a_full_share_reads_as_100(share: float) -> None:
    said = int(percent(share).removesuffix(" %"))
    assert abs(said - 100.0 * share) <= 1.0
    if abs(share - 1.0) > 1e-9:
        assert (said < 100) == (share < 1.0)


@given(st.text(max_size=60), st.integers(1, 30))
def test_fitted_text_takes_no_more_cells_than_it_may(text: str, cells: int) -> None:
    cleaned = clean(text)
    assert cell_len(fit(cleaned, cells)) <= cells
    if cell_len(cleaned) <= cells:
        assert fit(cleaned, cells) == cleaned


@given(st.text(alphabet=st.characters(categories=["L", "N", "Zs"]), max_size=300), st.integers(20, 90))
def test_a_wrapped_paragraph_keeps_every_word_and_the_width(text: str, width: int) -> None:
    said = clean(text)
    lines = [line.plain for line in paragraph(said, width, label="NOTE x:")]
    assert all(cell_len(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(f"NOTE x: {said}".split())
