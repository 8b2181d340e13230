"""Loops closed: ovals, balloon loops, wyes and helices that are right, and the slip named where one is wrong."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from math import cos, degrees, pi, radians, sin
from pathlib import Path

import pytest
from builders import curve, straight
from typer.testing import CliRunner

import consist
from consist.cli import app
from consist.intake import read_layout
from consist.scales import SCALES
from consist.track import Layout, Line, Piece, Place, close_up

__all__: list[str] = []

SAMPLES = sorted((Path(__file__).parents[2] / "layouts").glob("*.toml"))


def _layout(places: Sequence[Place], lines: Sequence[Line]) -> Layout:
    return Layout("made up", SCALES["HO"], "mm", {place.name: place for place in places}, tuple(lines))


def _pairs(*pairs: str) -> frozenset[frozenset[str]]:
    return frozenset(frozenset(pair.split()) for pair in pairs)


def _oval(*changed: tuple[int, Piece]) -> Layout:
    """Two stations on an oval of 5 m, up on one side and down on the other."""
    out = [straight(800.0, 1.0), curve(500.0, 90.0, "left", easement_mm=80.0), straight(300.0)]
    out += [curve(500.0, 90.0, "left", easement_mm=80.0), straight(700.0, 1.0)]
    back = [straight(500.0, -1.0), curve(500.0, 90.0, "left", easement_mm=80.0), straight(300.0)]
    back += [curve(500.0, 90.0, "left", easement_mm=80.0), straight(400.0, -2.5)]
    pieces = [*out, *back]
    for number, piece in changed:
        pieces[number] = piece
    lines = [
        Line(("A", "east"), ("B", "east"), tuple(pieces[:5])),
        Line(("B", "west"), ("A", "west"), tuple(pieces[5:])),
    ]
    return _layout([Place("A"), Place("B")], lines)


def test_an_oval_closes_to_a_hair() -> None:
    [loop] = close_up(_oval()).loops
    assert loop.closes
    assert loop.miss.plan_mm == pytest.approx(0.0, abs=1e-6)
    assert loop.miss.heading == pytest.approx(0.0, abs=1e-9)
    assert loop.miss.height_mm == pytest.approx(0.0, abs=1e-9)
    assert loop.length_mm == pytest.approx(3000.0 + 4 * (500.0 * pi / 2.0 + 80.0))


def test_places_lie_where_a_ruler_finds_them() -> None:
    """A quarter circle of 500 mm and 200 mm straight: 500 mm across and 700 up, headed to the left."""
    line = Line(("A", "east"), ("B", "west"), (curve(500.0, 90.0, "left"), straight(200.0, 2.0)))
    [part] = close_up(_layout([Place("A"), Place("B")], [line])).parts
    # A's only end is on its first side, so that a train leaves against its heading
    assert part["B"].at == pytest.approx(complex(-500.0, -700.0))
    assert part["B"].height_mm == pytest.approx(4.0)
    assert degrees(part["B"].heading) % 360.0 == pytest.approx(270.0)


@pytest.mark.parametrize(
    ("number", "piece", "slip"),
    [
        (3, curve(500.0, 90.0, "right", easement_mm=80.0), ("turn", 1, 4)),
        (6, curve(500.0, 90.0, "right", easement_mm=80.0), ("turn", 2, 2)),
        (0, straight(800.0, -1.0), ("grade", 1, 1)),
        (9, straight(400.0, 2.5), ("grade", 2, 5)),
    ],
)
def test_a_piece_turned_or_graded_the_wrong_way_is_named(
    number: int, piece: Piece, slip: tuple[str, int, int]
) -> None:
    [loop] = close_up(_oval((number, piece))).open
    named = [(each.what, each.line, each.piece) for each in loop.slips]
    assert slip in named
    assert all(what == slip[0] for what, _, _ in named)


def test_a_piece_of_a_line_laid_the_other_way_is_named_by_its_number_in_the_file() -> None:
    for number, piece in ((3, curve(500.0, 90.0, "right", easement_mm=80.0)), (0, straight(800.0, -1.0))):
        wrong = _oval((number, piece))
        for line in (0, 1):
            lines = [each.reversed() if at == line else each for at, each in enumerate(wrong.lines)]
            for order in (lines, lines[::-1]):
                [loop] = close_up(replace(wrong, lines=tuple(order))).open
                named = {(each.line, each.piece) for each in loop.slips}
                at = order.index(lines[0]) + 1
                assert (at, 5 - number if line == 0 else number + 1) in named, (number, line)


def test_a_length_left_out_is_told_with_what_is_missing() -> None:
    """A side of the oval is 300 mm short: a straight of that side, or too much of the other, would mend it.

    The steeper straight of that side would mend it in plan, and spoil the heights.
    """
    [loop] = close_up(_oval((0, straight(500.0, 1.0)))).open
    assert loop.miss.plan_mm == pytest.approx(300.0)
    lengths = {(slip.line, slip.piece): slip.by_mm for slip in loop.slips}
    assert lengths[1, 1] == pytest.approx(300.0)
    assert (2, 5) not in lengths
    assert lengths[1, 5] == lengths[2, 1] == pytest.approx(-300.0)
    assert (1, 3) not in lengths


def test_a_loop_may_miss_by_two_per_cent_and_no_more() -> None:
    length = close_up(_oval()).loops[0].length_mm
    for by, closes in ((0.0199 * length, True), (0.0205 * length, False)):
        assert close_up(_oval((2, straight(300.0 + by)))).loops[0].closes is closes


def test_headings_and_heights_are_held_to_their_own_bounds() -> None:
    """Ten degrees, and a grade told to a tenth of a per cent."""
    for angle, closes in ((99.0, True), (101.0, False)):
        [loop] = close_up(_oval((1, curve(500.0, angle, "left", easement_mm=80.0)))).loops
        assert abs(degrees(loop.miss.heading or 0.0)) == pytest.approx(angle - 90.0)
        in_heading = replace(loop.miss, plan_mm=0.0, height_mm=0.0)
        assert (in_heading.of(loop.length_mm) <= 1.0) is closes
    length = close_up(_oval()).loops[0].length_mm
    for rise, closes in ((0.00095 * length, True), (0.00105 * length, False)):
        assert close_up(_oval((2, straight(300.0, 100.0 * rise / 300.0)))).loops[0].closes is closes


def test_a_balloon_loop_comes_back_on_the_side_it_left() -> None:
    """A turnout of 20 degrees to each side of the stem, the loop turning all the way round between."""
    half, radius = radians(20.0), 400.0
    # out along one leg, round, and back along the other: legs so long that they meet the arc
    leg = radius / (sin(half) / cos(half))
    around = 360.0 - 2.0 * (90.0 - 20.0)
    line = Line(
        ("J", "left"),
        ("J", "right"),
        (
            curve(radius, 20.0, "left"),
            straight(leg - radius * sin(half / 2.0) / cos(half / 2.0)),
            curve(radius, around, "right"),
            straight(leg - radius * sin(half / 2.0) / cos(half / 2.0)),
            curve(radius, 20.0, "left"),
        ),
    )
    stem = Line(("End", "east"), ("J", "stem"), (straight(1000.0),))
    junction = Place("J", _pairs("stem left", "stem right"))
    [loop] = close_up(_layout([Place("End"), junction], [stem, line])).loops
    assert loop.ways == (2,)
    assert abs(degrees(loop.miss.heading or 0.0)) == pytest.approx(0.0, abs=1e-6)
    assert loop.closes


def test_a_wye_closes_with_one_reversal() -> None:
    """Three junctions, each leg a quarter circle: tracks west to east, with a tail to the south."""
    quarter = 500.0
    places = [
        Place("West", _pairs("out main", "out leg")),
        Place("East", _pairs("out main", "out leg")),
        Place("Tail", _pairs("end west", "end east")),
    ]
    lines = [
        Line(("West", "main"), ("East", "main"), (straight(2.0 * quarter),)),
        Line(("West", "leg"), ("Tail", "west"), (curve(quarter, 90.0, "right"),)),
        Line(("Tail", "east"), ("East", "leg"), (curve(quarter, 90.0, "right"),)),
    ]
    [loop] = close_up(_layout(places, lines)).loops
    assert len(loop.ways) == 3
    assert loop.closes
    assert loop.miss.plan_mm == pytest.approx(0.0, abs=1e-6)


def test_a_place_of_three_ends_all_joined_closes_heights_alone() -> None:
    lines = [
        Line(("A", "one"), ("B", "one"), (straight(500.0, 2.0),)),
        Line(("B", "two"), ("A", "two"), (straight(400.0, -2.0),)),
        Line(("A", "three"), ("C", "one"), (straight(100.0),)),
    ]
    closure = close_up(_layout([Place("A"), Place("B"), Place("C")], lines))
    assert closure.one_sided == ("A",)
    [loop] = closure.open
    assert (loop.miss.plan_mm, loop.miss.heading) == (None, None)
    assert abs(loop.miss.height_mm) == pytest.approx(2.0)


def test_places_apart_lie_in_parts_of_their_own() -> None:
    lines = [
        Line(("A", "east"), ("B", "west"), (straight(500.0),)),
        Line(("C", "east"), ("D", "west"), (straight(1.0),)),
    ]
    closure = close_up(_layout([Place(name) for name in "ABCD"], lines))
    assert [sorted(part) for part in closure.parts] == [["A", "B"], ["C", "D"]]
    assert not closure.loops


def test_a_triangle_laid_by_hand_misses_by_its_third_side() -> None:
    """Two sides of 1000 mm at 120 degrees, the third left 100 mm short: it misses by just that."""
    side = 1000.0
    corner = Piece(radius_mm=1e-6, turn=1, angle=2.0 * pi / 3.0)
    lines = [
        Line(("A", "out"), ("B", "in"), (straight(side), corner)),
        Line(("B", "out"), ("C", "in"), (straight(side), corner)),
        Line(("C", "out"), ("A", "in"), (straight(side - 100.0), corner)),
    ]
    [loop] = close_up(_layout([Place(name) for name in "ABC"], lines)).loops
    assert loop.miss.plan_mm == pytest.approx(100.0, abs=1e-3)
    assert loop.length_mm == pytest.approx(3.0 * side - 100.0, abs=1e-3)


@pytest.mark.parametrize(
    "layout", sorted((Path(__file__).parents[2] / "layouts").glob("*.toml")), ids=lambda path: path.stem
)
def test_each_sample_layout_closes(layout: Path) -> None:

    assert not close_up(read_layout(layout)).open


OVAL = """name = "Oval"
scale = "HO"
units = "mm"
[[line]]
from = "A, east"
to = "B, east"
track = [{ length = 800 }, { radius = 500, turn = "left", angle = 180 }]
[[line]]
from = "B, west"
to = "A, west"
track = [{ length = 800 }, { radius = 500, turn = "TURN", angle = 180 }]
"""


def test_the_layout_page_and_the_check_name_the_slip(tmp_path: Path) -> None:
    told = "it would close if piece 2 of line 2 turned the other way"
    layout = tmp_path / "layout.toml"
    for turn, slipped in (("left", False), ("right", True)):
        layout.write_text(OVAL.replace("TURN", turn), encoding="utf-8")
        page = " ".join(CliRunner().invoke(app, ["layout", str(layout)]).stdout.split())
        assert ("Lines 2 and 1 lead back to the start and miss it by" in page) is slipped
        assert (told in page) is slipped
        assert ("1 loop, all closed in plan, in heading and in height." in page) is not slipped
        [loop] = json.loads(CliRunner().invoke(app, ["layout", str(layout), "--json"]).stdout)["loops"]
        assert loop["closes"] is not slipped
        (tmp_path / "session.toml").write_text('layout = "layout.toml"\n', encoding="utf-8")
        (tmp_path / "cars.csv").write_text("car,body_length_mm\nTST 1,150\n", encoding="utf-8")
        (tmp_path / "engines.csv").write_text("engine,weight_g\n1,400\n", encoding="utf-8")
        assert any(told in note for note in consist.load(tmp_path).notes) is slipped


def test_a_place_of_three_ends_is_gone_through_from_the_end_first_come_in_by() -> None:
    """Whichever of its ends the file names first: from the middle one on, both others lie ahead."""
    lines = [
        Line(("A", "east"), ("M", "south"), (straight(1000.0),)),
        Line(("M", "east"), ("N", "west"), (straight(500.0),)),
        Line(("M", "west"), ("P", "west"), (straight(700.0),)),
    ]
    for named in (lines, [lines[1], lines[0], lines[2]], [lines[2], lines[1], lines[0]]):
        [part] = close_up(_layout([Place(name) for name in "AMNP"], named)).parts
        across = {name: round(abs(pose.at)) for name, pose in part.items()}
        assert across == {"A": 0, "M": 1000, "N": 1500, "P": 1700}
