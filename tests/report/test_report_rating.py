"""`consist rating` from outside: its table, the CSV it writes, and what it refuses."""

from __future__ import annotations

import csv
import json
import os
import re
from pathlib import Path

import pytest
from pypdf import PdfReader
from rich.cells import cell_len
from typer.testing import CliRunner, Result

import consist
from consist.cli import app

__all__: list[str] = []

ROOT = Path(consist.__file__).parents[1]
HILL = ROOT / "layouts/nettlefoot_hill.toml"
ENGINES = ROOT / "sample_sessions/club_night/engines.csv"

LAYOUT = """
name = "Trial [red] Hill"
scale = "HO"
units = "mm"
[[line]]
from = "Low Yard, out"
to = "Hill Top, in"
track = [{ length = 1000 }, { length = 1000, grade = 2.0 }]
[[line]]
from = "=Dock, out"
to = "@Mill, in"
track = [{ length = 1000, grade = -3.0 }]
[[line]]
from = "Round, out"
to = "Round, in"
track = [{ length = 1000, grade = 1.0 }, { length = 1000, grade = -1.0 }]
"""
POOL = "engine,class,weight_g,pull_g\n31,+Heavy,500,100\n32,+Heavy,500,120\n11,-Pug,100,20\n"


def rating(*args: str | Path) -> Result:
    """Run the command."""
    return CliRunner().invoke(app, ["rating", *map(str, args)])


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    """A layout and a table of engines whose names look like formulas."""
    layout, engines = tmp_path / "layout.toml", tmp_path / "engines.csv"
    layout.write_text(LAYOUT, encoding="utf-8")
    engines.write_text(POOL, encoding="utf-8")
    return layout, engines


def rows_of(path: Path) -> list[dict[str, str]]:
    """The rows of a CSV table by column."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def row_of(text: str, heading: str, engine_class: str) -> list[str]:
    """A class's row below a line's heading."""
    lines = text.split("\n")
    below = lines[lines.index(heading) + 1 :]
    return next(line.split() for line in below if line.split()[:1] == [engine_class])


@pytest.mark.parametrize("units", ["oz", "g"])
def test_every_line_both_ways_with_every_class_in_80_columns(units: str) -> None:
    ran = rating(HILL, ENGINES, "--units", units)
    assert (ran.exit_code, ran.stderr) == (0, "")
    lines = ran.stdout.split("\n")
    assert max(map(cell_len, lines)) <= 80
    assert "1 Westing to Tarnwick Yard" in lines
    assert "1 Tarnwick Yard to Westing" in lines
    classes = [line.split()[0] for line in lines if line.startswith("  ") and " % " in line[10:22]]
    both_ways = sum(line.endswith(", and back") for line in lines)
    assert both_ways > 0
    assert classes == ["Branch", "Express", "Heavy", "Switcher"] * (16 - both_ways)  # eight lines, two ways
    told = json.loads(rating(HILL, ENGINES, "--json").stdout)["ratings"]
    assert len(told) == 4 * 16


def test_the_card_has_its_date_and_the_same_bytes_each_time(tmp_path: Path) -> None:
    cards = [tmp_path / name for name in ("one.pdf", "other.pdf", "later.pdf")]
    for card, date in zip(cards, ("2026-11-26", "2026-11-26", "2026-12-24"), strict=True):
        assert rating(HILL, ENGINES, "--pdf", card, "--date", date, "--paper", "letter").exit_code == 0
    first, again, later = (card.read_bytes() for card in cards)
    assert first == again != later
    (page,) = PdfReader(cards[0]).pages
    printed = " ".join(page.extract_text().split())
    assert "As of 2026-11-26." in printed
    assert "Cinder Junction to Nettlefoot, and back" in printed
    assert "Cars are taken to roll at 1.4 %" in printed.replace("\u00a0", " ")


def test_figures_are_those_worked_out_by_hand(files: tuple[Path, Path]) -> None:
    # the weaker of two: (100·0.85 − 500·0.02) / (0.014 + 0.02) = 2205.9 g on the climb of 2 %;
    # a car of 5.5 in weighs 1 + 0.5·5.5 = 3.75 oz = 106.31 g (NMRA RP-20.1), so 20, 41 and 62 cars
    ran = rating(*files)
    row = row_of(ran.stdout, "1 Low Yard to Hill Top", "+Heavy")
    assert row == ["+Heavy", "2.0", "%", "2", "2206", "20", "4412", "41", "6618", "62"]
    # back, the level piece rules: 85 / 0.014 = 6071 g
    assert row_of(ran.stdout, "1 Hill Top to Low Yard", "+Heavy")[:5] == ["+Heavy", "0.0", "%", "1", "6071"]
    assert "Engines of +Heavy are not all alike; the weakest is rated." in ran.stdout
    assert "Trial [red] Hill" in ran.stdout


def test_where_nothing_holds_a_train_back_words_say_so(files: tuple[Path, Path], tmp_path: Path) -> None:
    # down 3 % a car that rolls at 1.4 % needs no pull
    ran = rating(*files, "--csv", tmp_path / "out.csv")
    row = row_of(ran.stdout, "2 =Dock to @Mill", "-Pug")
    assert row[4:] == ["no", "limit", "any"] * 3
    found = next(row for row in rows_of(tmp_path / "out.csv") if row["from"] == "'=Dock" and row["class"] == "'-Pug")
    assert (found["weight_1_engine_g"], found["cars_3_engines"]) == ("no limit", "no limit")


def test_a_line_back_to_its_own_place_tells_its_ends(files: tuple[Path, Path]) -> None:
    lines = rating(*files).stdout.split("\n")
    assert "3 Round, out to Round, in" in lines
    assert "3 Round, in to Round, out" in lines


def test_the_csv_has_units_in_its_columns_and_no_formula(files: tuple[Path, Path], tmp_path: Path) -> None:
    target = tmp_path / "ratings.csv"
    ran = rating(*files, "--csv", target, "--units", "oz")
    assert ran.exit_code == 0
    assert f"Written to {target}." in ran.stdout
    rows = rows_of(target)
    assert len(rows) == 3 * 2 * 2  # lines, ways, classes
    assert list(rows[0]) == [
        "line", "from", "to", "class", "ruling_percent", "ruling_piece", "weight_1_engine_oz", "weight_2_engines_oz",
        "weight_3_engines_oz", "cars_1_engine", "cars_2_engines", "cars_3_engines",
    ]  # fmt: skip
    for row in rows:
        for column in ("from", "to", "class"):
            assert row[column][0] not in "=+-@"
    heavy = next(row for row in rows if row["class"] == "'+Heavy")
    assert heavy["from"] == "Low Yard"
    assert float(heavy["weight_1_engine_oz"]) == pytest.approx(2205.88 / 28.349523, abs=0.001)
    again = target.read_bytes()
    rating(*files, "--csv", target, "--units", "oz")
    assert target.read_bytes() == again


def test_cars_are_counted_by_a_standard_of_ones_own_where_no_other_has_figures(
    files: tuple[Path, Path], tmp_path: Path
) -> None:
    """1:29 is near no scale that has figures: only one's own standard is left to rate by."""
    table = "{ ratio = 29, gauge_mm = 45, coupler_height_mm = 29.8 }"
    odd = tmp_path / "odd.toml"
    odd.write_text(re.sub('scale = "[^"]+"', f"scale = {table}", files[0].read_text()))
    refused = rating(odd, files[1])
    assert (refused.exit_code, refused.stderr.count("\n")) == (2, 1)
    assert "no figures for scale 1:29, nor has another; give your own" in refused.stderr
    assert rating(odd, files[1], "--standard", "base_oz = 5, per_in_oz = 1").exit_code == 0
    wrong = rating(odd, files[1], "--standard", "base_oz = 5")
    assert wrong.stderr.startswith("--standard, per_mm_g: found neither per_mm_g nor per_in_oz")


