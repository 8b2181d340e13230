"""Railroads of which only the hardest places are known, against the same places written as a layout; and a table of
cars with no session at all."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from builders import SAMPLES
from typer.testing import CliRunner, Result

import consist
from consist.cli import app
from consist.errors import InputError
from consist.evening import check_train
from consist.sheet import load_sheet
from consist.track import Layout, Line, Place, find_route

__all__: list[str] = []

LOOP = '{ name = "The loop", radius_in = 11, grade_percent = 2.0, easement_in = 3, both = true }'
SPUR = '{ name = "Quarry spur", radius_in = 9.75, turn_deg = 90 }'
HILL = '{ name = "The hill", grade_percent = 2.5 }'
SHEET = SAMPLES / "visiting_cars.csv"


def ran(*words: object) -> Result:
    return CliRunner().invoke(app, [*map(str, words)])


def session_of(folder: Path, *places: str, route: str = "", scale: str = '"N"') -> Path:
    home = folder / "away"
    shutil.copytree(SAMPLES / "sunday_shelf", home)
    lines = (home / "session.toml").read_text().splitlines()
    told = [
        f"layout = {{ scale = {scale}, hardest = [{', '.join(places)}] }}" if line.startswith("layout =") else line
        for line in lines
        if not line.startswith("route =")
    ]
    text = "\n".join(told)
    (home / "session.toml").write_text(text.replace("[[train]]", f"[[train]]\n{route}") if route else text)
    return home


@pytest.fixture
def away(tmp_path: Path) -> Path:
    return session_of(tmp_path, LOOP, SPUR, HILL)


def as_a_layout(of: consist.Session) -> consist.Session:
    """The same runs as lines that lead on from one another, found by the ordinary way over a layout."""
    (first, *_) = of.trains
    runs = first.route.lines
    names = [f"P{number}" for number in range(len(runs) + 1)]
    lines = tuple(
        Line((start, "out"), (finish, "in"), run.pieces)
        for run, start, finish in zip(runs, names, names[1:], strict=False)
    )
    built = Layout("built", of.layout.scale, of.layout.unit, {name: Place(name) for name in names}, lines)
    route = find_route(built, names)
    trains = tuple(replace(train, route=route) for train in of.trains)
    return replace(of, layout=built, trains=trains)


def test_hardest_places_equal_the_same_places_written_as_a_layout(away: Path) -> None:
    of = consist.load(away)
    other = as_a_layout(of)
    for train, same in zip(of.trains, other.trains, strict=True):
        one, two = check_train(of, train), check_train(other, same)
        assert one.side_use == pytest.approx(two.side_use, rel=1e-12)
        assert one.power.use == pytest.approx(two.power.use, rel=1e-12)
        assert one.power.hold_use == pytest.approx(two.power.hold_use, rel=1e-12)
        assert [car.side_use for car in one.cars] == pytest.approx([car.side_use for car in two.cars], rel=1e-12)
        assert [(each.code, each.level, each.car) for each in one.findings] == [
            (each.code, each.level, each.car) for each in two.findings
        ]


def test_a_run_is_straight_for_a_whole_train_before_and_after_its_curve(away: Path) -> None:
    of = consist.load(away)
    (train, *_) = of.trains
    assert train.route.stops == ("The loop", "The loop, down", "Quarry spur", "The hill", "The hill")
    assert train.route.called == ("The loop", "The loop, down", "Quarry spur", "The hill")
    up, down, spur, hill = train.route.lines
    longest = max(check.length_mm for check in consist.check(of).trains)
    for line in (up, down, spur):
        first, curve, last = line.pieces
        assert first.straight_mm == last.straight_mm > longest
        assert curve.radius_mm is not None
    assert [piece.grade for piece in up.pieces] == [0.02] * 3
    assert [piece.grade for piece in down.pieces] == [-0.02] * 3
    assert (up.pieces[1].radius_mm, up.pieces[1].easement_mm) == (11 * 25.4, 3 * 25.4)
    assert spur.pieces[1].angle == pytest.approx(1.5707963)
    assert [piece.grade for piece in hill.pieces] == [0.025] * 2


def test_a_train_may_run_over_some_of_the_places(tmp_path: Path) -> None:
    of = consist.load(session_of(tmp_path, LOOP, SPUR, HILL, route='route = ["The hill", "Quarry spur"]'))
    assert of.trains[0].route.called == ("The hill", "Quarry spur")


def test_where_is_told_by_the_places_name(away: Path) -> None:
    told = json.loads(ran("check", away, "--json").stdout)
    places = {train["worst"]["place"] for train in told["trains"]}
    assert places <= {"The loop", "The loop, down", "Quarry spur", "The hill"}
    page = " ".join(ran("check", away).stdout.split())
    assert "into the run at The loop" in page
    assert "toward The loop" not in page
    assert "between" not in page.split("FINDINGS")[1].split("NOTES")[0].replace("in between", "")


@pytest.mark.parametrize(
    "words",
    [
        ("order",), ("power",), ("bench",), ("screen",), ("trailing",), ("check", "--without", "PQF 71"),
        ("report", "--output", "page.html"), ("picture", "--train", "Creamery 5", "--output", "plan.svg"),
    ],
)  # fmt: skip
def test_every_command_takes_such_a_session(
    away: Path, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(away)
    result = ran(words[0], away, *words[1:])
    assert result.exit_code in (0, 1), result.output
    assert result.stdout


@pytest.mark.parametrize(
    ("places", "scale", "says"),
    [
        ((), '"N"', "session.toml, layout, hardest: found an empty list, expected one place or more"),
        ((LOOP, LOOP), '"N"', "hardest 2, name: found 'The loop', the name of place 1 already"),
        (('{ name = "A" }',), '"N"', "hardest 1: found neither a curve nor a grade, expected one"),
        (('{ radius_in = 11 }',), '"N"', "hardest 1, name: found nothing, expected a name for the place"),
        (('{ name = "A", radius_in = 11, radius_mm = 280 }',), '"N"', "found the radius twice, expected it once"),
        (('{ name = "A", radius_in = 0.1 }',), '"N"', "expected more than half the gauge"),
        (('{ name = "A", radius_in = 11, turn_deg = 5, easement_in = 9 }',), '"N"', "too long for its curve"),
        (('{ name = "A", grade_percent = 40 }',), '"N"', "expected a number from -15 to 15"),
        (('{ name = "A", grade_percent = 2, slope = 1 }',), '"N"', "found a key that consist does not know"),
        ((HILL,), '"NN"', "layout, scale: found 'NN', expected a known scale"),
        ((HILL,), "{ ratio = 160 }", "layout, scale, gauge_mm: found nothing"),
    ],
)  # fmt: skip
def test_what_cannot_be_a_place_is_one_line(tmp_path: Path, places: tuple[str, ...], scale: str, says: str) -> None:
    result = ran("check", session_of(tmp_path, *places, scale=scale))
    assert result.exit_code == 2
    assert says in result.stderr
    assert "Traceback" not in result.stderr


def test_a_stop_on_the_way_is_refused_where_there_is_no_way(away: Path) -> None:
    table = away / "trains.csv"
    header, *rows = table.read_text().splitlines()
    columns = header.split(",")
    first = rows[0].split(",") + [""] * len(columns)
    table.write_text("\n".join([f"{header},joins", ",".join(first[: len(columns)]) + ",The loop"]) + "\n")
    result = ran("check", away)
    assert result.exit_code == 2
    assert "row 2, joins: found a stop, but of this railroad only its hardest places are known" in result.stderr
    unknown = session_of(away.parent / "other", LOOP, route='route = ["The lop"]')
    assert "did you mean 'The loop'?" in ran("check", unknown).stderr


def test_a_table_of_cars_over_a_curve_on_a_grade() -> None:
    result = ran("check", SHEET, "--scale", "HO", "--curve", "24in", "--grade", "2", "--json")
    assert result.exit_code == 0
    (train,) = json.loads(result.stdout)["trains"]
    assert [car["car"] for car in train["cars"]] == [
        "TQW 118", "TQW 131", "ZEB 4402", "TQW 150", "UXO 77", "UXO 81", "UXO 90", "ZEB 4410", "QIP 9",
    ]  # fmt: skip
    of = load_sheet(SHEET, scale="HO", radius_mm=609.6, grade_percent=2.0)
    assert train["side_use"] == pytest.approx(consist.check(of).trains[0].side_use)
    assert train["worst"]["place"] == "the curve"
    # on the curve all cars at once: 2 % of grade, 1.4 % of rolling, 8.02 mm / R of curve, and what side loads add
    weight = train["weight_g"]
    least = weight * (0.02 + 0.014 + 8.02 / 609.6)
    asked = train["peak_drawbar"]["g"]
    assert least < asked < 1.1 * least


def test_the_pull_that_is_needed_is_told_and_is_just_enough() -> None:
    page = " ".join(ran("check", SHEET, "--scale", "HO", "--curve", "24in", "--grade", "2").stdout.split())
    told = page.split("so a stand-in pulls the train: ")[1]
    needed, usable = float(told.split(" oz")[0]), float(told.split("Engines of ")[1].split(" oz")[0])
    assert usable == pytest.approx(needed / 0.85, abs=0.011)
    assert f"no engine named; engines of {usable:.2f} oz of pull in all, their reserve in it, would do." in page
    without = " ".join(
        ran("check", SHEET, "--scale", "HO", "--curve", "24in", "--grade", "2", "--without", "QIP 9").stdout.split()
    )
    left = without.split("no engine named; engines of ")[1]
    assert float(left.split(" oz")[0]) < usable

    def short(pull_oz: float) -> bool:
        asked = ("--scale", "HO", "--curve", "24in", "--grade", "2", "--pull", f"{pull_oz}oz", "--json")
        (train,) = json.loads(ran("check", SHEET, *asked).stdout)["trains"]
        return any(finding["code"] == "power-short" for finding in train["findings"])

    # an engine's own weight, by rule four times its pull, is on the grade too: 0.85·P − 4·P·(0.02 + 0.0132)
    own = 0.85 - 4.0 * (0.02 + 8.02 / 609.6)
    assert short(0.98 * needed / own)
    assert not short(1.02 * needed / own)


def test_a_stand_in_has_what_pull_it_takes_in_every_draw() -> None:
    """So that no draw holds the train for want of it; the margin's range is that behind an engine with plenty."""
    told: dict[str, Any] = {"scale": "HO", "radius_mm": 609.6, "grade_percent": 2.0}
    (of_none,) = consist.check(load_sheet(SHEET, **told)).trains
    (of_plenty,) = consist.check(load_sheet(SHEET, pulls_g=[5000.0], **told)).trains
    (of_little,) = consist.check(load_sheet(SHEET, pulls_g=[60.0], **told)).trains
    assert of_none.range is not None
    assert of_plenty.range is not None
    assert of_little.range is not None
    assert (of_none.range.hold_share, of_none.range.power_use) == (0.0, None)
    assert of_none.range.margin == pytest.approx(of_plenty.range.margin, rel=0.02)
    assert not any(finding.code == "unsure" for finding in of_none.findings)
    assert of_little.range.hold_share > 0.1
    assert of_little.range.power_use is not None


