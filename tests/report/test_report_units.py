"""Figures at the edge: ounces, feet and inches, metres, and how figures are cut."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from consist.report.terminal.lines import fit, paragraph
from consist.report.words import clean, margin
from consist.wording import Units, limit_percent, percent, units_for

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


@given(st.floats(0.0, 3.0), st.sampled_from((0.5, 2.0 / 3.0, 0.9, 1.0)))
def test_a_use_never_seems_to_cross_or_to_reach_a_limit_that_it_has_not(share: float, limit: float) -> None:
    said, bound = (float(told.removesuffix(" %")) for told in (percent(share, limit), limit_percent(limit, share)))
    assert abs(said - 100.0 * share) <= 0.5 + 1e-9
    for exact, told in ((limit, bound), (1.0, 100.0)):
        if abs(share - exact) > 1e-6:
            assert (said > told, said < told) == (share > exact, share < exact)


def test_as_many_places_are_told_as_a_limit_takes() -> None:
    assert [percent(share, 2.0 / 3.0) for share in (0.5, 0.66, 0.668, 0.66668, 2.0 / 3.0)] == [
        "50 %", "66 %", "66.8 %", "66.668 %", "67 %",
    ]  # fmt: skip
    assert limit_percent(2.0 / 3.0, 0.5, 0.668) == "66.7 %"
    assert [percent(share) for share in (1.0, 1.004, 0.9996)] == ["100 %", "100.4 %", "99.96 %"]


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
