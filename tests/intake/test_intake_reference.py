"""The declarations of columns and keys: each is read as it says, and listed once with what a user asks of it."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from consist.errors import InputError
from consist.house import GuestPractice, House
from consist.intake import declarations, new_session, read_session
from consist.intake.fields import declared
from consist.stock import ASSUMED_GRIP

__all__: list[str] = []

TABLES = ("cars.csv", "engines.csv")


def listed(file: str, table: str = "") -> dict[tuple[str, ...], tuple[str, ...]]:
    """The names of a table's declarations with their units."""
    return {tuple(each.columns): each.units for where, part, each in declarations() if (where, part) == (file, table)}


def test_every_part_of_every_file_is_listed() -> None:
    assert listed("engines.csv")["pull_g", "pull_oz"] == ("g", "oz")
    assert listed("guests.csv").keys() - listed("cars.csv").keys() == {
        ("wheels_in_gauge",),
        ("coupler_height_ok",),
        ("height_mm", "height_in"),
        ("width_mm", "width_in"),
    }
    assert listed("layout.toml", "track")["radius",] == ("in", "mm")
    assert set(listed("session.toml", "[[train]]")) == {
        (key,) for key in ("name", "route", "engines", "helpers", "depart", "arrive")
    }
    assert ("on_hand",) in listed("pieces.csv")


def test_each_has_help_and_names_of_its_own() -> None:
    for _, _, each in declarations():
        assert each.help.strip(), each
        assert "$" not in each.help
    places = [(file, part, name) for file, part, each in declarations() for name in each.columns]
    assert len(places) == len(set(places))


def test_ranges_and_defaults_are_told() -> None:
    told = {(file, part, name): each for file, part, each in declarations() for name in each.columns}
    assert told["session.toml", "[house]", "care_margin"].default_words == "1.5"
    assert told["session.toml", "[house]", "pull_reserve"].range_words == "a number from 0 and under 1"
    assert told["session.toml", "[house]", "light_moves"].default_words == "false"
    assert told["cars.csv", "", "coupler_mount"].range_words == "body or truck"
    assert told["trains.csv", "", "spot"].range_words == "a whole number from 1"
    assert told["engines.csv", "", "grip"].default_words == f"{ASSUMED_GRIP:g}"
    assert told["cars.csv", "", "car"].default_words == ""


def test_every_figure_of_the_house_is_a_key_and_every_key_a_figure() -> None:
    for practice, table in ((House, "house"), (GuestPractice, "guest_practice")):
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
