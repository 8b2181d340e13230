"""The desk without a server: changes and undos in any sequence, who may undo what, and what is merged or refused."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from builders import SAMPLES
from hypothesis import given, settings
from hypothesis import strategies as st

import consist
from consist.changes import Add, Bring, Change, Engines, Load, Move, Take, Weigh
from consist.desk import Desk, Done, Entry, StaleError, Who
from consist.errors import ChangeError, ConsistError

__all__: list[str] = []

SHELF = consist.load(SAMPLES / "sunday_shelf")
CARS, TRAINS, ENGINES = sorted(SHELF.cars), [train.name for train in SHELF.trains], sorted(SHELF.engines)
ADA, BOB, HOST = Who("1", "Ada"), Who("2", "Bob"), Who("0", "Cleo", host=True)


def desk() -> Desk:
    return Desk(SHELF)


def alike(one: consist.Session, other: consist.Session) -> bool:
    def parts(of: consist.Session) -> object:
        return [(train.cars, train.engines, train.helpers) for train in of.trains], of.cars, of.engines

    return parts(one) == parts(other)


CAR, TRAIN = st.sampled_from(CARS), st.sampled_from(TRAINS)
CHANGES = st.one_of(
    st.builds(Take, st.tuples(CAR)),
    st.builds(Add, TRAIN, CAR, st.none() | st.integers(1, 8), st.booleans()),
    st.builds(Move, TRAIN, st.tuples(CAR), st.none() | CAR),
    st.builds(Load, TRAIN, st.tuples(CAR), st.booleans()),
    st.builds(Weigh, CAR, st.floats(20.0, 400.0)),
    st.builds(Engines, TRAIN, st.lists(st.sampled_from(ENGINES), max_size=2).map(tuple)),
    st.builds(Bring, st.sampled_from(["QRS 1", "QRS 2"]), st.just(130.0), st.just(90.0)),
)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.one_of(CHANGES, st.integers(1, 30)), max_size=14))
def test_any_sequence_of_changes_and_undos_is_the_session_made_afresh(steps: Sequence[Change | int]) -> None:
    kept: list[Entry] = []
    at = Desk(SHELF, keep=kept.append)
    for step in steps:
        before, revision = at.session, at.revision
        try:
            if isinstance(step, int):
                at.undo(HOST, step)
            else:
                at.change(ADA, at.revision, [step])
        except ConsistError:
            assert at.session is before
            assert at.revision == revision
    # the entries that stand, found by hand: an entry stands unless one that stands undoes it
    stands: dict[int, bool] = {}
    for entry in reversed(at.entries):
        stands[entry.revision] = not any(
            other.undoes == entry.revision and stands[other.revision] for other in at.entries[entry.revision :]
        )
    afresh = SHELF
    for entry in at.entries:
        if stands[entry.revision]:
            afresh = afresh.with_changes(entry.changes)
    assert alike(at.session, afresh)
    assert at.checked == consist.check(afresh, ranges=False)
    assert kept == at.entries
    again = Desk(SHELF, kept)
    assert alike(again.session, at.session)
    assert (again.revision, again.checked) == (at.revision, at.checked)


def test_many_changes_and_undos_past_the_checkpoints() -> None:
    at, first = desk(), [car.car.name for car in SHELF.train("Creamery 5").cars]
    for number in range(150):
        at.change(ADA, at.revision, [Move("Creamery 5", (first[number % 6],), None)])
    at.undo(HOST, 3)
    at.undo(HOST, 70)
    at.undo(HOST, 151)
    moved = [number for number in range(150) if number != 69]
    afresh = SHELF.with_changes([Move("Creamery 5", (first[number % 6],), None) for number in moved])
    assert alike(at.session, afresh)
    assert alike(Desk(SHELF, at.entries).session, afresh)


def test_undo_takes_ones_own_last_change_and_undoing_that_does_it_again() -> None:
    at = desk()
    at.change(ADA, 0, [Take(("PQF 201",))])
    at.change(BOB, 1, [Weigh("PQF 71", 90.0)])
    done = at.undo(ADA)
    assert (done.revision, done.entry.undoes) == (3, 1)
    assert len(at.session.train("Creamery 5").cars) == 6
    assert at.session.cars["PQF 71"].weight_g == 90.0
    at.undo(ADA, 3)
    assert len(at.session.train("Creamery 5").cars) == 5
    with pytest.raises(ChangeError, match="change 2 is Bob's; ask them or the host to undo it"):
        at.undo(ADA, 2)
    at.undo(HOST, 2)
    assert at.session.cars["PQF 71"].weight_g == SHELF.cars["PQF 71"].weight_g
    with pytest.raises(ChangeError, match="change 2 is undone already"):
        at.undo(HOST, 2)


def test_what_a_later_change_needs_is_not_undone() -> None:
    at = desk()
    at.change(ADA, 0, [Take(("PQF 201",))])
    at.change(BOB, 1, [Add("Quarry Mixed 3", "PQF 201")])
    with pytest.raises(ChangeError, match="change 1 cannot be undone now, since Bob's change 2 needs it"):
        at.undo(HOST, 1)
    assert at.revision == 2
    assert "PQF 201" in [car.car.name for car in at.session.train("Quarry Mixed 3").cars]


def test_changes_from_an_old_state_are_merged_where_they_touch_nothing_that_changed() -> None:
    at = desk()
    at.change(ADA, 0, [Move("Creamery 5", ("PQF 201",), None)])
    done = at.change(BOB, 0, [Weigh("PQF 71", 90.0)])
    assert done.revision == 2
    at.change(BOB, 0, [Engines("Creamery 5", ("21",))])
    with pytest.raises(StaleError, match="Ada changed the same meanwhile") as raised:
        at.change(BOB, 0, [Take(("PQF 201",))])
    assert [entry.revision for entry in raised.value.since] == [1]
    assert raised.value.revision == at.revision == 3
    at.undo(ADA)
    with pytest.raises(StaleError):
        at.change(BOB, 3, [Load("Creamery 5", ("PQF 71",), True)])


def test_a_revision_that_was_never_is_stale() -> None:
    at = desk()
    for revision in (-1, 1):
        with pytest.raises(StaleError):
            at.change(ADA, revision, [Take(("PQF 201",))])


def test_what_cannot_be_changes_nothing_and_is_kept_nowhere() -> None:
    kept: list[Entry] = []
    at = Desk(SHELF, keep=kept.append)
    for changes in ([], [Take(("PQF 201",)), Take(("PQF 201",))], [Add("Creamery 5", "PQF 71", 99)]):
        with pytest.raises(ChangeError):
            at.change(ADA, 0, changes)
    assert (at.revision, kept, at.changed) == (0, [], False)
    assert at.session is not None
    assert alike(at.session, SHELF)


def test_nothing_takes_effect_that_cannot_be_kept() -> None:
    def full(entry: Entry) -> None:
        raise OSError("no room")

    at = Desk(SHELF, keep=full)
    with pytest.raises(OSError, match="no room"):
        at.change(ADA, 0, [Take(("PQF 201",))])
    assert (at.revision, at.entries) == (0, [])
    assert alike(at.session, SHELF)


def test_what_was_before_is_told_beside_what_is() -> None:
    at = desk()
    was = at.checks["Creamery 5"]
    done = at.change(ADA, 0, [Weigh(was.worst.car if was.worst else "", 20.0)])
    (now,) = done.trains
    assert now.side_use > was.side_use
    told = at.before["Creamery 5"]
    assert (told.margin, told.verdict, told.power_use) == (was.margin, was.verdict, was.power.use)
    assert told.uses == {car.car: car.side_use for car in was.cars}
    assert list(at.before) == ["Creamery 5"]


def test_those_who_listen_hear_of_each_entry() -> None:
    at = desk()
    heard: list[Done] = []
    at.hearing.append(heard.append)
    at.change(ADA, 0, [Take(("PQF 201",))])
    at.tick(BOB, "yard: see to it", True)
    assert [(done.revision, [one.train for one in done.trains]) for done in heard] == [(1, ["Creamery 5"]), (2, [])]
    assert at.ticked == {"yard: see to it"}
    at.tick(BOB, "yard: see to it", False)
    assert at.ticked == set()


def test_a_save_ends_what_can_be_undone() -> None:
    at = desk()
    at.change(ADA, 0, [Take(("PQF 201",))])
    assert at.changed
    at.saved(at.session)
    assert (at.revision, at.changed) == (1, False)
    with pytest.raises(ChangeError, match="change 1 is saved"):
        at.undo(ADA, 1)
    with pytest.raises(ChangeError, match="you have changed nothing"):
        at.undo(ADA)
    done = at.change(ADA, 1, [Add("Creamery 5", "PQF 201", 1)])
    assert done.revision == 2
    at.undo(ADA)
    assert len(at.session.train("Creamery 5").cars) == 5
