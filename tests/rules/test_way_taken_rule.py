"""`way-taken`: where two ways by a train's stops are alike enough that somebody may have meant the other."""

from __future__ import annotations

import pytest
from builders import car, case, engine, layout, line, session, spot, straight, train

from consist.rules.whole_trains import way_taken
from consist.session import Train
from consist.track import Layout, Place, find_route, other_way

__all__: list[str] = []


def an_oval(long_way_mm: float) -> Layout:
    return layout(line("A, east", "B, west", straight(3000.0)), line("B, east", "A, west", straight(long_way_mm)))


def a_train(where: Layout, *stops: str, ends: tuple[str | None, ...] = ()) -> Train:
    made = train(where, [spot(car(), 1, leaves=len(stops) - 1)], [engine()], stops=stops)
    from dataclasses import replace

    return replace(made, route=find_route(where, stops, ends))


def told(where: Layout, one: Train) -> list[tuple[str, str]]:
    return [(found.level, found.say) for found in way_taken(case(session(where, one), one))]


def test_the_way_round_an_oval_is_told_with_how_to_say_the_other() -> None:
    where = an_oval(3500.0)
    ((level, say),) = told(where, a_train(where, "A", "B"))
    assert level == "note"
    assert say == (
        "The train leaves A by east, a way of 3000 mm; by west it is 3500 mm. "
        'Write "A, west" in its route for that, or "A, east" to keep to this one.'
    )
    (found,) = way_taken(case(session(where, a_train(where, "A", "B")), a_train(where, "A", "B")))
    assert (found.code, found.place) == ("way-taken", "A")
    assert found.value == pytest.approx(3500.0)
    assert found.limit == pytest.approx(3000.0)


@pytest.mark.parametrize(("other_mm", "says"), [(4499.0, True), (4501.0, False), (3000.0, True)])
def test_a_way_longer_by_half_is_nobodys_choice(other_mm: float, says: bool) -> None:
    where = an_oval(other_mm)
    assert bool(told(where, a_train(where, "A", "B"))) is says


@pytest.mark.parametrize("ends", [("east", None), ("west", None), (None, "west"), ("west", "east")])
def test_an_end_that_is_named_decides(ends: tuple[str | None, ...]) -> None:
    """Of an oval either end settles both; the one that is named last is told of no more."""
    where = an_oval(3500.0)
    one = a_train(where, "A", "B", ends=ends)
    assert [length.length_mm for length in one.route.lines] == [3500.0 if ends[0] == "west" else 3000.0]
    assert told(where, one) == []


def test_a_stop_on_the_way_decides() -> None:
    where = layout(
        line("A, east", "M, west", straight(1500.0)),
        line("M, east", "B, west", straight(1500.0)),
        line("B, east", "A, west", straight(3500.0)),
        places=[Place("M", through=frozenset([frozenset(["west", "east"])]))],
    )
    assert told(where, a_train(where, "A", "B"))
    assert other_way(where, a_train(where, "A", "M", "B").route) is None


def test_a_line_without_loops_has_one_way() -> None:
    where = layout(line("A, east", "B, west", straight(900.0)), line("B, east", "C, west", straight(900.0)))
    assert not where.has_loops
    assert an_oval(1.0).has_loops
    assert told(where, a_train(where, "A", "C")) == []


def test_the_last_stop_reached_by_its_other_end() -> None:
    """From A there is one way out; B may be reached by either end over C."""
    where = layout(
        line("A, east", "C, west", straight(900.0)),
        line("C, north", "B, west", straight(1000.0)),
        line("C, south", "B, east", straight(1100.0)),
    )
    ((_, say),) = told(where, a_train(where, "A", "B"))
    assert say.startswith("The train reaches B by west, a way of 1900 mm; by east it is 2000 mm.")
