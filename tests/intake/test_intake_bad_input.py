"""Each kind of bad input, spoiled into a good session: one problem, with its file, place, find and cure."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest

from consist.errors import InputError, Problem
from consist.intake import read_layout, read_session
from consist.intake.files import Reading
from consist.intake.toml import read_toml

Spoil = Callable[[str, str, str], tuple[Problem, ...]]

# (what stands in the good file, what is written instead, place of the problem, words it must hold)
CARS = [
    ("113.5", "heavy", "row 2, weight_g", ["'heavy'", "expected a number", "leave the cell empty"]),
    ("113.5", "nan", "row 2, weight_g", ["'nan'", "expected a number"]),
    ("113.5", "inf", "row 2, weight_g", ["'inf'", "expected a number"]),
    ("113.5", "1e999", "row 2, weight_g", ["'1e999'", "1000000"]),
    ("113.5", "-113.5", "row 2, weight_g", ["'-113.5'", "0.001"]),
    ("113.5", "0", "row 2, weight_g", ["'0'", "not weighed"]),
    ("113.5", '"1,113.5"', "row 2, weight_g", ["'1,113.5'", "thousands"]),
    ("113.5", '"113,5"', "row 2, weight_g", ["'113,5'", "write 113.5"]),
    ("113.5", "113.5 mm", "row 2, weight_g", ["'113.5 mm'", "in g or oz"]),
    ("113.5", "4-Mar", "row 2, weight_g", ["'4-Mar'", "not a date", "fraction"]),
    ("1.4\n", "0\n", "row 2, rolls_at_percent", ["'0'", "from 0.001 to 15"]),
    ("1.4\n", "1e-300\n", "row 2, rolls_at_percent", ["'1e-300'", "from 0.001 to 15"]),
    ("1.4\n", "15.5\n", "row 2, rolls_at_percent", ["'15.5'", "to 15"]),
    (",body,", ",frame,", "row 2, coupler_mount", ["'frame'", "body or truck"]),
    ("110", "163", "row 2, truck_centers", ["163 mm", "less than the coupled length"]),
    ("163", "163000", "row 2, coupled_length_mm", ["'163000'", "from 0.001 to 5000"]),
    ("163", "149", "row 2, coupled_length", ["149 mm", "150 mm", "correct"]),
    ("TST 2,", ",", "row 3, car", ["empty cell", "name"]),
    ("TST 2,tank car,,150", "TST 2,tank car,,", "row 3, body_length", ["'TST 2'", "body_length or coupled_length"]),
    ("weight_g", "weight", "header, weight", ["without its unit", "weight_g or weight_oz"]),
    ("body_length_mm", "body_length_cm", "header, body_length_cm", ["body_length_mm or body_length_in"]),
    ("kind", "weight_g", "row 1, weight_g", ["'weight_g' twice"]),
    ("1.4\n", "1.4,7,8\n", "row 2", ["'7', '8'", "under no column"]),
    ("car,kind", "vehicle,kind", "header", ["no column 'car'", "add it"]),
    ("boxcar", '"boxcar', "", ["double quote"]),
]

ENGINES = [
    ("40,,380,", "40,,,", "row 3, weight", ["'40'", "neither a weight nor a pull"]),
    ("40,,380", "31,,380", "row 3, engine", ["'31'", "row 2"]),
    ("0.2,", "1.2,", "row 3, grip", ["'1.2'", "share"]),
    ("0.2,", "0,", "row 3, grip", ["'0'", "from 0.01 to 1"]),
    ("0.2,", "1e-300,", "row 3, grip", ["'1e-300'", "from 0.01 to 1"]),
    ("400,400", "400,500", "row 2, drivers_weight", ["500 g", "400 g"]),
    ("pull_g", "pull", "header, pull", ["pull_g or pull_oz"]),
]

TRAINS = [
    ("Milk,2", "Milk,1", "row 3, spot", ["spot 1", "row 2"]),
    ("Milk,2", "Milk,0", "row 2, spot", ["'0'", "whole number from 1"]),
    ("Milk,2", "Milk,1.5", "row 2, spot", ["'1.5'", "whole number"]),
    ("Milk,2", "Milk,", "row 2, spot", ["found nothing", "other rows"]),
    ("Milk,2", "Milc,2", "row 2, train", ["'Milc'", "did you mean 'Milk'?"]),
    ("Milk,2", ",2", "row 2, train", ["empty cell"]),
    ("TST 2", "TST 3", "row 2, car", ["'TST 3'", "did you mean 'TST "]),
    ("TST 2", "TST 1", "row 3, car", ["'TST 1'", "row 2"]),
    (",yes,", ",perhaps,", "row 3, loaded", ["'perhaps'", "unclear", "yes or no"]),
    (",rear,", ",middle,", "row 2, hold", ["'middle'", "front, rear, stay or with CAR"]),
    (",rear,", ",with TST 9,", "row 2, hold", ["'with TST 9'", "did you mean 'TST 1'?"]),
    (",rear,", ",with TST 2,", "row 2, hold", ["another car of the same train"]),
    ("A,,Skerry Yard", "A,,Skery Yard", "row 3, joins", ["'Skery Yard'", "did you mean 'Skerry Yard'?"]),
    ("Yard,Gorse Junction", "Yard,Nowhere", "row 3, leaves", ["'Nowhere'", "the stops are"]),
    ("Skerry Yard,Gorse", "Tarn End,Gorse", "row 3, joins and leaves", ["comes before it", "later stop"]),
    ("Skerry Yard,Gorse", "Gorse Junction,Gorse", "row 3, joins and leaves", ["for both"]),
    ("Skerry Yard,Gorse Junction", "Tarn End,", "row 3, joins", ["where the train ends"]),
    ("Skerry Yard,Gorse Junction", ",Skerry Yard", "row 3, leaves", ["where the train starts"]),
    ("train,spot,car", "train,place,vehicle", "header", ["no column 'car'", "add it"]),
]

SESSION = [
    ("title =", "titel =", "titel", ["does not know", "did you mean 'title'?"]),
    ("care_margin", "care_margn", "house, care_margn", ["did you mean 'care_margin'?"]),
    ("helpers", "helper", "train 1, helper", ["did you mean 'helpers'?"]),
    ('"Test evening"', "7", "title", ["found 7", "a text"]),
    ('"Test evening"', r'"a\u001bb"', "title", [r"\x1b", "a text"]),
    ('layout = "track.toml"', "", "layout", ["found nothing", "path of a layout"]),
    ('name = "Milk"', "", "train 1, name", ["found nothing", "the train's name"]),
    ('"Gorse Junction", "Tarn End"]', "]", "train 1, route", ["a list of 1", "two or more"]),
    ('["Skerry Yard", "Gorse Junction", "Tarn End"]', '"Skerry Yard"', "train 1, route", ["two or more place names"]),
    (
        '["Skerry Yard", "Gorse Junction", "Tarn End"]',
        '["Skerry Yard", 4]',
        "train 1, route",
        ["found 4 in the list"],
    ),
    ("Tarn End", "Gorse Junction", "train 1, route", ["twice in a row"]),
    ("Skerry Yard", "Skerry Yrd", "train 1, route", ["did you mean 'Skerry Yard'?"]),
    ('["31"]', '["32"]', "train 1, engines", ["'32'", "did you mean '31'?"]),
    ('["31"]', "[31]", "train 1, engines", ["found 31 in the list", "a list of engines"]),
    ('["40"]', '["31"]', "train 1, helpers", ["'31' twice"]),
    ('"10:00"', '"25:00"', "train 1, depart", ["'25:00'", '"23:59"']),
    ('"10:00"', "10", "train 1, depart", ["found 10", '"10:40"']),
    ('"10:40"', '"10:00"', "train 1, arrive", ["the time of depart", "later"]),
    ("care_margin = 1.5", "care_margin = 0.9", "house, care_margin", ["0.9", "hold_margin", "raise"]),
    ("care_margin = 1.5", 'care_margin = "1.5"', "house, care_margin", ["'1.5'", "without quotes"]),
    ("care_margin = 1.5", "care_margin = true", "house, care_margin", ["found true"]),
    ("care_margin = 1.5", "hold_margin = 0", "house, hold_margin", ["found 0", "from 0.01 to 1000"]),
    ("care_margin = 1.5", "hold_margin = 1e-300", "house, hold_margin", ["found 1e-300", "from 0.01 to 1000"]),
    ("care_margin = 1.5", "hold_margin = nan", "house, hold_margin", ["found nan"]),
    ("care_margin = 1.5", "rolling_percent = 16", "house, rolling_percent", ["from 0.001 to 15"]),
    ("care_margin = 1.5", "pull_reserve = 1", "house, pull_reserve", ["from 0 and under 1"]),
    ("care_margin = 1.5", "flange_drag = 3", "house, flange_drag", ["found 3", "from 0 to 0.5"]),
    ("care_margin = 1.5", "flange_drag = -0.1", "house, flange_drag", ["found -0.1", "from 0 to 0.5"]),
    ("care_margin = 1.5", 'flange_drag = "3 %"', "house, flange_drag", ["'3 %'", "without quotes"]),
    ("care_margin = 1.5", "flange_angle_deg = 90", "house, flange_angle_deg", ["under 90"]),
    # An angle of friction of atan 0.4 is 21.8 degrees.
    ("care_margin = 1.5", "flange_angle_deg = 20", "house, flange_angle_deg", ["more than 21.8", "raise"]),
    ("care_margin = 1.5", "flange_friction = -1", "house, flange_friction", ["from 0"]),
    ("care_margin = 1.5", "weight_standard = 3", "house, weight_standard", ["found 3", "name of a standard"]),
    (
        "care_margin = 1.5",
        'weight_standard = { name = "own", base_g = 0, per_mm_g = 0 }',
        "house, weight_standard",
        ["0 for every car and 0 for its length"],
    ),
    (
        "care_margin = 1.5",
        'weight_standard = { name = "own", base_g = 1e-300, per_mm_g = 0.5 }',
        "house, weight_standard, base_g",
        ["found 1e-300", "0 or a number from 0.001 to 1000"],
    ),
    (
        "care_margin = 1.5",
        'weight_standard = { name = "own", base_g = 0, per_mm_g = 500 }',
        "house, weight_standard, per_mm_g",
        ["found 500", "0 or a number from 0.001 to 20"],
    ),
    (
        "care_margin = 1.5",
        'weight_standard = { name = "own", base_g = 1 }',
        "house, weight_standard, per_mm_g",
        ["found neither per_mm_g nor per_in_oz"],
    ),
    (
        "care_margin = 1.5",
        'weight_standard = { name = "own", base_g = 1, base_oz = 1, per_mm_g = 0.5 }',
        "house, weight_standard, base_g",
        ["found both base_g and base_oz"],
    ),
    ('title = "Test evening"', 'title = "Test', "line 2, column 14", ["TOML does not allow", "correct that line"]),
    ("[house]\ncare_margin = 1.5", "house = 5", "house", ["found 5", "[house]"]),
]

LINE_1 = "line 1 (Skerry Yard to Gorse Junction)"
LAYOUT = [
    ("units =", "unit =", "unit", ["did you mean 'units'?"]),
    ('"in"', '"cm"', "units", ["'cm'", '"in" or "mm"']),
    ('"HO"', '"HP"', "scale", ["'HP'", "did you mean 'HO'?"]),
    ('"HO"', "87.1", "scale", ["found 87.1", "a scale such as"]),
    ('"HO"', "{ ratio = 0, gauge_mm = 16.5, coupler_height_mm = 9.9 }", "scale, ratio", ["found 0"]),
    ('"HO"', "{ ratio = 87, gauge = 16.5, gauge_mm = 1, coupler_height_mm = 9 }", "scale, gauge", ["'gauge_mm'"]),
    ("standing = 96", "standing = 0", "place 'Gorse Junction', standing", ["found 0"]),
    ("standing", "stading", "place 'Gorse Junction', stading", ["did you mean 'standing'?"]),
    ('["west", "east"]', '["west", "west"]', "place 'Gorse Junction', through", ["two different ends"]),
    ('["west", "east"]', '"west"', "place 'Gorse Junction', through", ["'west'", "a pair"]),
    ('from = "Skerry Yard, east"', 'from = "Skerry Yard"', "line 1, from", ["'Skerry Yard'", "PLACE, END"]),
    ('from = "Skerry Yard, east"', "", "line 1, from", ["found nothing"]),
    ("{ length = 48 }", "{ length = -48 }", f"{LINE_1}, piece 1, length", ["found -48", "0.001"]),
    ("{ length = 48 }", "{ length = 48000 }", f"{LINE_1}, piece 1", ["more than 1000000 mm of track in one piece"]),
    ("{ length = 48 }", "{ lenght = 48, length = 1 }", f"{LINE_1}, piece 1, lenght", ["did you mean 'length'?"]),
    ("{ length = 48 }", "48", f"{LINE_1}, piece 1", ["found 48", "{ length = ... }"]),
    ("{ length = 48 }", "{ grade = 1 }", f"{LINE_1}, piece 1", ["neither a length nor a curve"]),
    ("{ length = 48 }", "{ length = 48, easement = 2 }", f"{LINE_1}, piece 1, easement", ["on a straight"]),
    ("grade = 1.0", "grade = 15.1", f"{LINE_1}, piece 2, grade", ["from -15 to 15"]),
    ("radius = 30", "radius = 0", f"{LINE_1}, piece 3, radius", ["found 0"]),
    # Half of HO's gauge of 16.5 mm is 0.325 in.
    ("radius = 30", "radius = 0.3", f"{LINE_1}, piece 3, radius", ["half the gauge, 0.3248 in"]),
    ("radius = 30", "radius = 30000", f"{LINE_1}, piece 3", ["more than 1000000 mm of track in one piece"]),
    ("radius = 30", "length = 9, radius = 30", f"{LINE_1}, piece 3, length", ["a length on a curve"]),
    ("radius = 30, ", "", f"{LINE_1}, piece 3, radius", ["found nothing"]),
    ('"left"', '"up"', f"{LINE_1}, piece 3, turn", ["'up'", '"left" or "right"']),
    ("angle = 90", "angle = 3601", f"{LINE_1}, piece 3, angle", ["from 0.01 to 3600"]),
    ("angle = 90", "angle = 1e-300", f"{LINE_1}, piece 3, angle", ["found 1e-300", "from 0.01 to 3600"]),
    # 30 in times a right angle is 47.1238... in.
    ("easement = 8", "easement = 48", f"{LINE_1}, piece 3, easement", ["too long for its curve", "47.123 in"]),
    ("easement = 8", "easement = -1", f"{LINE_1}, piece 3, easement", ["found -1", "0 or a number from 0.001"]),
    ("easement = 8", "easement = 1e-300", f"{LINE_1}, piece 3, easement", ["0 or a number from 0.001"]),
    ("[{ length = 20 }]", "[]", "line 2 (Gorse Junction to Tarn End), track", ["an empty list"]),
    (
        'to = "Gorse Junction, west"',
        'to = "Skerry Yard, east"',
        "line 1 (Skerry Yard to Skerry Yard), to",
        ["very end"],
    ),
    (
        'to = "Gorse Junction, west"',
        'to = "Gorse Juncton, west"',
        "line 1 (Skerry Yard to Gorse Juncton), to",
        ["did you mean 'Gorse Junction'?"],
    ),
    ('units = "in"', "units = ", "line 4, column 9", ["TOML does not allow"]),
]

CASES = [
    pytest.param(file, *case, id=f"{file}-{case[2]}-{case[1]!r:.30}")
    for file, cases in {
        "cars.csv": CARS,
        "engines.csv": ENGINES,
        "trains.csv": TRAINS,
        "session.toml": SESSION,
        "track.toml": LAYOUT,
    }.items()
    for case in cases
]


@pytest.mark.parametrize(("file", "old", "new", "place", "words"), CASES)
def test_one_slip_is_one_problem_in_its_place(
    spoil: Spoil, file: str, old: str, new: str, place: str, words: list[str]
) -> None:
    problems = spoil(file, old, new)
    found = [problem for problem in problems if problem.file == file and problem.place == place]
    assert len(found) == 1, [str(problem) for problem in problems]
    line = str(found[0])
    assert all(word in line for word in words), line
    assert "\n" not in line
    assert line.isprintable()


@pytest.mark.parametrize(("file", "old", "new", "place", "words"), CASES)
def test_a_slip_does_not_set_off_others_elsewhere(
    spoil: Spoil, file: str, old: str, new: str, place: str, words: list[str]
) -> None:
    problems = spoil(file, old, new)
    # A name that the others go by is the one thing whose loss they may tell of too.
    is_name = place.split(", ")[-1] in ("car", "engine", "name", "route") or "line" in place
    assert is_name or {problem.file for problem in problems} == {file}


def _big(tmp_path: Path, layout: str) -> list[str]:
    path = tmp_path / "layout.toml"
    path.write_text(f'name = "Big"\nscale = "HO"\nunits = "mm"\n{layout}', encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_layout(path)
    return [str(problem) for problem in caught.value.problems]


def _line(number: int, start: str = "", length: float = 500.0) -> str:
    name = start or f"P{number}, a"
    return f'[[line]]\nfrom = "{name}"\nto = "P{number + 1}, b"\ntrack = [{{ length = {length} }}]\n'


def test_a_layout_larger_than_any_is_refused_before_it_is_worked_out(tmp_path: Path) -> None:
    many = "".join(_line(number) for number in range(2001))
    assert _big(tmp_path, many) == [
        "layout.toml: found 2001 lines, expected up to 2000; join lines that lead on from each other"
    ]
    ends = "".join(_line(number, f"Yard, {number}") for number in range(101))
    assert _big(tmp_path, ends) == [
        "layout.toml: found 101 ends of 'Yard', expected up to 100; leave out tracks that no train runs on"
    ]
    long = "".join(_line(number, length=900_000.0) for number in range(3))
    assert _big(tmp_path, long) == [
        "layout.toml: found 2700 m of track, expected up to 2475 m; is the unit of its lengths right?"
    ]


def test_a_key_of_very_many_parts_is_refused_before_it_is_read(tmp_path: Path) -> None:
    assert _big(tmp_path, "a" + ".b" * 2000 + " = 1\n") == [
        "layout.toml, line 4: found a key of more parts than any file needs, expected key = value; correct that line"
    ]


def test_a_very_long_word_is_read_once() -> None:
    """A search that began anew at each of its letters would not end in hours."""
    reading = Reading("layout.toml")
    word = "b." * 15 + "9" * 1_900_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "layout.toml"
        path.write_text(f'name = "{word}"', encoding="utf-8")
        assert read_toml(path, reading) == {"name": word}


ONE_MORE = '[[train]]\nname = "T"\nroute = ["Cove Fiddle", "Upper Fold"]\n'
LONG_WAY = '[[train]]\nname = "Long"\nroute = [' + '"Cove Fiddle", "Upper Fold", ' * 51 + "]\n"


@pytest.mark.parametrize(
    ("more", "said"),
    [(ONE_MORE * 1000, "found 1003 trains, expected up to 1000"), (LONG_WAY, "found 102 stops, expected up to 100")],
)
def test_more_trains_or_stops_than_an_evening_has_are_refused(tmp_path: Path, more: str, said: str) -> None:
    sample = Path(__file__).parents[2] / "sample_sessions" / "sunday_shelf" / "session.toml"
    (tmp_path / "session.toml").write_text(sample.read_text(encoding="utf-8") + more, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_session(tmp_path)
    assert any(said in str(problem) for problem in caught.value.problems)