def test_down_grade_the_stand_in_holds_the_train() -> None:
    of = load_sheet(SHEET, scale="HO", grade_percent=-4.0)
    (train,) = consist.check(of).trains
    assert not any(finding.code == "power-short" for finding in train.findings)
    assert train.power.hold_use == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ((), "--scale: found none beside a table of cars; say the scale, such as --scale HO"),
        (("--scale", "HO"), "--curve: found neither it nor --grade beside a table of cars"),
        (("--scale", "HQ", "--grade", "2"), "--scale: found 'HQ', expected a known scale; did you mean 'HO'?"),
        (("--scale", "HO", "--curve", "24"), "--curve: found '24', expected a unit after the number"),
        (("--scale", "HO", "--curve", "0in"), "--curve: found '0in', expected a length over 0"),
        (("--scale", "HO", "--grade", "40"), "--grade: found 40, expected per cent from -15 to 15; correct it"),
        (("--scale", "HO", "--grade", "2", "--turn", "0"), "--turn: found 0, expected degrees from 0.01 to 3600"),
        (("--scale", "HO", "--grade", "2", "--pull", "4"), "--pull: found '4', expected a unit after the number"),
        (("--scale", "HO", "--grade", "2", "--standard", "nmra"), "--standard: "),
    ],
)
def test_what_is_missing_is_told_with_how_to_give_it(options: tuple[str, ...], says: str) -> None:
    result = ran("check", SHEET, *options)
    assert result.exit_code == 2
    assert result.stderr.startswith(says)
    assert len(result.stderr.splitlines()) == 1


