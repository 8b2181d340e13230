"""Changes as values: what a session is after each, that no file changes, and what is refused in which words."""

from __future__ import annotations

import csv
import io
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

import consist
from consist.changes import Add, Change, Engines, LayUp, Load, Move, Stand, Take, Weigh
from consist.errors import ChangeError
from consist.session import Session

__all__: list[str] = []

SAMPLES = Path(__file__).parents[1] / "sample_sessions"
SHELF = consist.load(SAMPLES / "sunday_shelf")
CLUB = consist.load(SAMPLES / "club_night")
Rows = list[dict[str, str]]


def cars(session: Session, train: str) -> list[str]:
    return [car.car.name for car in session.train(train).cars]


def _edited(tmp_path: Path, table: str, edit: Callable[[Rows], Rows]) -> Session:
    """The shelf's session read afresh from tables edited by hand."""
    shutil.copytree(SAMPLES, tmp_path / "sample_sessions")
    shutil.copytree(SAMPLES.parent / "layouts", tmp_path / "layouts")
    path = tmp_path / "sample_sessions" / "sunday_shelf" / table
    rows = edit(list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8")))))
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    path.write_text(text.getvalue(), encoding="utf-8")
    return consist.load(path.parent)


def _respotted(rows: Rows) -> Rows:
    spots: dict[str, int] = {}
    for row in rows:
        spots[row["train"]] = spots.get(row["train"], 0) + 1
        row["spot"] = str(spots[row["train"]])
    return rows


def _weighed(rows: Rows) -> Rows:
    return [{**row, "weight_g": "29" if row["car"] == "PQF 71" else row["weight_g"]} for row in rows]


def _taken(rows: Rows) -> Rows:
    return _respotted([row for row in rows if row["car"] != "UWK 610"])


def _moved(rows: Rows) -> Rows:
    flat = next(row for row in rows if row["car"] == "PQF 71")
    rest = [row for row in rows if row is not flat]
    at = next(number for number, row in enumerate(rest) if row["car"] == "PQF 118")
    return _respotted([*rest[: at + 1], flat, *rest[at + 1 :]])


def _loaded(rows: Rows) -> Rows:
    return [{**row, "loaded": "yes" if row["car"] in ("PQF 401", "PQF 405") else row["loaded"]} for row in rows]


def _to_another_train(rows: Rows) -> Rows:
    tank = next(row for row in rows if row["car"] == "OZV 5204")
    rest = [row for row in rows if row is not tank]
    at = next(number for number, row in enumerate(rest) if row["car"] == "PQF 201")
    return _respotted([*rest[:at], {**tank, "train": "Creamery 5"}, *rest[at:]])


@pytest.mark.parametrize(
    ("change", "table", "edit"),
    [
        (Weigh("PQF 71", 29.0), "cars.csv", _weighed),
        (Take(("UWK 610",)), "trains.csv", _taken),
        (Move("Quarry Mixed 3", ("PQF 71",), "PQF 118"), "trains.csv", _moved),
        (Load("Coal Empties 2", ("PQF 401", "PQF 405"), True), "trains.csv", _loaded),
        (Move("Creamery 5", ("OZV 5204",), None), "trains.csv", _to_another_train),
    ],
)
def test_a_changed_session_is_checked_as_its_edited_tables_are(
    tmp_path: Path, change: Change, table: str, edit: Callable[[Rows], Rows]
) -> None:
    afresh = consist.check(_edited(tmp_path, table, edit))
    assert consist.check(SHELF.with_changes([change])) == afresh
    assert afresh != consist.check(SHELF)


def test_the_session_itself_and_its_files_stay_as_they_are() -> None:
    def everything() -> dict[Path, bytes]:
        return {path: path.read_bytes() for path in SAMPLES.rglob("*") if path.is_file()}

    before, session = everything(), replace(SHELF)
    session.with_changes([Weigh("PQF 71", 29.0), Take(("UWK 610",)), Engines("Creamery 5", ("22",))])
    assert session == SHELF
    assert everything() == before


def test_a_car_goes_to_the_rear_ahead_of_what_is_held_there() -> None:
    taken = SHELF.with_changes([Take(("PQF 401",))])
    assert cars(taken.with_changes([Add("Creamery 5", "PQF 401")]), "Creamery 5")[-2:] == ["PQF 401", "PQF 9"]
    at_last = taken.with_changes([Add("Creamery 5", "PQF 401", 7)])
    assert cars(at_last, "Creamery 5")[-1] == "PQF 401"
    first = taken.with_changes([Add("Creamery 5", "PQF 401", 1, loaded=True)]).train("Creamery 5").cars[0]
    assert (first.car.name, first.spot, first.weight_g) == ("PQF 401", 1, 26.5)


def test_a_car_set_into_a_block_rides_with_it() -> None:
    train = next(train for train in CLUB.trains if any(car.leaves == 1 and car.block for car in train.cars))
    inside = next(
        at
        for at in range(1, len(train.cars))
        if train.cars[at].block and train.cars[at].block == train.cars[at - 1].block
    )
    other = next(each for each in CLUB.trains if each.name != train.name).cars[0].car.name
    after = CLUB.with_changes([Take((other,)), Add(train.name, other, inside + 1)]).train(train.name).cars
    one, beside = after[inside], after[inside - 1]
    assert one.car.name == other
    assert (one.block, one.joins, one.leaves) == (beside.block, beside.joins, beside.leaves)
    assert [car.spot for car in after] == list(range(1, len(after) + 1))


def test_cars_parted_are_no_longer_tied() -> None:
    train = SHELF.train("Creamery 5")
    tied = replace(train, cars=(replace(train.cars[0], hold="with PQF 202"), *train.cars[1:]))
    session = replace(SHELF, trains=(tied, *SHELF.trains[1:]))
    assert session.with_changes([Take(("PQF 203",))]).train("Creamery 5").cars[0].hold == "with PQF 202"
    for change in (Take(("PQF 202",)), Move("Creamery 5", ("PQF 203",), "PQF 201")):
        assert session.with_changes([change]).train("Creamery 5").cars[0].hold is None


def test_a_whole_standing_order_keeps_what_is_known_of_each_car() -> None:
    names = ("PQF 9", "PQF 203", "201")
    after = SHELF.with_changes([Stand("Creamery 5", names)]).train("Creamery 5")
    assert [car.car.name for car in after.cars] == ["PQF 9", "PQF 203", "PQF 201"]
    assert after.cars[0].hold == "rear"


def test_other_engines_leave_the_helpers_that_are_not_named() -> None:
    after = SHELF.with_changes([Engines("Creamery 5", ("3",), ("22",))])
    again = after.with_changes([Engines("Creamery 5", ("21", "3"))]).train("Creamery 5")
    assert [engine.name for engine in again.engines] == ["21", "3"]
    assert [engine.name for engine in again.helpers] == ["22"]


def test_an_engine_laid_up_is_on_no_train_and_in_no_pool() -> None:
    both = SHELF.with_changes([Engines("Creamery 5", ("21",), ("22",))])
    after = both.with_changes([LayUp("22")])
    assert "22" not in after.engines
    assert [[each.name for each in (*train.engines, *train.helpers)] for train in after.trains] == [["21"], [], ["3"]]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (Take(("PQF 999",)), "no car is called PQF 999; did you mean 'PQF 9'?"),
        (Take(("PQF 71",), "Creamery 5"), "Creamery 5 has no car PQF 71; did you mean 'PQF 201'?"),
        (Add("Creamery 5", "PQF 71"), "PQF 71 rides in Quarry Mixed 3; take it out there first"),
        (Add("Creamery 5", "PQF 9"), "PQF 9 rides in Creamery 5 already; move it, or take it out first"),
        (Stand("Creamery 5", ("PQF 9", "PQF-9")), "PQF 9 is named twice; name each car once"),
        (Stand("Creamery 5", ("PQF 71",)), "PQF 71 rides in Quarry Mixed 3; take it out there first"),
        (
            Move("Creamery 5", ("PQF 9",), "PQF 9"),
            "PQF 9 cannot stand behind itself; name another car, or none for the front",
        ),
        (
            Move("Creamery 5", ("PQF 203", "PQF 9"), "9"),
            "PQF 9 cannot stand behind itself; name another car, or none for the front",
        ),
        (Engines("Creamery 5", ("29",)), "no engine is called 29; did you mean '22'?"),
        (
            Engines("Creamery 5", ("21",), ("21",)),
            "the engine 21 is named twice in Creamery 5; name each engine once",
        ),
        (Weigh("PQF 9", 0.0), "PQF 9 cannot weigh 0 g; give a weight over nothing"),
        (Weigh("PQF 9", float("nan")), "PQF 9 cannot weigh nan g; give a weight over nothing"),
    ],
)
def test_a_change_that_cannot_be_is_one_sentence(change: Change, said: str) -> None:
    with pytest.raises(ChangeError) as caught:
        SHELF.with_changes([change])
    assert str(caught.value) == said


@pytest.mark.parametrize("spot", [0, -1, 8])
def test_a_spot_outside_the_train_names_those_inside(spot: int) -> None:
    with pytest.raises(
        ChangeError, match=f"spot {spot} is not in Creamery 5; name one from 1 to 7, which is its rear"
    ):
        SHELF.with_changes([Take(("PQF 401",)), Add("Creamery 5", "PQF 401", spot)])


def test_a_car_in_two_trains_is_taken_from_the_one_named() -> None:
    twice = CLUB.with_changes([])
    first, second = twice.trains[:2]
    doubled = replace(second, cars=(*second.cars, replace(first.cars[0], spot=99)))
    session = replace(twice, trains=(first, doubled, *twice.trains[2:]))
    name = first.cars[0].car.name
    with pytest.raises(ChangeError, match="name the train as well"):
        session.with_changes([Take((name,))])
    after = session.with_changes([Take((name,), second.name)])
    assert name in cars(after, first.name)
    assert name not in cars(after, second.name)
