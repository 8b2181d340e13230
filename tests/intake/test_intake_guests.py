"""What is asked of guests: the columns of guests.csv, the [house.guests] table, and clearances in a layout."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from consist.errors import InputError, Problem
from consist.house import GuestPractice
from consist.intake import SessionRead, new_session, read_session
from consist.intake.fields import declared

__all__: list[str] = []

Spoil = Callable[[str, str, str], tuple[Problem, ...]]
COLUMNS = "car,body_length_mm,wheels_in_gauge,coupler_height_ok,height_mm,width_in"
KEYS = "care_margin = 1.5\n[house.guests]\n"
PLACE = '[place."Gorse Junction"]\n'
LINE = 'from = "Skerry Yard, east"\n'


def with_guests(folder: Path, *rows: str, columns: str = COLUMNS) -> SessionRead:
    """The session with guests of those rows."""
    (folder / "guests.csv").write_text("\n".join([columns, *rows]) + "\n", encoding="utf-8")
    return read_session(folder)


def changed(folder: Path, file: str, old: str, new: str) -> SessionRead:
    """The session with the first of a text changed in one of its files."""
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return read_session(folder)


def test_what_was_found_at_the_door_is_read(folder: Path) -> None:
    session = with_guests(folder, "VIS 1,150,yes,No,52.5,1.5", "VIS 2,150,,,,", "VIS 3,150,N,ok,,")
    one, two, three = session.cars[-3:]
    assert (one.wheels_in_gauge, one.coupler_height_ok) == (True, False)
    assert one.height_mm == 52.5
    assert one.width_mm == pytest.approx(38.1)
    assert (two.wheels_in_gauge, two.coupler_height_ok, two.height_mm, two.width_mm) == (None, None, None, None)
    assert (three.wheels_in_gauge, three.coupler_height_ok) == (False, True)


@pytest.mark.parametrize(
    ("row", "place", "words"),
    [
        ("VIS 1,150,maybe,,,", "row 2, wheels_in_gauge", ["'maybe'", "unclear yes or no", "leave the cell empty"]),
        ("VIS 1,150,,high,,", "row 2, coupler_height_ok", ["'high'", "write yes or no"]),
        ("VIS 1,150,,,-52,", "row 2, height_mm", ["found '-52'"]),
        ("VIS 1,150,,,0,", "row 2, height_mm", ["found '0'"]),
        ("VIS 1,150,,,,wide", "row 2, width_in", ["found 'wide', expected a number"]),
    ],
)
def test_one_problem_for_a_bad_cell(folder: Path, row: str, place: str, words: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        with_guests(folder, row)
    (problem,) = caught.value.problems
    assert (problem.file, problem.place) == ("guests.csv", place)
    assert [word for word in words if word not in problem.text] == []


def test_a_height_without_its_unit_is_a_problem(folder: Path) -> None:
    with pytest.raises(InputError, match=r"guests\.csv, header, height: .*expected height_mm or height_in"):
        with_guests(folder, "VIS 1,150,52", columns="car,body_length_mm,height")


def test_a_guest_may_not_have_a_house_cars_name(folder: Path) -> None:
    with pytest.raises(InputError) as caught:
        with_guests(folder, "TST 1,150,yes,yes,,")
    (problem,) = caught.value.problems
    assert (problem.file, problem.place) == ("guests.csv", "row 2, car")
    assert "of cars.csv names already" in problem.text


def test_the_hosts_cars_are_not_asked(folder: Path) -> None:
    path = folder / "cars.csv"
    rows = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([rows[0] + ",wheels_in_gauge", *(row + ",no" for row in rows[1:])]), encoding="utf-8")
    session = read_session(folder)
    assert [note for note in session.notes if "'wheels_in_gauge'" in note]
    own = [car for car in session.cars if not car.guest]
    assert own
    assert all(car.wheels_in_gauge is None for car in own)


def test_the_practice_for_guests_has_defaults(folder: Path) -> None:
    house = read_session(folder).house
    assert house.guests == GuestPractice(None, 10.0, 30.0, 2.0, False, False)
    assert house.guest_margin == house.care_margin == 1.5


def test_every_key_of_the_practice_is_read(folder: Path) -> None:
    keys = (
        "margin = 1.25\nunder_percent = 5\nbench_under_percent = 20\nrolls_at_percent = 2.7\n"
        "needs_gauge_check = true\nneeds_coupler_check = true\n"
    )
    house = changed(folder, "session.toml", "care_margin = 1.5\n", KEYS + keys).house
    assert house.guests == GuestPractice(1.25, 5.0, 20.0, 2.7, True, True)
    assert house.guest_margin == 1.25


@pytest.mark.parametrize(
    ("key", "place", "words"),
    [
        ("marign = 1.2", "house.guests, marign", ["does not know", "'margin'"]),
        ("margin = 0", "margin", ["found 0", "from 0.01 to 1000"]),
        ("under_percent = -1", "under_percent", ["found -1", "from 0 to 100"]),
        ("under_percent = 40", "bench_under_percent", ["found 30", "under_percent, which is 40"]),
        ('rolls_at_percent = "2"', "rolls_at_percent", ["without quotes"]),
        ("needs_gauge_check = 1", "needs_gauge_check", ["found 1", "true or false"]),
        ('needs_coupler_check = "no"', "needs_coupler_check", ["'no'", "without quotes"]),
    ],
)
def test_one_problem_for_a_bad_key(spoil: Spoil, key: str, place: str, words: list[str]) -> None:
    (problem,) = spoil("session.toml", "care_margin = 1.5\n", f"{KEYS}{key}\n")
    assert problem.file == "session.toml"
    assert problem.place == f"house, guests, {place.removeprefix('house.guests, ')}"
    assert [word for word in words if word not in problem.text] == []


def test_a_practice_that_is_no_table_is_a_problem(spoil: Spoil) -> None:
    (problem,) = spoil("session.toml", "care_margin = 1.5\n", "care_margin = 1.5\nguests = true\n")
    assert problem.place == "house, guests"
    assert "expected a table" in problem.text


def test_every_key_is_in_a_new_session_with_its_default(tmp_path: Path) -> None:
    new_session(tmp_path / "new", "HO")
    text = (tmp_path / "new" / "session.toml").read_text(encoding="utf-8")
    table = text.partition("[house.guests]\n")[2].partition("\n[house.spread]")[0]
    written = dict(line.split(" = ") for line in table.splitlines() if " = " in line and not line.startswith("#"))
    assert set(written) == {each.name for each in declared("guest_practice")}
    practice = GuestPractice(margin=1.5)
    for key, value in tomllib.loads(table).items():
        assert value == getattr(practice, key), key


def test_clearances_are_read_in_the_layouts_unit(folder: Path) -> None:
    at_place = "clearance_height = 3.0\nclearance_width = 2.0\n"
    changed(folder, "track.toml", PLACE, PLACE + at_place)
    layout = changed(folder, "track.toml", LINE, LINE + "clearance_height = 2.5\n").layout
    place = layout.places["Gorse Junction"]
    assert place.clearance_height_mm == pytest.approx(76.2)
    assert place.clearance_width_mm == pytest.approx(50.8)
    line = layout.lines[0]
    assert line.clearance_height_mm == pytest.approx(63.5)
    assert line.clearance_width_mm is None
    assert layout.lines[1].clearance_height_mm is None


@pytest.mark.parametrize(
    ("old", "new", "place", "words"),
    [
        (PLACE, PLACE + 'clearance_height = "low"\n', "place 'Gorse Junction', clearance_height", ["found 'low'"]),
        (PLACE, PLACE + "clearance_width = -2\n", "place 'Gorse Junction', clearance_width", ["found -2"]),
        (PLACE, PLACE + "clearance = 2\n", "place 'Gorse Junction', clearance", ["does not know"]),
        (
            LINE,
            LINE + 'clearance_width = "2 in"\n',
            "line 1 (Skerry Yard to Gorse Junction), clearance_width",
            ["found '2 in'", "without quotes"],
        ),
        (LINE, LINE + "clearence_height = 2\n", "clearence_height", ["did you mean 'clearance_height'"]),
    ],
)
def test_one_problem_for_a_bad_clearance(spoil: Spoil, old: str, new: str, place: str, words: list[str]) -> None:
    (problem,) = spoil("track.toml", old, new)
    assert problem.place.endswith(place)
    assert [word for word in words if word not in problem.text] == []


def test_a_line_run_the_other_way_has_the_same_clearances(folder: Path) -> None:
    line = changed(folder, "track.toml", LINE, LINE + "clearance_height = 2.5\n").layout.lines[0]
    assert line.reversed().clearance_height_mm == line.clearance_height_mm == pytest.approx(63.5)
