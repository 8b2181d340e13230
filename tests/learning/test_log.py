"""Logging a run: what is predicted with it, and what cannot be."""

from __future__ import annotations

import datetime
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from builders import car, curve, engine, layout, line, session, straight, train

import consist
from consist.errors import InputError, UnknownNameError
from consist.intake import RUNS, read_runs
from consist.learning.lessons import _recomputed
from consist.learning.predicted import predicted
from consist.trains import prepared

__all__: list[str] = []

SAMPLES = Path(__file__).parents[2] / "sample_sessions"
NOW = datetime.datetime(2026, 11, 26, 20, 15, tzinfo=datetime.timezone(datetime.timedelta(hours=1)))
OFF = {
    "car": "PQF 201",
    "at": "Puddlefold, Upper Fold",
    "past_mm": 600.0,
    "doing": "pulling",
    "note": "  dark\n there ",
}


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    shutil.copytree(SAMPLES, tmp_path / "sample_sessions")
    shutil.copytree(SAMPLES.parent / "layouts", tmp_path / "layouts")
    return tmp_path / "sample_sessions" / "sunday_shelf"


def test_a_run_is_logged_with_what_was_predicted(shelf: Path) -> None:
    run = consist.log_run(consist.load(shelf), "Creamery 5", "off", **OFF, now=NOW)  # type: ignore[arg-type]
    assert (run.time, run.at, run.note) == ("2026-11-26T20:15:00+01:00", ("Puddlefold", "Upper Fold"), "dark there")
    checked = consist.check(consist.load(shelf)).train("Creamery 5")
    greatest = np.nanmax(np.array([each.uses for each in run.uses], dtype=np.float64), axis=0)
    assert greatest == pytest.approx([each.side_use for each in checked.cars], rel=1e-9)
    assert run.power_use == pytest.approx(checked.power.use)
    assert [name for name, _ in run.cars] == [each.car for each in checked.cars]
    (read,) = read_runs(shelf)
    assert (read.train, read.car, read.engines) == ("Creamery 5", "PQF 201", ("21",))


def test_later_weighings_do_not_rewrite_history(shelf: Path) -> None:
    consist.log_run(consist.load(shelf), "Creamery 5", "clean", now=NOW)
    before = read_runs(shelf)
    table = shelf / "cars.csv"
    table.write_text(table.read_text().replace("PQF 201,milk car,27.5", "PQF 201,milk car,77.5"))
    consist.log_run(consist.load(shelf), "Creamery 5", "clean", now=NOW)
    first, second = read_runs(shelf)
    assert (first,) == before
    assert second.cars[0] == ("PQF 201", 77.5)
    assert second.uses != first.uses


def test_uses_are_told_by_where_the_car_is_not_the_head() -> None:
    """A curve in the middle of the second stretch alone: cars feel it there, though the head may be far beyond."""
    where = layout(
        line("A, e", "B, w", straight(2000.0)),
        line("B, e", "C, w", straight(600.0), curve(450.0, 90.0), straight(200.0)),
        line("C, e", "D, w", straight(2000.0)),
    )
    cars = [car(f"C{k}", 90.0) for k in range(3)]
    one = train(where, cars, [engine(pull_g=300.0)], stops=("A", "D"))
    of = session(where, one)
    told = predicted(of, one)
    assert [(each.start, each.finish) for each in told.uses] == [("A", "B"), ("B", "C"), ("C", "D")]
    trip = prepared(of, one).run()
    assert told.power_use == pytest.approx(trip.power_use)
    before, there, beyond = (np.array(each.uses) for each in told.uses)
    # the last car is out of the curve with the train's length beyond it, and the first is in it before all others
    assert np.all(there > 0.0)
    assert np.all(before == 0.0)
    assert np.all(beyond < 0.02 * there)


@pytest.mark.parametrize(
    ("what", "more", "said"),
    [
        ("off", {"at": "Puddlefold"}, "one came off; name it"),
        ("clean", {"car": "PQF 201"}, "none came off"),
        ("off", {"car": "PQF 201"}, "a car came off somewhere"),
        ("clean", {"at": "Puddlefold"}, "nothing happened"),
        ("stalled", {"past_mm": 3.0}, "found no --at beside it"),
        ("off", {"car": "PQF 201", "at": "Pudlefold"}, "did you mean 'Puddlefold'"),
        ("off", {"car": "PQF 201", "at": "Cove Fiddle, Upper Fold"}, "do not follow one another"),
        ("off", {"car": "PQF 201", "at": "Puddlefold, Puddlefold"}, "do not follow one another"),
        ("off", {"car": "PQF 201", "at": "Puddlefold, Nowhere"}, "found 'Nowhere'"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_nothing_is_logged(
    shelf: Path, what: str, more: dict[str, object], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        consist.log_run(consist.load(shelf), "Creamery 5", what, **more)  # type: ignore[arg-type]
    assert not (shelf / RUNS).exists()


def test_trains_and_cars_that_are_none_are_told_with_the_nearest(shelf: Path) -> None:
    of = consist.load(shelf)
    with pytest.raises(UnknownNameError, match="did you mean 'Creamery 5'"):
        consist.log_run(of, "Creamry 5", "clean")
    with pytest.raises(UnknownNameError, match="PQF 20"):
        consist.log_run(of, "Creamery 5", "off", car="PQF 20", at="Puddlefold")


def test_runs_of_an_older_model_are_worked_out_anew_where_their_cars_are_still_there(
    shelf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("consist.learning.log.MODEL", 0)
    for name in ("Creamery 5", "Quarry Mixed 3"):
        consist.log_run(consist.load(shelf), name, "clean")
    monkeypatch.undo()
    consist.log_run(consist.load(shelf), "Creamery 5", "clean")
    told = consist.learn(shelf)
    assert (told.runs, told.older, told.recomputed) == (3, 2, 2)
    cars = (shelf / "trains.csv").read_text().splitlines()
    gone = [row for row in cars if not row.startswith("Quarry Mixed 3")]
    (shelf / "trains.csv").write_text("\n".join(gone) + "\n")
    table = (shelf / "session.toml").read_text()
    (shelf / "session.toml").write_text(table.replace("Quarry Mixed 3", "Quarry Mixed 4"))
    told = consist.learn(shelf)
    assert (told.runs, told.older, told.recomputed) == (2, 2, 1)


def test_a_loaded_car_is_worked_out_anew_at_what_it_ran_at(shelf: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its load is part of the weight that was kept, and is not put in twice."""
    (shelf / "cars.csv").write_text(
        (shelf / "cars.csv").read_text().replace("PQF 201,milk car,27.5,", "PQF 201,milk car,27.5,9")
    )
    table = (shelf / "trains.csv").read_text()
    (shelf / "trains.csv").write_text(table.replace("Creamery 5,1,PQF 201,no", "Creamery 5,1,PQF 201,yes"))
    run = consist.log_run(consist.load(shelf), "Creamery 5", "clean", now=NOW)
    assert run.cars[0] == ("PQF 201", 36.5)
    again = _recomputed(consist.load(shelf), replace(run, model=0, uses=tuple(replace(u, uses=()) for u in run.uses)))
    assert again is not None
    assert again.uses == run.uses
    assert again.power_use == run.power_use
    other = _recomputed(consist.load(shelf), replace(run, model=0, engines=("22",)))
    assert other is not None
    assert other.power_use is None


def test_where_nothing_was_logged_nothing_is_learned(shelf: Path) -> None:
    with pytest.raises(InputError, match="found no run to learn from"):
        consist.learn(shelf)