def test_a_sheet_without_lengths_and_one_without_cars(tmp_path: Path) -> None:
    place: tuple[Any, ...] = ("--scale", "HO", "--curve", "24in")
    bare = tmp_path / "bare.csv"
    bare.write_text("car,weight_oz\nA 1,3.5\n")
    assert "found no length for the car" in ran("check", bare, *place).stderr
    bare.write_text("car,weight_oz,body_length_in\n")
    assert "found no car, expected a row for each car in standing order" in ran("check", bare, *place).stderr
    with pytest.raises(InputError, match="expected a known scale"):
        load_sheet(SHEET, scale="HX", grade_percent=1.0)


def test_a_curve_that_cannot_be_is_one_sentence() -> None:
    result = ran("check", SHEET, "--scale", "HO", "--curve", "0.2in")
    assert result.exit_code == 2
    assert "--curve: found a radius of 0.2 in, expected more than half the gauge, 0.3248 in" in result.stderr


def test_a_session_has_its_own_places() -> None:
    result = ran("check", SAMPLES / "sunday_shelf", "--curve", "24in")
    assert (
        result.stderr == "--curve: found it with a session, which has its own; give it with a table of cars alone\n"
    )


def test_a_scale_whose_standard_has_no_figures_takes_one_that_has_and_says_so() -> None:
    result = ran("check", SHEET, "--scale", "Z", "--curve", "9in")
    assert result.exit_code in (0, 1)
    assert "NEM 302" in result.stdout


