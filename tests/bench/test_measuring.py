"""Figures measured at home: worked through from published ones, by hand, and written where they belong."""

from __future__ import annotations

import json
import math
import shutil
from dataclasses import replace
from pathlib import Path

import openpyxl  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from typer.testing import CliRunner

import consist
from consist.bench.measuring import _far_out, grades_of_lifts, of_tries, pull_from_slipping, rolling_of_lift, tries_of
from consist.cli import app
from consist.errors import InputError, UnknownNameError

__all__: list[str] = []

SAMPLES = Path(__file__).parents[2] / "sample_sessions"


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    shutil.copytree(SAMPLES, tmp_path / "sample_sessions")
    shutil.copytree(SAMPLES.parent / "layouts", tmp_path / "layouts")
    return tmp_path / "sample_sessions" / "sunday_shelf"


def test_an_acceptance_grade_of_one_in_36() -> None:
    """A public discussion has 1 in 36 for what a car must roll on, and 2 % for others: an inch on 36 in of level."""
    along = math.hypot(36.0, 1.0)
    assert rolling_of_lift(along, 1.0) == pytest.approx(100.0 / 36.0)
    # a board of 500 mm lifted by 300 mm reaches 400 mm along the bench
    assert rolling_of_lift(500.0, 300.0) == pytest.approx(75.0)


@pytest.mark.parametrize(("pull", "engine", "cars"), [(4.0, 16.0, 184.0), (2.5, 12.0, 113.0)])
def test_coaches_up_one_in_fifty(pull: float, engine: float, cars: float) -> None:
    """A published hobby formula: coaches up 1 in 50 = (pull x 50 - engine weight)/coach weight, no other losses."""
    assert pull_from_slipping(cars, engine, 2.0, 0.0) == pytest.approx(pull)


def test_ten_cars_on_the_level_by_a_spring_scale() -> None:
    """Measured, published in a public discussion: ten HO cars took 25 g, about 2.5 g each; near 2 % of 125 g."""
    assert pull_from_slipping(10 * 125.0, 0.0, 0.0, 2.0) == pytest.approx(25.0)


@given(st.lists(st.floats(0.5, 5.0), min_size=2, max_size=9))
def test_the_range_of_tries_is_that_of_students_t(tries: list[float]) -> None:
    """Against scipy.stats; the order of tries tells nothing."""
    low, middle, high = of_tries(tries, 0.0)
    assert of_tries(tries[::-1], 0.0) == pytest.approx((low, middle, high))
    error = float(stats.sem(tries))
    if error > 1e-9:
        ends = stats.t.interval(0.9, len(tries) - 1, loc=sum(tries) / len(tries), scale=error)
        assert (low, high) == pytest.approx((max(float(ends[0]), 0.0), float(ends[1])), rel=1e-6, abs=1e-9)


def test_one_try_is_as_sure_as_it_was_read() -> None:
    assert of_tries([2.0], 0.1) == pytest.approx((1.955, 2.0, 2.045))


@pytest.mark.parametrize(
    ("text", "what", "values", "step"),
    [
        ("0.9in, 1.0in", "length", (22.86, 25.4), 2.54),
        ('26 1/8"', "length", (663.575,), 3.175),
        ("13mm,14 mm", "length", (13.0, 14.0), 1.0),
        ("2.10oz", "weight", (59.5341,), 0.283495),
        ("60 g, 61.5g", "weight", (60.0, 61.5), 0.1),
        ("13,5mm, 14mm", "length", (13.5, 14.0), 0.1),
        ("13mm,14mm;15 mm", "length", (13.0, 14.0, 15.0), 1.0),
        ("3½in", "length", (88.9,), 12.7),
    ],
)
def test_tries_are_read_with_the_step_they_were_read_to(
    text: str, what: str, values: tuple[float, ...], step: float
) -> None:
    read, finest = tries_of(text, "--x", what)  # type: ignore[arg-type]
    assert read == pytest.approx(values, rel=1e-5)
    assert finest == pytest.approx(step, rel=1e-5)


