"""Numbers as people write them, cells that say nothing, and cars named by their number alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from consist.errors import InputError
from consist.intake import read_cars, read_session, record_weights, write_reordered

OUNCE = 28.349523125
INCH = 25.4


@pytest.mark.parametrize(
    ("column", "written", "value"),
    [
        ("weight_oz", "3 3/4", 3.75 * OUNCE),
        ("weight_oz", "4 1/4 oz", 4.25 * OUNCE),
        ("weight_oz", "4¼", 4.25 * OUNCE),
        ("weight_oz", "120 g", 120.0),
        ("weight_g", "4oz.", 4 * OUNCE),
        ("weight_g", "0.12 kg", 120.0),
        ("body_length_in", "6-7/8", 6.875 * INCH),
        ("body_length_in", '6 7/8"', 6.875 * INCH),
        ("body_length_in", "152 mm", 152.0),
        ("body_length_mm", '6"', 6 * INCH),
        ("body_length_mm", "15.2 cm", 152.0),
        ("max_swing_deg", "12 °", 12.0),
    ],
)
def test_a_cell_is_read_as_people_write_it(tmp_path: Path, column: str, written: str, value: float) -> None:
    length = "" if column.startswith("body") else ",body_length_mm"
    cell = written.replace('"', '""')
    (tmp_path / "cars.csv").write_text(f'car,{column}{length}\nA 1,"{cell}"{",150" if length else ""}\n', "utf-8")
    (row,) = read_cars(tmp_path / "cars.csv")
    stored = {"weight": "weight_g", "body": "body_length_mm", "max": "max_swing_deg"}[column.split("_")[0]]
    assert row.values[stored] == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize("written", ["4 mm", "1/0", "3//4", "4 1/4 1/4", "oz", "4 stone", "1,500", "3-4"])
def test_what_is_no_weight_is_not_read(tmp_path: Path, written: str) -> None:
    (tmp_path / "cars.csv").write_text(f'car,weight_oz,body_length_mm\nA 1,"{written}",150\n')
    with pytest.raises(InputError, match="row 2, weight_oz"):
        read_cars(tmp_path / "cars.csv")


def test_nothing_is_nothing_with_a_note(folder: Path) -> None:
    cars = (folder / "cars.csv").read_text().replace("113.5", "n/a").replace("TST 2,tank car,,", "TST 2,tank car,?,")
    (folder / "cars.csv").write_text(cars)
    session = read_session(folder)
    assert [car.weighed for car in session.cars] == [False, False]
    assert session.notes == (
        "cars.csv has nothing to read in row 2, weight_g ('n/a') and 1 more; such cells were taken as empty",
    )


def test_a_car_by_its_number_alone(folder: Path) -> None:
    expected = read_session(folder).trains
    trains = (folder / "trains.csv").read_text().replace("TST 2", "2").replace("1,TST 1", "1,tst-1")
    (folder / "trains.csv").write_text(trains.replace("rear", "with 1"))
    session = read_session(folder)
    rows = session.trains[0].rows
    assert [row.car for row in rows] == [row.car for row in expected[0].rows] == ["TST 1", "TST 2"]
    assert rows[1].hold == "with TST 1"
    write_reordered(folder, {"Milk": ["TST 2", "TST 1"]}, folder / "new.csv")
    assert "Milk,1,2," in (folder / "new.csv").read_text()


def test_one_car_in_two_spellings_is_found_twice(folder: Path) -> None:
    with (folder / "trains.csv").open("a") as trains:
        trains.write("Milk,3,tst2,no,,,,\n")
    with pytest.raises(InputError, match="'TST 2' a second time in 'Milk'"):
        read_session(folder)


def test_a_number_that_two_cars_have_is_asked_about(folder: Path) -> None:
    with (folder / "cars.csv").open("a") as cars:
        cars.write("GRN 2,,,150,,,,\n")
    (folder / "trains.csv").write_text((folder / "trains.csv").read_text().replace("TST 2", "2"))
    with pytest.raises(InputError, match="found '2', expected a car"):
        read_session(folder)


def test_a_new_weight_for_a_car_by_its_number(folder: Path) -> None:
    (recorded,) = record_weights(folder, {"1": 120.0})
    assert [change.car for change in recorded.changes] == ["TST 1"]
    assert "TST 1,boxcar,120," in (folder / "cars.csv").read_text()
    with pytest.raises(InputError, match="'TST 1' twice"):
        record_weights(folder, {"1": 120.0, "tst-1": 130.0})
