"""Loops and parts of a layout: words of what misses, places with three sides, and the order of the parts."""

from __future__ import annotations

from math import radians

import pytest
from builders import curve, layout, line, straight
from track.test_closure import _oval

from consist.track import Line, close_up, find_route, loop_words
from consist.track.closure import Loop, Miss, Slip, _mending
from consist.track.routes import RouteError, separate_parts
from consist.wording import Units

__all__: list[str] = []

GRAMS = Units("g")


@pytest.mark.parametrize(
    ("miss", "told"),
    [
        (Miss(200.0, radians(30.0), 0.0), "miss it by 200 mm in plan and 30 degrees,"),
        (Miss(200.0, radians(0.4), 0.0), "miss it by 200 mm in plan,"),
        (Miss(0.1, radians(30.0), -80.0), "miss it by 30 degrees and 80 mm in height,"),
        (Miss(None, None, 80.0), "miss it by 80 mm in height,"),
    ],
)
def test_only_what_misses_is_told(miss: Miss, told: str) -> None:
    words = loop_words(Loop((1, -2), 3000.0, miss, ()), GRAMS)
    assert words.startswith(f"Lines 1 and 2 lead back to the start and {told} in a loop of 3.00 m; check the lengths")
    alone = loop_words(Loop((3,), 3000.0, miss, ()), GRAMS)
    assert alone.startswith("Line 3 leads back to the start and misses it by ")


@pytest.mark.parametrize(
    ("slip", "told"),
    [
        (Slip("turn", 2, 3), "piece 3 of line 2 turned the other way"),
        (Slip("grade", 2, 3), "piece 3 of line 2 had a grade of the other sign"),
        (Slip("length", 2, 3, 150.0), "piece 3 of line 2 were 150 mm longer"),
        (Slip("length", 2, 3, -150.0), "piece 3 of line 2 were 150 mm shorter"),
    ],
)
def test_what_would_mend_a_loop(slip: Slip, told: str) -> None:
    assert _mending(slip, GRAMS) == told


def test_a_straight_that_is_too_long_is_told_shorter_by_what_is_too_much() -> None:
    """400 mm more in the second straight of either side: that straight shorter by as much mends it."""
    for number in (2, 7):
        [loop] = close_up(_oval((number, straight(700.0)))).loops
        assert not loop.closes
        lengths = {(slip.line, slip.piece): slip.by_mm for slip in loop.slips if slip.what == "length"}
        own = (1, 3) if number == 2 else (2, 3)
        assert lengths[own] == pytest.approx(-400.0, abs=1e-6)
        assert loop_words(loop, GRAMS).count("shorter") >= 1


def test_parts_are_told_in_the_order_of_the_file() -> None:
    where = layout(
        line("Zed, e", "Yon, w", straight(500.0)),
        line("Alp, e", "Bee, w", straight(500.0)),
        line("Mid, e", "Nil, w", straight(500.0)),
    )
    assert separate_parts(where) == (("Zed", "Yon"), ("Alp", "Bee"), ("Mid", "Nil"))


def test_a_way_that_breaks_off_is_told_with_both_cures() -> None:
    where = layout(line("A, e", "B, w", straight(500.0)), line("B, w", "C, e", straight(500.0)))
    wanted = (
        "no allowed way from 'A' to 'C' without doubling back; add a stop on the way, or a `through` move at a place "
        "between them in the layout"
    )
    with pytest.raises(RouteError) as raised:
        find_route(where, ("A", "C"))
    assert str(raised.value) == wanted


def test_a_place_with_three_sides_is_laid_from_where_it_is_first_reached() -> None:
    """A wye of three ends, each joined to each: where one comes in first, the others lie on its far side."""
    from consist.track import Place

    every = frozenset(frozenset(pair) for pair in (("n", "w"), ("n", "s"), ("w", "s")))
    where = layout(
        line("Start, e", "Wye, s", straight(1000.0)),
        line("Wye, n", "North, w", straight(500.0)),
        line("Wye, w", "West, w", straight(400.0), curve(500.0, 90.0)),
        places=[Place("Start"), Place("Wye", through=every)],
    )
    closure = close_up(where)
    assert closure.one_sided == ("Wye",)
    (poses,) = closure.parts
    assert abs(poses["North"].at - poses["Start"].at) == pytest.approx(1500.0)
    assert abs(poses["Wye"].at - poses["Start"].at) == pytest.approx(1000.0)


def test_loops_of_every_part_are_closed() -> None:
    """Two ovals that nothing joins, the first of which does not close."""
    from dataclasses import replace

    from consist.track import Place

    open_one, closed = _oval((2, straight(700.0))), _oval()

    def named(prefix: str, lines: tuple[Line, ...]) -> list[Line]:
        def end(of: tuple[str, str]) -> tuple[str, str]:
            return prefix + of[0], of[1]

        return [replace(each, start=end(each.start), finish=end(each.finish)) for each in lines]

    lines = [*named("1 ", open_one.lines), *named("2 ", closed.lines)]
    names = {f"{prefix} {name}": Place(f"{prefix} {name}") for prefix in "12" for name in "AB"}
    closure = close_up(replace(open_one, places=names, lines=tuple(lines)))
    assert [loop.closes for loop in closure.loops] == [False, True]