def test_the_standard_named_is_the_one_cars_are_counted_by(files: tuple[Path, Path]) -> None:
    ran = rating(*files, "--standard", "nem-302")
    assert ran.exit_code == 0
    assert "the standard weight by NEM 302" in " ".join(ran.stdout.split())
    assert row_of(ran.stdout, "1 Low Yard to Hill Top", "+Heavy")[5] != "20"


def test_bad_files_are_a_line_a_problem_of_both(files: tuple[Path, Path]) -> None:
    layout, engines = files
    layout.write_text(LAYOUT.replace("grade = 2.0", 'grade = "steep"'), encoding="utf-8")
    engines.write_text("engine,class,pull_g\n31,Heavy,strong\n", encoding="utf-8")
    ran = rating(layout, engines)
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert [line.split(",")[0] for line in ran.stderr.splitlines()] == ["layout.toml", "engines.csv"]


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["--standard", "nmra"], "--standard: no weight standard is called 'nmra'"),
        (["--csv", "layout.toml"], "expected a name that ends in .csv"),
        (["--csv", "engines.csv"], "it is a table of engines; name another file"),
        (["--csv", "Cars.csv"], "it is a table of cars; name another file"),
        (["--csv", "nowhere/ratings.csv"], "its folder is missing"),
    ],
)
def test_what_cannot_be_used_or_written_ends_in_2_and_writes_nothing(
    files: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch, args: list[str], said: str
) -> None:
    monkeypatch.chdir(files[0].parent)
    Path("Cars.csv").write_text("car\nC1\n", encoding="utf-8")
    ran = rating("layout.toml", "engines.csv", *args)
    assert (ran.exit_code, ran.stdout, ran.stderr.count("\n")) == (2, "", 1)
    assert said in ran.stderr
    assert sorted(os.listdir()) == ["Cars.csv", "engines.csv", "layout.toml"]
    assert Path("Cars.csv").read_text(encoding="utf-8") == "car\nC1\n"
    assert files[1].read_text(encoding="utf-8") == POOL


def test_a_table_of_engines_of_any_name_is_not_written_over(files: tuple[Path, Path]) -> None:
    pool = files[1].rename(files[1].with_name("pool.csv"))
    ran = rating(files[0], pool, "--csv", pool)
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert "it is pool.csv, which this command reads" in ran.stderr
    assert pool.read_text(encoding="utf-8") == POOL


@pytest.mark.parametrize("text", ["engine,class,pull_g\n", "", "name,power\nA,1\n"])
def test_a_table_without_engines_is_one_line(files: tuple[Path, Path], text: str) -> None:
    files[1].write_text(text, encoding="utf-8")
    ran = rating(*files)
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert ran.stderr.count("\n") >= 1
    assert all(line.startswith("engines.csv") for line in ran.stderr.splitlines())


def test_engines_that_do_not_move_themselves_take_nothing(files: tuple[Path, Path]) -> None:
    files[0].write_text(LAYOUT.replace("grade = 2.0", "grade = 15.0"), encoding="utf-8")
    files[1].write_text("engine,class,weight_g,pull_g\n11,Pug,1000,20\n", encoding="utf-8")
    assert row_of(rating(*files).stdout, "1 Low Yard to Hill Top", "Pug")[4:] == ["0", "0"] * 3
