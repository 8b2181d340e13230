"""A small good session that tests spoil one thing at a time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from consist.errors import InputError, Problem
from consist.intake import read_session

SESSION = """
title = "Test evening"
layout = "track.toml"

[house]
care_margin = 1.5

[[train]]
name = "Milk"
route = ["Skerry Yard", "Gorse Junction", "Tarn End"]
engines = ["31"]
helpers = ["40"]
depart = "10:00"
arrive = "10:40"
"""

LAYOUT = """
name = "Test track"
scale = "HO"
units = "in"

[place."Gorse Junction"]
through = [["west", "east"]]
standing = 96

[[line]]
from = "Skerry Yard, east"
to = "Gorse Junction, west"
track = [
  { length = 48 },
  { length = 36, grade = 1.0 },
  { radius = 30, turn = "left", angle = 90, grade = 2.0, easement = 8 },
]

[[line]]
from = "Gorse Junction, east"
to = "Tarn End, west"
track = [{ length = 20 }]
"""

CARS = """car,kind,weight_g,body_length_mm,coupled_length_mm,truck_centers_mm,coupler_mount,rolls_at_percent
TST 1,boxcar,113.5,150,163,110,body,1.4
TST 2,tank car,,150,,,,
"""

ENGINES = """engine,class,weight_g,drivers_weight_g,pull_g,grip,coupled_length_mm,home
31,mill,400,400,90,,200,Skerry Yard
40,,380,,,0.2,,
"""

TRAINS = """train,spot,car,loaded,block,hold,joins,leaves
Milk,2,TST 2,no,,rear,,
Milk,1,TST 1,yes,A,,Skerry Yard,Gorse Junction
"""

GOOD = {
    "session.toml": SESSION,
    "track.toml": LAYOUT,
    "cars.csv": CARS,
    "engines.csv": ENGINES,
    "trains.csv": TRAINS,
}

Spoil = Callable[[str, str, str], tuple[Problem, ...]]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The good session, written out."""
    for name, text in GOOD.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


@pytest.fixture
def spoil(folder: Path) -> Spoil:
    """Replace a piece of text that stands once in one of the good files, and give the problems of the session."""

    def spoiled(name: str, old: str, new: str) -> tuple[Problem, ...]:
        assert GOOD[name].count(old) == 1, f"{old!r} does not stand once in {name}"
        (folder / name).write_text(GOOD[name].replace(old, new), encoding="utf-8")
        with pytest.raises(InputError) as caught:
            read_session(folder)
        return caught.value.problems

    return spoiled


@pytest.fixture
def tables(tmp_path: Path) -> Path:
    """A folder with a table of six cars and one of six trains."""
    cars = "".join(f"T {number},10,150\n" for number in range(6))
    (tmp_path / "cars.csv").write_text(f"car,weight_g,body_length_mm\n{cars}")
    rows = "".join(f"A {number},1,X\nA {number},2,Y\n" for number in range(6))
    (tmp_path / "trains.csv").write_text(f"train,spot,car\n{rows}")
    return tmp_path
