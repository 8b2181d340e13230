"""Slips of the pen in a layout are asked about, and what is unusual and meant is not."""

from __future__ import annotations

from dataclasses import replace
from math import degrees, tau
from pathlib import Path

import pytest
from builders import HO, curve, layout, line, straight

from consist.intake import read_layout
from consist.scales import SCALES
from consist.track import Layout, Piece, Place

__all__: list[str] = []

SAMPLES = sorted((Path(__file__).parents[2] / "layouts").glob("*.toml"))
EASED = 80.0


def _oval(**changed: Piece) -> Layout:
    """An oval that closes: up on one side, down on the other."""
    pieces = {
        "a": straight(800.0, 1.0),
        "b": curve(500.0, 90.0, easement_mm=EASED),
        "c": straight(300.0),
        "d": curve(500.0, 90.0, easement_mm=EASED),
        "e": straight(700.0, 1.0),
        "f": straight(500.0, -1.0),
        "g": curve(500.0, 90.0, easement_mm=EASED),
        "h": straight(300.0),
        "i": curve(500.0, 90.0, easement_mm=EASED),
        "j": straight(400.0, -2.5),
        "k": straight(600.0),
    } | changed
    first, second = list(pieces.values())[:5], list(pieces.values())[5:]
    return layout(line("A, east", "B, east", *first), line("B, west", "A, west", *second), places=_two())


def _bends(*radii_mm: float, unit: str = "mm") -> Layout:
    """A line of curves of 100 mm each."""
    bends = (curve(radius, degrees(100.0 / radius)) for radius in radii_mm)
    return layout(line("A, east", "B, west", *bends), unit=unit)


def _two() -> list[Place]:
    return [Place("A"), Place("B")]


def test_the_oval_and_the_samples_are_good() -> None:
    assert _oval(k=straight(1e-3)).findings == ()
    for path in SAMPLES:
        assert read_layout(path).findings == ()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"c": curve(30.0, 90.0)}, "very sharp for HO; was it meant in inches?"),
        ({"c": curve(12000.0, 1.0)}, "very wide for HO; is a figure wrong?"),
        ({"c": straight(9000.0)}, "over 10 times the layout's middle piece"),
        ({"a": straight(800.0, 0.02)}, "if it was meant as a fraction, write 2."),
        ({"a": straight(800.0, -0.025)}, "if it was meant as a fraction, write -2.5."),
        ({"b": curve(500.0, 900.0, easement_mm=EASED)}, "is its angle or its grade wrong?"),
    ],
)
def test_a_slip_in_a_good_layout_is_asked_about(changed: dict[str, Piece], said: str) -> None:
    good = {"k": straight(1e-3)}
    assert said in " ".join(one.say for one in _oval(**good, **changed).findings)


@pytest.mark.parametrize(
    ("radius_mm", "unit", "asks"),
    [
        (30.0, "mm", "was it meant in inches?"),
        (12000.0, "mm", "is a figure wrong?"),
        (2.5 * 25.4, "in", "was it meant in feet?"),
        (600.0 * 25.4, "in", "was it meant in millimetres?"),
        (0.2 * 25.4, "in", "is a figure wrong?"),
    ],
)
def test_a_radius_is_not_asked_whether_it_was_meant_in_the_unit_that_it_is_in(
    radius_mm: float, unit: str, asks: str
) -> None:
    (found,) = (one for one in _bends(radius_mm, unit=unit).findings if "radius" in one.say)
    assert found.say.endswith(f"for HO; {asks}")


def test_of_a_hardest_place_the_unit_that_was_written_is_not_known() -> None:
    """Each of its lengths has a unit of its own."""
    for unit in ("mm", "in"):
        for radius_mm, asks in ((30.0, "was it meant in inches?"), (12000.0, "was it meant in millimetres?")):
            (found,) = replace(_bends(radius_mm, unit=unit), apart=True).findings
            assert found.say.endswith(asks)


def test_a_helix_rises_by_a_train_a_turn() -> None:
    """22 ft is 77 mm in HO: 3 turns of 600 mm radius at 2.1 % rise 79 mm each, at 1 % 38 mm."""
    for grade, found in ((2.1, 0), (1.0, 1)):
        helix = [curve(600.0, 1080.0, grade_percent=grade), straight(900.0), straight(900.0)]
        one = layout(line("Low, out", "High, in", *helix))
        assert len(one.findings) == found
    (low,) = one.findings
    assert (low.line, low.piece, low.level) == (1, 1, "care")
    assert [low.value, low.limit] == pytest.approx([tau * 600.0 * 0.01, 22.0 * 304.8 / HO.ratio])


