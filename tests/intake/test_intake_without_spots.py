"""Trains whose cars have no spots stand in the order of their rows, are written so, and mixed ones are told."""

from __future__ import annotations

from pathlib import Path

import pytest

from consist.errors import InputError
from consist.intake import read_session, write_reordered

__all__: list[str] = []

CARS = "car,kind,weight_g,coupled_length_mm\nTST 1,boxcar,100,150\nTST 2,boxcar,100,150\nTST 3,boxcar,100,150\n"


@pytest.fixture
def session(folder: Path) -> Path:
    (folder / "cars.csv").write_text(CARS)
    return folder


def standing(session: Path) -> list[tuple[int, str]]:
    (milk, *_) = read_session(session).trains
    return [(row.spot, row.car) for row in milk.rows]


@pytest.mark.parametrize(
    "table",
    [
        "train,car\nMilk,TST 2\nMilk,TST 1\nMilk,TST 3\n",
        "train,spot,car\nMilk,,TST 2\nMilk,,TST 1\nMilk,,TST 3\n",
    ],
)
def test_rows_without_spots_stand_as_they_are_written(session: Path, table: str) -> None:
    (session / "trains.csv").write_text(table)
    assert standing(session) == [(1, "TST 2"), (2, "TST 1"), (3, "TST 3")]
    write_reordered(session, {"Milk": ("TST 3", "TST 2", "TST 1")}, session / "trains.csv")
    assert standing(session) == [(1, "TST 3"), (2, "TST 2"), (3, "TST 1")]
    assert (session / "trains.csv").read_text().splitlines()[0] == table.splitlines()[0]
    write_reordered(session, {"Milk": ("TST 1", "TST 2", "TST 3")}, session / "trains.xlsx")
    (session / "trains.csv").unlink()
    assert standing(session) == [(1, "TST 1"), (2, "TST 2"), (3, "TST 3")]


def test_a_train_of_which_some_rows_have_a_spot_is_told(session: Path) -> None:
    (session / "trains.csv").write_text("train,spot,car\nMilk,1,TST 2\nMilk,,TST 1\nMilk,3,TST 3\n")
    with pytest.raises(InputError) as raised:
        read_session(session)
    assert str(raised.value) == (
        "trains.csv, row 3, spot: found nothing, expected a whole number from 1, as other rows of the train have; "
        "number the cars from the head-end power back, or clear all of them"
    )