def test_a_try_far_from_the_others_is_told_and_near_ones_are_not() -> None:
    assert _far_out([1.5, 1.4, 1.6, 1.5, 3.0], 0.0) == (5,)
    assert _far_out([1.5, 1.4, 1.6, 1.5, 1.7], 0.0) == ()
    assert _far_out([13.0, 13.0, 13.0, 13.0, 40.0], 1.0) == (5,)
    assert _far_out([13.0, 13.0, 40.0], 1.0) == (3,)
    assert _far_out([13.0, 13.0, 14.0], 1.0) == ()
    assert _far_out([1.5, 3.0], 0.1) == ()
    # where most tries are the same to the last digit there is no usual distance to hold one against
    assert _far_out([1.5, 1.5, 1.5, 1.6], 0.0) == ()
    # 0.2 x 1.4826 x 3.5 is 1.04
    assert _far_out([1.0, 1.2, 1.4, 1.6, 2.4], 0.0) == ()
    assert _far_out([1.0, 1.2, 1.4, 1.6, 2.5], 0.0) == (5,)


def test_unless_it_is_to_be_written_a_figure_is_only_told(shelf: Path) -> None:
    before = {path.name: path.read_bytes() for path in shelf.iterdir()}
    told = consist.measure(shelf, "rolling", "PQF 202", [2.0, 2.2])
    # two tries without a step: Student's t of one degree, 6.314 x 0.1414 / sqrt(2)
    assert told.recorded is None
    assert told.value == pytest.approx(2.1)
    assert told.high - told.value == pytest.approx(stats.t.ppf(0.95, 1) * 0.1)
    assert {path.name: path.read_bytes() for path in shelf.iterdir()} == before


def test_nothing_is_written_of_a_session_that_was_read_from_no_folder(shelf: Path) -> None:
    session = consist.load(shelf)
    name = next(name for name, car in session.cars.items() if "truck centers" in car.assumed)
    car = replace(session.cars[name], assumed=frozenset({"body length", "truck centers", "coupled length"}))
    by_rule = replace(session, cars={**session.cars, name: car}, folder=None)
    with pytest.raises(
        InputError, match=r"^--write: found a session that was read from no folder; load one from its"
    ):
        consist.measure(by_rule, "length", name, [40.0], write=True)


def test_what_is_measured_is_taken_by_the_next_check(shelf: Path) -> None:
    assert "rolling" in consist.load(shelf).cars["PQF 202"].assumed
    told = consist.measure(shelf, "rolling", "pqf202", [2.0, 2.2], write=True)
    assert told.assumed
    after = consist.load(shelf).cars["PQF 202"]
    assert "rolling" not in after.assumed
    assert after.rolling == pytest.approx(0.021)
    again = consist.measure(shelf, "length", "PQF 202", [77.4], 0.1, write=True)
    assert again.before == 77.0
    assert consist.load(shelf).cars["PQF 202"].coupled_length_mm == pytest.approx(77.4)


def test_a_pull_goes_into_a_workbook_of_engines_and_all_else_stays(shelf: Path) -> None:
    book = openpyxl.Workbook()
    rows: list[list[object]] = [
        ["engine", "class", "weight_g", "pull_oz", "coupled_length_mm", "home", "bought"],
        ["21", "Road", 104, 0.8, 118, "Cove Fiddle", "=1+1"], ["22", "Road", 101, 0.78, 118, "Cove Fiddle", ""],
        ["3", "Switcher", 56, None, 76, "Upper Fold", "from Wanda"],
    ]  # fmt: skip
    for row in rows:
        book.worksheets[0].append(row)
    book.save(shelf / "engines.xlsx")
    (shelf / "engines.csv").unlink()
    consist.measure(shelf, "pull", "3", [11.0, 11.4, 11.2], write=True)
    cells = [
        [cell.value for cell in row] for row in openpyxl.load_workbook(shelf / "engines.xlsx").worksheets[0].rows
    ]
    assert cells[3][3] == pytest.approx(11.2 / 28.3495, abs=0.005)
    assert [row[:3] + row[4:6] for row in cells] == [row[:3] + row[4:6] for row in rows]
    assert cells[1][6] == "=1+1"
    assert consist.load(shelf).engines["3"].measured