@pytest.mark.parametrize("name", [*SCALES])
def test_a_usual_curve_is_asked_about_in_no_scale(name: str) -> None:
    scale = SCALES[name]
    for ho_mm in (457.2, 762.0, 2000.0):
        bend = curve(scale.by_ratio(ho_mm), 60.0)
        assert layout(line("A, out", "B, in", bend), scale=scale).findings == ()


def test_a_balloon_loop_and_a_dock_are_good() -> None:
    """A balloon swings 60 degrees out, 300 round and 60 back in; a dock is a line with nothing behind."""
    legs = [Place("Fork", frozenset({frozenset({"in", "left"}), frozenset({"in", "right"})}))]
    turning = [curve(600.0, 60.0, "right"), curve(600.0, 300.0, "left"), curve(600.0, 60.0, "right")]
    balloon = line("Fork, left", "Fork, right", *turning)
    turned = curve(600.0, 90.0, "left")
    good = layout(line("Yard, out", "Fork, in", straight(900.0)), balloon, places=legs)
    assert good.findings == ()
    assert layout(line("Town, e", "Dock, w", straight(700.0), turned)).findings == ()


def test_an_end_that_two_lines_come_to_is_told_with_both_and_is_of_the_later_one() -> None:
    lines = [
        line("A, east", "B, west", straight(900.0)),
        line("B, west", "C, west", straight(900.0)),
        line("C, east", "D, west", straight(900.0)),
    ]
    (found,) = layout(*lines).findings
    assert (found.line, found.piece, found.value, found.limit) == (2, None, 2.0, 1.0)
    assert found.say.startswith("Lines 1 and 2 come to the end west of B, and none to another")


def test_a_slip_has_its_figure_and_the_bound_that_it_passes() -> None:
    (found,) = _oval(c=straight(9000.0)).findings
    assert (found.line, found.piece, found.value) == (1, 3, 9000.0)
    assert 0.0 < found.limit < 9000.0
    (sharp,) = _oval(b=curve(30.0, 90.0)).findings
    assert (sharp.line, sharp.piece, sharp.value) == (1, 2, 30.0)
    assert sharp.limit == pytest.approx(457.2 / 4)


def test_a_slip_of_most_curves_is_that_of_the_file_and_told_once() -> None:
    (found,) = _bends(24.0, 30.0, 26.0).findings
    assert found.say == "All 3 curves of Bench have radii of 24 to 30 mm, very sharp for HO; is the file in inches?"
    assert (found.line, found.piece, found.value) == (None, None, 24.0)
    assert found.pieces == ((1, 1), (1, 2), (1, 3))
    assert found.limit == pytest.approx(457.2 / 4)
    (wide,) = _bends(600.0, 15240.0, 15240.0, 15240.0, unit="in").findings
    assert wide.say.startswith("3 of the 4 curves of Bench have radii of 600 in, very wide for HO; ")
    assert wide.say.endswith("is the file in millimetres?")
    assert wide.pieces == ((1, 2), (1, 3), (1, 4))
    (feet,) = (one for one in _bends(50.8, 63.5, 76.2, unit="in").findings if one.line is None)
    assert feet.say == "All 3 curves of Bench have radii of 2 to 3 in, very sharp for HO; is the file in feet?"


def test_a_slip_of_few_curves_or_of_half_of_them_is_each_curves_own() -> None:
    assert [one.piece for one in _bends(24.0, 30.0).findings] == [1, 2]
    assert [one.piece for one in _bends(24.0, 600.0, 24.0, 600.0, 24.0, 600.0).findings] == [1, 3, 5]


def test_what_another_unit_does_not_mend_is_told_beside_the_slip_of_the_file() -> None:
    """4 in is too sharp as well."""
    whole, own = (one for one in _bends(24.0, 24.0, 24.0, 4.0).findings if "degrees" not in one.say)
    assert whole.say.startswith("3 of the 4 curves")
    assert (own.line, own.piece) == (1, 4)
    assert own.say.endswith("is a figure wrong?")


def test_grades_as_fractions_are_told_once_with_how_to_write_the_steepest() -> None:
    pieces = [straight(900.0, 0.02), straight(900.0, -0.025), straight(900.0), straight(900.0), straight(900.0, 0.01)]
    (found,) = layout(line("A, east", "B, west", *pieces)).findings
    assert found.say == (
        "All 3 grades of Bench are of 0.01 to 0.025 %, hardly any; if they are meant as fractions, write 2.5 for "
        "0.025, and so for all."
    )
    assert (found.line, found.limit) == (None, 0.06)
    assert found.value == pytest.approx(0.02)
