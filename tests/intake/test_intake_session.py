"""A session's folder as a whole: what a good one gives, and what is told of one that is not."""

from __future__ import annotations

import datetime
import math
from pathlib import Path

import pytest

import consist
from consist.errors import InputError
from consist.intake import own_standard, read_cars, read_layout, read_session, write_reordered
from consist.intake.toml import minutes_of


def problems_of(folder: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_session(folder)
    return [str(problem) for problem in caught.value.problems]


def test_a_good_session_is_read_whole(folder: Path) -> None:
    session = read_session(folder)
    assert session.title == "Test evening"
    assert [(car.name, car.weight_g if car.weighed else None) for car in session.cars] == [
        ("TST 1", 113.5),
        ("TST 2", None),
    ]
    assert [engine.engine_class for engine in session.engines] == ["mill", "40"]
    (train,) = session.trains
    assert (train.depart, train.arrive) == (600, 640)
    assert [(row.spot, row.car, row.loaded, row.hold) for row in train.rows] == [
        (1, "TST 1", True, None),
        (2, "TST 2", False, "rear"),
    ]
    assert (train.rows[0].joins, train.rows[0].leaves) == ("Skerry Yard", "Gorse Junction")
    assert session.notes == ()


def test_the_layout_is_read_in_millimetres(folder: Path) -> None:
    layout = read_layout(folder / "track.toml")
    assert layout.places["Gorse Junction"].standing_mm == pytest.approx(96 * 25.4)
    assert layout.places["Gorse Junction"].through == frozenset({frozenset(("west", "east"))})
    curve = layout.lines[0].pieces[2]
    assert curve.radius_mm == pytest.approx(762.0)
    assert curve.easement_mm == pytest.approx(203.2)
    assert (curve.turn, curve.grade) == (1, 0.02)
    assert curve.angle == pytest.approx(math.pi / 2)
    assert layout.lines[0].start == ("Skerry Yard", "east")


def test_the_path_of_session_toml_will_do(folder: Path) -> None:
    assert read_session(folder / "session.toml") == read_session(folder)


def test_problems_of_every_file_are_told_at_once(folder: Path) -> None:
    for name, old, new in (
        ("session.toml", "title", "titel"),
        ("track.toml", '"in"', '"cm"'),
        ("cars.csv", "113.5", "x"),
        ("engines.csv", "400,400", "y,z"),
        ("trains.csv", "yes", "perhaps"),
    ):
        text = (folder / name).read_text()
        (folder / name).write_text(text.replace(old, new))
    files = [line.split(",")[0] for line in problems_of(folder)]
    assert files == ["session.toml", "track.toml", "cars.csv", "engines.csv", "engines.csv", "trains.csv"]


def test_a_table_that_cannot_be_read_sets_off_no_unknown_names(folder: Path) -> None:
    (folder / "cars.csv").write_bytes(b"\x00\x01\x02")
    assert problems_of(folder) == [
        "cars.csv: found bytes that are not text, expected a CSV file; save the table again as CSV (UTF-8)"
    ]


def test_a_broken_session_file_still_has_the_tables_read(folder: Path) -> None:
    (folder / "session.toml").write_text("title = \n")
    (folder / "cars.csv").write_text("car,weight\nA,3\n")
    lines = problems_of(folder)
    assert any(line.startswith("session.toml, line 1, column 9: ") for line in lines)
    assert any(line.startswith("cars.csv, header, weight: ") for line in lines)


@pytest.mark.parametrize(
    ("spoilt", "line"),
    [
        ("missing", "the folder is missing; check the name, or make a session with 'consist new'"),
        ("file", "found a file, expected a session's folder"),
        ("empty", "the folder holds no session.toml; make a session with 'consist new'"),
    ],
)
def test_a_folder_that_is_no_session(tmp_path: Path, spoilt: str, line: str) -> None:
    path = tmp_path / "evening"
    if spoilt == "file":
        path.write_text("x")
    elif spoilt == "empty":
        path.mkdir()
    (told,) = problems_of(path)
    assert str(path) in told
    assert line in told


@pytest.mark.parametrize(
    ("written", "line"),
    [
        ("nowhere.toml", "nowhere.toml: the file is missing; check the name and the folder"),
        (".", ".: found a folder, expected a file; name the file itself"),
        (r"a\u0000b", "layout: found"),
        ("a" * 400, "cannot be read"),
    ],
)
def test_a_layout_that_is_not_there(folder: Path, written: str, line: str) -> None:
    text = (folder / "session.toml").read_text()
    (folder / "session.toml").write_text(text.replace("track.toml", written))
    (told,) = problems_of(folder)
    assert line in told


def test_toml_that_is_not_utf8_names_its_line(folder: Path) -> None:
    (folder / "track.toml").write_bytes(b'name = "ok"\nscale = "H\xd6"\n')
    (told,) = problems_of(folder)
    assert told.startswith("track.toml, line 2: ")
    assert "save it as UTF-8" in told


def test_toml_with_a_byte_order_mark_and_crlf_is_read(folder: Path) -> None:
    text = (folder / "session.toml").read_text().replace("\n", "\r\n")
    (folder / "session.toml").write_bytes(b"\xef\xbb\xbf" + text.encode())
    assert read_session(folder).title == "Test evening"


def test_tables_may_be_absent_before_there_are_trains(folder: Path) -> None:
    for name in ("cars.csv", "engines.csv", "trains.csv"):
        (folder / name).unlink()
    text = (folder / "session.toml").read_text()
    (folder / "session.toml").write_text(text[: text.index("[[train]]")])
    session = read_session(folder)
    assert (session.cars, session.engines, session.trains) == ((), (), ())


def test_a_table_kept_twice_is_a_problem(folder: Path) -> None:
    (folder / "cars.xlsx").write_bytes((folder / "cars.csv").read_bytes())
    (told,) = problems_of(folder)
    assert "cars.csv and cars.xlsx, expected one of them" in told


@pytest.mark.parametrize("name", ["Trains.csv", "trains.CSV", "TRAINS.csv"])
def test_a_table_is_read_whatever_the_case_of_its_name(folder: Path, name: str) -> None:
    expected = read_session(folder).trains
    (folder / "trains.csv").rename(folder / "aside")
    (folder / "aside").rename(folder / name)
    assert read_session(folder).trains == expected
    write_reordered(folder, {}, folder / "out.csv")
    assert (folder / "out.csv").read_bytes() == (folder / name).read_bytes()


@pytest.mark.parametrize("ending", [".fods", ".xlsb", ".Numbers", ".tsv"])
@pytest.mark.parametrize("table", ["cars", "engines", "guests", "trains"])
def test_a_table_of_a_kind_that_is_not_read_is_named_with_the_cure(folder: Path, table: str, ending: str) -> None:
    (folder / f"{table}.csv").unlink(missing_ok=True)
    (folder / f"{table}{ending}").write_bytes(b"x")
    told = [line for line in problems_of(folder) if line.startswith(f"{table}{ending}: ")]
    assert told == [
        f"{table}{ending}: found a table of a kind that is not read, expected {table}.csv or {table}.xlsx; "
        "save it as one of these"
    ]


def test_a_copy_of_another_kind_beside_a_table_is_left_alone(folder: Path) -> None:
    (folder / "cars.ods").write_bytes(b"x")
    assert read_session(folder).notes == ()


def test_guests_ride_and_are_marked(folder: Path) -> None:
    (folder / "guests.csv").write_text("car,body_length_in,width_mm,wheels_in_gauge\nVIS 1,6,35,yes\n")
    with (folder / "trains.csv").open("a") as trains:
        trains.write("Milk,3,VIS 1,no,,,,\n")
    session = read_session(folder)
    guest = session.cars[-1]
    assert (guest.name, guest.guest) == ("VIS 1", True)
    assert guest.body_length_mm == pytest.approx(152.4)
    assert session.notes == ()


def test_a_guest_may_not_have_a_house_cars_name(folder: Path) -> None:
    (folder / "guests.csv").write_text("car,body_length_mm\nTST 1,150\n")
    (told,) = problems_of(folder)
    assert told.startswith("guests.csv, row 2, car: found 'TST 1', which row 2 of cars.csv names already")


def test_a_duplicate_car_names_both_rows(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("# ours\n\ncar,body_length_mm\nA,150\nB,150\nA,151\n")
    with pytest.raises(InputError) as caught:
        read_cars(path)
    (problem,) = caught.value.problems
    assert problem.place == "row 6, car"
    assert "row 4" in problem.text


def test_a_car_no_longer_than_its_couplers_is_no_car(folder: Path) -> None:
    """In HO couplers add 12.7 mm to a body: a car of 12.7 mm over them would have none, and a target of nothing."""
    with (folder / "cars.csv").open("a") as cars:
        cars.write("TST 3,tub,,,12.7,,,\nTST 4,tub,,4,10,,,\nTST 5,tub,,,12.8,,,\n")
    (folder / "guests.csv").write_text("car,coupled_length_in\nVIS 1,0.4\n")
    first, guest = problems_of(folder)
    assert first.startswith("cars.csv, row 4, coupled_length: found a coupled length of 12.7 mm, expected more than")
    assert guest.startswith("guests.csv, row 2, coupled_length: found a coupled length of 10.16 mm")
    assert "12.7 mm that its couplers alone take in scale HO" in guest
    with pytest.raises(InputError, match=r"row 4, coupled_length: .* more than the 23 mm"):
        consist.plan_bench(folder / "cars.csv", scale="O")


def test_two_trains_of_one_name(folder: Path) -> None:
    with (folder / "session.toml").open("a") as session:
        session.write('[[train]]\nname = "Milk"\nroute = ["Skerry Yard", "Tarn End"]\n')
    (told,) = problems_of(folder)
    assert told.startswith("session.toml, train 2, name: found 'Milk', the name of train 1 already")


def test_an_unknown_column_is_a_note(folder: Path) -> None:
    text = (folder / "cars.csv").read_text()
    (folder / "cars.csv").write_text(text.replace("kind", "knd"))
    (note,) = read_session(folder).notes
    assert note == "cars.csv has a column 'knd' that consist does not know; it was passed over; did you mean 'kind'?"


def test_a_percentage_cell_is_noted(tmp_path: Path, folder: Path) -> None:
    text = (folder / "cars.csv").read_text()
    (folder / "cars.csv").write_text(text.replace("1.4\n", "0.014\n"))
    (note,) = read_session(folder).notes
    assert "row 2" in note
    assert "write 1.4 for 1.4 %" in note


def test_a_through_end_that_no_line_uses_is_a_note(folder: Path) -> None:
    text = (folder / "track.toml").read_text()
    (folder / "track.toml").write_text(text.replace('["west", "east"]', '["west", "easst"], ["west", "east"]'))
    (note,) = read_session(folder).notes
    assert "'easst' of 'Gorse Junction'" in note
    assert "did you mean 'east'?" in note


def test_numbered_places_are_not_taken_for_slips(folder: Path) -> None:
    text = (folder / "track.toml").read_text()
    with (folder / "track.toml").open("w") as layout:
        layout.write(text.replace("[[line]]", '[place."Staging 1"]\n[[line]]', 1))
        layout.write('[[line]]\nfrom = "Staging 1, a"\nto = "Staging 2, a"\ntrack = [{ length = 5 }]\n')
    assert read_layout(folder / "track.toml").lines[-1].finish == ("Staging 2", "a")


SPELLINGS = {
    "ho": "HO", "H0": "HO", "h0n3": "HOn3", "hon3": "HOn3", "n": "N", "00": "OO", "O": "O", "o": "O", "0": "0",
    "HOe": "H0e", "h0e": "H0e", "Om": "0m", "0n30": "On30", "HOn2 1/2": "HOn30", "On2.5": "On30", "I": "1", "ii": "2",
    "1m": "Im", "british n": "British N", "N 1:148": "British N",
}  # fmt: skip


@pytest.mark.parametrize(("written", "name"), SPELLINGS.items())
def test_scales_are_known_by_either_spelling(folder: Path, written: str, name: str) -> None:
    text = (folder / "track.toml").read_text()
    (folder / "track.toml").write_text(text.replace('"HO"', f'"{written}"'))
    assert read_layout(folder / "track.toml").scale.name == name


def test_a_scale_of_ones_own(folder: Path) -> None:
    text = (folder / "track.toml").read_text()
    table = "{ ratio = 55.5, gauge_mm = 20, coupler_height_mm = 15 }"
    (folder / "track.toml").write_text(text.replace('"HO"', table))
    scale = read_layout(folder / "track.toml").scale
    assert (scale.name, scale.ratio, scale.gauge_mm, scale.coupler_height_mm) == ("1:55.5", 55.5, 20.0, 15.0)


@pytest.mark.parametrize(
    ("value", "minutes"),
    [("0:00", 0), ("9:05", 545), ("23:59", 1439), (datetime.time(10, 0), 600)],
)
def test_times(value: object, minutes: int) -> None:
    assert minutes_of(value) == minutes


@pytest.mark.parametrize("value", ["24:00", "10:60", "1000", "10:5", "", "١٠:٠٠", 10, True, datetime.time(10, 0, 30)])
def test_what_is_no_time(value: object) -> None:
    assert minutes_of(value) is None


def test_a_train_may_run_past_midnight(folder: Path) -> None:
    text = (folder / "session.toml").read_text()
    (folder / "session.toml").write_text(text.replace('"10:40"', "09:30:00"))
    assert read_session(folder).trains[0].arrive == 24 * 60 + 570


def test_a_stop_met_twice_is_joined_first_and_left_last(folder: Path) -> None:
    with (folder / "track.toml").open("a") as layout:
        layout.write('[[line]]\nfrom = "Gorse Junction, east"\nto = "Skerry Yard, west"\ntrack = [{ length = 5 }]\n')
    text = (folder / "session.toml").read_text()
    (folder / "session.toml").write_text(text.replace('"Tarn End"]', '"Skerry Yard"]'))
    trains = (folder / "trains.csv").read_text()
    (folder / "trains.csv").write_text(trains.replace("Skerry Yard,Gorse Junction", "Skerry Yard,Skerry Yard"))
    assert read_session(folder).trains[0].rows[0].leaves == "Skerry Yard"


def test_a_car_held_with_another(folder: Path) -> None:
    trains = (folder / "trains.csv").read_text()
    (folder / "trains.csv").write_text(trains.replace(",rear,", ",With TST 1,"))
    assert read_session(folder).trains[0].rows[1].hold == "with TST 1"


@pytest.mark.parametrize(
    "written",
    [
        "base_oz = 1.0, per_in_oz = 0.5",
        "base_g = 28.349523125, per_in_oz = 0.5",
        "base_oz = 1, per_mm_g = 0.55806147883858",
        ' { name = "mine", base_oz = 1, per_in_oz = 0.5 }',
    ],
)
def test_an_own_standard_is_read_in_either_unit(written: str) -> None:
    """An ounce and half an ounce an inch: 4 in of body are 3 oz, which is 85.048569375 g."""
    own = own_standard(written, "--standard")
    assert own.base_g + own.per_mm_g * 101.6 == pytest.approx(85.048569375)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("base_oz = 1, base_g = 28, per_in_oz = 0.5", "--standard, base_g: found both base_g and base_oz"),
        ("base_oz = 1", "--standard, per_mm_g: found neither per_mm_g nor per_in_oz"),
        ("base_oz = 1, per_in_oz = 50", "--standard, per_in_oz: found 50, expected 0 or a number from 0.001 to 17"),
        ("base_oz = 1, per_foot_oz = 5", "--standard, per_foot_oz: found a key that consist does not know"),
        ("base_oz = ", "--standard: found 'base_oz = ', expected a standard"),
        ("base_oz = 0, per_in_oz = 0", "--standard: found 0 for every car and 0 for its length"),
    ],
)
def test_an_own_standard_that_is_none_is_told_in_a_line(written: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        own_standard(written, "--standard")
    assert str(caught.value).startswith(said)
