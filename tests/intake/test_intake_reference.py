"""The declarations of columns and keys: each is read as it says, and declared once with what a user asks of it."""

from __future__ import annotations

import tomllib
from dataclasses import fields
from importlib.resources import files
from pathlib import Path

import pytest

from consist.errors import InputError
from consist.house import GuestPractice, House, Spread
from consist.intake import new_session, read_session
from consist.intake.fields import declared
from consist.stock import ASSUMED_GRIP

__all__: list[str] = []

TABLES = ("cars.csv", "engines.csv")


PARTS = (
    ("session",),
    ("maps",),
    ("map",),
    ("house",),
    ("own_standard",),
    ("guest_practice",),
    ("spread",),
    ("train",),
    ("stop",),
    ("layout",),
    ("known_places",),
    ("hardest",),
    ("own_scale",),
    ("place", "clearances"),
    ("line", "clearances"),
    ("piece",),
    ("cars", "guests"),
    ("engines",),
    ("trains",),
    ("pieces",),
)
"""The tables that declare each file or part of one."""


def names(*tables: str) -> list[tuple[str, ...]]:
    """The names of a part's declarations."""
    return [tuple(each.columns) for each in declared(*tables)]


def test_no_table_is_left_out_here() -> None:
    known = tomllib.loads((files("consist.intake") / "fields.toml").read_text(encoding="utf-8"))
    assert {table for part in PARTS for table in part} == known.keys() - {"checks"}


def test_a_column_has_a_name_for_each_of_its_units() -> None:
    assert ("pull_g", "pull_oz") in names("engines")
    assert names("guests") == [
        ("wheels_in_gauge",),
        ("coupler_height_ok",),
        ("height_mm", "height_in"),
        ("width_mm", "width_in"),
    ]
    assert ("radius",) in names("piece")
    assert names("train") == [(key,) for key in ("name", "route", "engines", "helpers", "depart", "arrive")]
    assert ("on_hand",) in names("pieces")


@pytest.mark.parametrize("tables", PARTS)
def test_each_has_help_and_names_of_its_own(tables: tuple[str, ...]) -> None:
    for each in declared(*tables):
        assert each.help.strip(), each
        assert "$" not in each.help
    known = [name for columns in names(*tables) for name in columns]
    assert len(known) == len(set(known))


def test_ranges_and_defaults_are_told() -> None:
    told = {(table, name): each for (table, *_) in PARTS for each in declared(table) for name in each.columns}
    assert told["house", "care_margin"].default_words == "1.5"
    assert told["house", "pull_reserve"].range_words == "a number from 0 and under 1"
    assert told["house", "light_moves"].default_words == "false"
    assert told["cars", "coupler_mount"].range_words == "body or truck"
    assert told["trains", "spot"].range_words == "a whole number from 1"
    assert told["engines", "grip"].default_words == f"{ASSUMED_GRIP:g}"
    assert told["cars", "car"].default_words == ""


def test_every_figure_of_the_house_is_a_key_and_every_key_a_figure() -> None:
    for practice, table in ((House, "house"), (GuestPractice, "guest_practice"), (Spread, "spread")):
        assert [each.name for each in fields(practice)] == [each.name for each in declared(table)]


@pytest.mark.parametrize("file", TABLES)
def test_each_number_is_read_in_each_of_its_units_and_refused_past_its_bounds(tmp_path: Path, file: str) -> None:
    folder = tmp_path / "evening"
    new_session(folder, "HO")
    written = (folder / file).read_text(encoding="utf-8")
    rows = [line for line in written.splitlines() if not line.startswith("#")]
    for each in declared(file.removesuffix(".csv")):
        for column in each.columns if each.is_number else ():
            others = [name for name in rows[0].split(",") if name not in each.columns]
            for value in (each.bounds.high * 1.01, each.bounds.low - 1e-6, "x"):
                cells = dict(zip(rows[0].split(","), rows[1].split(","), strict=True)) | {column: str(value)}
                text = ",".join([*others, column]) + "\n" + ",".join(cells[name] for name in (*others, column)) + "\n"
                (folder / file).write_text(text, encoding="utf-8")
                with pytest.raises(InputError) as caught:
                    read_session(folder)
                told = [problem.text for problem in caught.value.problems if problem.place == f"row 2, {column}"]
                assert len(told) == 1, (column, value)
                assert each.bounds.words in told[0] or "expected a number" in told[0]