def test_a_table_of_an_owners_own_is_read_by_its_headings(tmp_path: Path) -> None:
    path = tmp_path / "roster.csv"
    path.write_text("Club roster,,,\nMark,No,Wt. oz,Length\nTST,1,4.2,40'\nTST,2,4.1,50'\nTotal,,8.3,\n")
    (train,) = consist.load_sheet(path, scale="HO", radius_mm=600.0).trains
    assert [place.car.name for place in train.cars] == ["TST 1", "TST 2"]
    assert [place.car.weight_g for place in train.cars] == pytest.approx([119.07, 116.23], abs=0.01)


def test_a_table_of_an_owners_own_headings_is_taken_by_map(tmp_path: Path) -> None:
    table = tmp_path / "roster.csv"
    table.write_text("Wagon,How heavy,From end to end\nA 1,3.5,6\nB 2,3.9,6.5\n")
    place = ("--scale", "HO", "--curve", "24in", "--json")
    maps = ("--map", "car=Wagon", "--map", "weight_oz=How heavy", "--map", "body_length_in=From end to end")
    (train,) = json.loads(ran("check", table, *place, *maps).stdout)["trains"]
    assert [(car["car"], round(car["weight_g"] / 28.349523125, 3)) for car in train["cars"]] == [
        ("A 1", 3.5),
        ("B 2", 3.9),
    ]
    wrong = ran("check", table, *place, "--map", "weight_oz=How hevy")
    assert wrong.exit_code == 2
    assert "How heavy" in wrong.stderr
    assert len(wrong.stderr.splitlines()) == 1
    unknown = ran("check", table, *place, "--map", "mass=How heavy")
    assert unknown.stderr.startswith("--map: found no column 'mass'")