def test_a_table_without_the_column_is_told_and_left_as_it_is(shelf: Path) -> None:
    table = shelf / "cars.csv"
    table.write_text(table.read_text().replace("rolls_at_percent", "remark"))
    before = table.read_bytes()
    with pytest.raises(InputError, match="found no column rolls_at_percent to write a grade on which"):
        consist.measure(shelf, "rolling", "PQF 201", [1.5], write=True)
    assert table.read_bytes() == before


def test_names_that_are_none_are_told_with_the_nearest(shelf: Path) -> None:
    with pytest.raises(UnknownNameError, match=r"did you mean .PQF 20"):
        consist.measure(shelf, "rolling", "PQF 20l", [1.5])
    with pytest.raises(UnknownNameError, match="engine"):
        consist.measure(shelf, "pull", "PQF 201", [1.5])


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ([], "name one car or one engine"),
        (["--car", "PQF 201", "--engine", "21"], "name one car or one engine"),
        (["--car", "PQF 201", "--lifted", "1in"], "say how long the board is"),
        (["--car", "PQF 201", "--lifted", "1", "--board", "4in"], "--lifted: found '1', "),
        (["--car", "PQF 201", "--lifted", "1", "--board", "4in"], "add in or mm"),
        (["--car", "PQF 201", "--lifted", "3in", "--board", "4in"], "expected up to 30% of it"),
        (["--car", "PQF 201", "--lifted", "1in", "--length", "4in"], "measure one thing at a time"),
        (["--car", "PQF 201", "--pulled", "1oz"], "name the engine by --engine"),
        (["--engine", "21", "--length", "4in"], "name the car by --car"),
        (["--engine", "21", "--moved", "900g"], "give --slipped WEIGHT and --grade PERCENT"),
        (["--engine", "21", "--moved", "900g", "--slipped", "800g", "--grade", "2"], "found no more than it moved"),
        (
            ["--engine", "21", "--moved", "900g", "--slipped", "950g", "--grade", "200"],
            "expected per cent from 0 to 15",
        ),
        (["--engine", "21", "--pulled", ","], "found nothing"),
        (["--engine", "21", "--json"], "found no figure beside it"),
        (["--car", "PQF 201", "--write"], "found no figure beside it"),
    ],
)
def test_what_cannot_be_used_is_one_line(options: list[str], said: str) -> None:
    result = CliRunner().invoke(app, ["measure", str(SAMPLES / "sunday_shelf"), *options])
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stderr.count("\n") == 1


def test_an_engine_that_moved_so_much_and_slipped_under_more_pulls_what_lies_between() -> None:
    words = ["--engine", "21", "--moved", "500g", "--slipped", "560g", "--grade", "2", "--rolls-at", "1.6", "--json"]
    result = CliRunner().invoke(app, ["measure", str(SAMPLES / "sunday_shelf"), *words])
    assert result.exit_code == 0
    # 104 g of engine up 2 %, and cars that roll at 1.6 %
    assert f'"low": {500 * 0.036 + 104 * 0.02}' in result.stdout
    assert f'"high": {560 * 0.036 + 104 * 0.02}' in result.stdout


