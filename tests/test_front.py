"""The Python front: the calls that the commands are, what they raise, and their results as frames."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import FrozenInstanceError, replace
from pathlib import Path
from typing import Any

import pytest
from builders import car, curve, engine, one_line, session, spot, straight, train

import consist
from consist.cli import COMMANDS
from consist.errors import UnknownNameError
from consist.frames import Framed

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]
SHELF = ROOT / "sample_sessions" / "sunday_shelf"
CLUB = ROOT / "sample_sessions" / "club_night"


@pytest.fixture(scope="module")
def shelf() -> consist.Session:
    return consist.load(SHELF)


@pytest.fixture(scope="module")
def checked(shelf: consist.Session) -> consist.SessionCheck:
    return consist.check(shelf)


def test_importing_it_loads_no_room() -> None:
    code = (
        "import sys, consist; assert set(consist.__all__) <= set(dir(consist))\n"
        "rooms = [name for name in sys.modules if name.startswith('consist.')]\n"
        "print(*rooms, *{'numpy', 'pandas', 'typer'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert set(done.stdout.split()) == {"consist.errors", "consist.lazy_front", "consist.names"}


def test_every_name_of_it_is_there() -> None:
    assert all(getattr(consist, name).__doc__ for name in consist.__all__)
    assert [command.__name__ for command in COMMANDS][:3] == ["check", "order", "power"]
    with pytest.raises(AttributeError, match="no attribute 'chek'"):
        _ = consist.chek


def test_results_are_made_without_pandas() -> None:
    """Only `to_frame` asks for it, and the reading of tables."""
    code = (
        "import sys, consist.evening.results, consist.power.results, consist.bench.results\n"
        "import consist.screening.results, consist.report.files; assert 'pandas' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True)


def test_results_cannot_be_changed(checked: consist.SessionCheck) -> None:
    with pytest.raises(FrozenInstanceError):
        checked.session = "another"  # type: ignore[misc]


@pytest.mark.parametrize("call", [consist.check, consist.find_order])
def test_a_train_that_is_none_is_refused(call: Any, shelf: consist.Session) -> None:
    with pytest.raises(UnknownNameError, match="no train is called 'Nope'; the trains are 'Creamery 5'"):
        call(shelf, only="Nope")


def test_trains_and_cars_of_a_result_by_name(checked: consist.SessionCheck, shelf: consist.Session) -> None:
    mixed = checked.train("Quarry Mixed 3")
    assert mixed in checked.trains
    assert mixed.car(mixed.cars[2].car) is mixed.cars[2]
    with pytest.raises(UnknownNameError, match="did you mean 'Quarry Mixed 3'"):
        checked.train("Quary Mixed 3")
    with pytest.raises(UnknownNameError, match="no car is called 'XYZ 1'"):
        mixed.car("XYZ 1")
    with pytest.raises(UnknownNameError, match="no train is called"):
        shelf.train("")


def test_the_frames_of_a_check_hold_its_figures(checked: consist.SessionCheck) -> None:
    trains, cars, findings = (checked.to_frame(table) for table in ("trains", "cars", "findings"))
    assert list(trains["verdict"]) == [train.verdict for train in checked.trains]
    assert list(cars["car"]) == [car.car for train in checked.trains for car in train.cars]
    assert list(cars["side_use"]) == [car.side_use for train in checked.trains for car in train.cars]
    assert list(cars["train"]) == [train.train for train in checked.trains for _ in train.cars]
    assert list(findings["say"]) == [finding.say for train in checked.trains for finding in train.findings]
    assert checked.to_frame().equals(trains)
    one = checked.trains[1]
    alone = cars[cars["train"] == one.train].reset_index(drop=True)
    assert one.to_frame().astype(str).equals(alone.astype(str))
    assert list(one.to_frame("legs")["cars"]) == [", ".join(leg.cars) for leg in one.legs]


def test_a_table_that_is_none_names_those_there_are(checked: consist.SessionCheck) -> None:
    with pytest.raises(UnknownNameError, match="no table is called 'carz'; did you mean 'cars'"):
        checked.to_frame("carz")


def test_orders_as_frames(shelf: consist.Session) -> None:
    orders = consist.find_order(shelf, "Quarry Mixed 3", seconds=0.3)
    (one,) = orders.trains
    assert list(orders.to_frame()["best_margin"]) == [one.plan.best.margin]
    assert len(orders.to_frame("steps")) == len(one.plan.frontier)
    moves = orders.to_frame("moves")
    assert list(moves["cars"]) == [", ".join(move.cars) for move in one.choice.moves]
    assert set(moves["train"]) <= {"Quarry Mixed 3"}


def test_power_as_frames() -> None:
    plan = consist.plan_power(consist.load(CLUB))
    timeline = plan.to_frame("timeline")
    told = [(engine, turn.train, turn.start) for engine, turns in plan.turns.items() for turn in turns]
    assert list(timeline[["engine", "train", "start"]].itertuples(index=False, name=None)) == told
    assert list(plan.to_frame()["assigned"]) == [", ".join(train.assigned) for train in plan.trains]
    combos = plan.to_frame("combos")
    first = plan.trains[0].combos[0]
    assert combos["classes"][0] == ", ".join(f"{count} {name}" for name, count in first.classes.items())
    assert len(plan.to_frame("options")) == sum(len(train.options) for train in plan.trains)


def test_ratings_as_a_frame() -> None:
    rated = consist.rate_lines(str(ROOT / "layouts" / "puddlefold.toml"), SHELF / "engines.csv")
    frame = rated.to_frame()
    assert list(frame["trailing_g_2"]) == [one.trailing_g[1] for one in rated.ratings]
    assert list(frame["cars_3"]) == [one.cars[2] for one in rated.ratings]
    with pytest.raises(consist.InputError, match="no weight standard is called 'nmra'"):
        consist.rate_lines(ROOT / "layouts" / "puddlefold.toml", SHELF / "engines.csv", "nmra")


def test_the_bench_as_frames(shelf: consist.Session) -> None:
    listed = consist.plan_bench(shelf)
    frame = listed.to_frame()
    assert list(frame["car"]) == [car.car for car in (*listed.cars, *listed.later, *listed.others)]
    assert list(listed.to_frame("trains")["after"]) == [train.after for train in listed.trains]


def test_the_bench_of_a_table_of_cars(shelf: consist.Session) -> None:
    listed = consist.plan_bench(str(SHELF / "cars.csv"), scale="HO")
    assert {car.car for car in listed.every} == set(shelf.cars)
    for more, said in (
        ({}, "--scale: found none for a table of cars"),
        ({"scale": "HOO"}, "expected a known scale"),
        ({"scale": "HO", "minutes": -1.0}, "--minutes: found '-1'"),
    ):
        with pytest.raises(consist.InputError, match=said):
            consist.plan_bench(SHELF / "cars.csv", **more)
    with pytest.raises(consist.InputError, match="--scale: a session goes by what the layout says"):
        consist.plan_bench(shelf, scale="HO")


def test_the_bench_of_a_session_takes_the_pieces_in_its_folder() -> None:
    club = consist.load(CLUB)
    names = {line.split(",")[0] for line in (CLUB / "pieces.csv").read_text().splitlines()[1:]}
    assert set(consist.plan_bench(club).used) <= names


def test_the_door_as_frames(shelf: consist.Session) -> None:
    """Without guests a table has its columns alone."""
    none = consist.screen_guests(shelf)
    assert [len(none.to_frame(table)) for table in ("cars", "rides", "keep_out")] == [0, 0, 0]
    assert list(none.to_frame().columns)[:4] == ["car", "kind", "owner", "answer"]
    track = one_line(straight(400.0), curve(500.0, 90.0), straight(400.0))
    of = session(track, train(track, [spot(car(f"C{k}"), k) for k in (1, 2)], [engine("1")], name="Local"))
    visitor = replace(car("G1", min_radius_mm=600.0), guest=True)
    door = consist.screen_guests(replace(of, cars={**of.cars, "G1": visitor}))
    (ride,) = door.to_frame("rides").itertuples()
    assert (ride.car, ride.train, ride.stands) == ("G1", "Local", "")
    (keep_out,) = door.to_frame("keep_out").itertuples()
    assert (keep_out.car, keep_out.barred, keep_out.value, keep_out.limit) == ("G1", True, 500.0, 600.0)


def test_a_report_is_written_and_says_what_to_do(tmp_path: Path, shelf: consist.Session) -> None:
    told: list[tuple[str, int, int]] = []
    made = consist.write_report(
        shelf, tmp_path / "a.html", pdf=str(tmp_path / "a.pdf"), progress=lambda *far: told.append(far)
    )
    assert made.files == (tmp_path / "a.html", tmp_path / "a.pdf")
    assert made.files[1].read_bytes().startswith(b"%PDF")
    assert [name for name, _, _ in told][:3] == [train.name for train in shelf.trains]
    assert list(made.to_frame()["what"]) == [task.what for task in made.tasks]
    assert made.evening.power is not None
    by_command = tmp_path / "b.html"
    subprocess.run([sys.executable, "-m", "consist", "report", SHELF, "--output", by_command], cwd=ROOT, check=True)
    assert by_command.read_bytes() == made.files[0].read_bytes()


def test_a_report_without_a_name_for_a_file_is_refused(shelf: consist.Session) -> None:
    with pytest.raises(consist.InputError, match="name the file to write"):
        consist.write_report(shelf)


def test_tasks_of_a_check(shelf: consist.Session, checked: consist.SessionCheck) -> None:
    tasks = consist.list_tasks(shelf, checked)
    frame = tasks.to_frame("tasks")
    assert list(frame["level"]) == [task.level for task in tasks.tasks]
    assert isinstance(tasks, Framed)


def test_results_show_as_tables_in_a_notebook(checked: consist.SessionCheck) -> None:
    html = checked._repr_html_()
    assert html.startswith("<table")
    assert "Creamery 5" in html