def _told(session: Path, *words: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(app, ["measure", str(session), *words])
    return result.exit_code, result.stdout, result.stderr


def test_a_board_lifted_under_a_car_is_told_as_the_grade_it_rolls_on(shelf: Path) -> None:
    """A board of 1 m lifted by 20 and by 28 mm lies at 2.0004 and 2.8011 %: their mean, read to 1 mm."""
    words = ["--car", "PQF 201", "--board", "1000mm", "--lifted", "20mm, 28mm"]
    status, out, _ = _told(shelf, *words, "--json")
    told = json.loads(out)
    assert status == 0
    assert told["tries"] == pytest.approx([100 * 20 / math.sqrt(1e6 - 400), 100 * 28 / math.sqrt(1e6 - 784)])
    assert told["value"] == pytest.approx(sum(told["tries"]) / 2)
    # 90 % of half a step of 0.1 % beside the spread of the two
    spread = stats.t.ppf(0.95, 1) * stats.sem(told["tries"])
    assert told["high"] - told["value"] == pytest.approx(math.hypot(0.045, spread))
    page = " ".join(_told(shelf, *words)[1].split())
    assert page.startswith(
        "PQF 201 just keeps rolling on a grade of 2.40 %, ninety per cent sure that it is 0.00 % to"
    )
    assert "2 tries: 2.00 %, 2.80 %." in page
    assert page.endswith("Nothing is written; --write puts it into the table.")


def test_a_board_is_lifted_by_something_and_by_no_more_than_three_tenths_of_it(shelf: Path) -> None:
    assert grades_of_lifts(1000.0, [300.0, 20.0]) == [rolling_of_lift(1000.0, lift) for lift in (300.0, 20.0)]
    status, _, said = _told(shelf, "--car", "PQF 201", "--board", "1000mm", "--lifted", "20mm, 301mm")
    assert (status, said) == (
        2,
        "--lifted: found a lift of 301 mm of a board of 1000 mm, expected up to 30% of it; correct '--board' or it\n",
    )
    for lift in (0.0, -20.0):
        with pytest.raises(InputError):
            grades_of_lifts(1000.0, [20.0, lift])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            ("--car", "PQF 201", "--length", "20mm"),
            "found 20 mm over the couplers of PQF 201, whose body or truck centers are 70 mm; "
            "correct the one that is wrong",
        ),
        (
            ("--car", "PQF 201", "--length", "90in"),
            "found 2286 mm, 30 times the 77 mm in the table; add --sure where that is right",
        ),
        (
            ("--car", "PQF 201", "--board", "1000mm", "--lifted", "290mm"),
            "found 30.3 %, expected a number from 0.001 to 15; measure again",
        ),
        (("--engine", "21", "--pulled", "7g"), "found 7 g, 0.3 times the 23 g in the table; add --sure"),
    ],
)
def test_a_figure_that_is_hardly_one_is_refused_by_the_option_that_would_write_it(
    shelf: Path, words: tuple[str, ...], said: str
) -> None:
    status, _, told = _told(shelf, *words, "--write")
    assert status == 2
    assert told.startswith(f"--write: {said}")
    assert told.count("\n") == 1


@pytest.mark.parametrize(("options", "said"), [(["--car", "PQF 201"], "Lift one end"), (["--engine", "21"], "slip")])
def test_without_figures_it_tells_how(options: list[str], said: str) -> None:
    result = CliRunner().invoke(app, ["measure", str(SAMPLES / "sunday_shelf"), *options])
    assert (result.exit_code, said in result.stdout) == (0, True)


def test_how_cars_roll_by_rule_makes_a_pull_less_sure() -> None:
    def told(*more: str) -> dict[str, float]:
        words = ["--engine", "21", "--moved", "500g", "--slipped", "560g", "--grade", "2", *more, "--json"]
        result = CliRunner().invoke(app, ["measure", str(SAMPLES / "sunday_shelf"), *words])
        return {key: value for key, value in json.loads(result.stdout).items() if key in ("low", "high", "value")}

    known, by_rule = told("--rolls-at", "1.6"), told()
    assert by_rule["value"] == pytest.approx(known["value"])
    assert by_rule["low"] < known["low"] - 1.0
    assert by_rule["high"] > known["high"] + 1.0


@pytest.mark.parametrize(
    ("figure", "name", "value", "said"),
    [
        ("length", "PQF 201", 60.0, "whose body or truck centers are 70 mm"),
        ("rolling", "PQF 202", 22.8, "expected"),
        ("rolling", "PQF 201", 14.0, "add --sure where that is right"),
        ("pull", "21", 230.0, "10 times the 23 g in the table; add --sure"),
    ],
)
def test_what_the_session_could_not_be_read_with_or_is_hardly_meant_is_not_written(
    shelf: Path, figure: str, name: str, value: float, said: str
) -> None:
    before = {path.name: path.read_bytes() for path in shelf.iterdir()}
    with pytest.raises(InputError, match=said):
        consist.measure(shelf, figure, name, [value], write=True)  # type: ignore[arg-type]
    assert {path.name: path.read_bytes() for path in shelf.iterdir()} == before
    consist.load(shelf)


def test_who_is_sure_may_write_what_is_far_from_the_old_figure(shelf: Path) -> None:
    consist.measure(shelf, "pull", "21", [230.0], write=True, sure=True)
    assert consist.load(shelf).engines["21"].pull_g == 230.0
