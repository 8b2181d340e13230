"""What would otherwise pass in silence: files under other names, names written two ways, track written twice."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest

from consist.errors import InputError
from consist.intake import read_session
from consist.intake.stock import pieces_at_hand
from consist.session import load

SECOND = '\n[[line]]\nfrom = "{}"\nto = "{}"\ntrack = [{{ length = {} }}]\n'


def line_of(folder: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_session(folder)
    (problem,) = caught.value.problems
    return str(problem)


@pytest.mark.parametrize(
    ("start", "finish", "length", "shorter"),
    [
        ("Gorse Junction, east", "Tarn End, west", 30, 2),
        ("Tarn End, west", "Gorse Junction, east", 30, 2),
        ("Gorse Junction, east", "Tarn End, west", 10, 3),
    ],
)
def test_two_lines_that_join_the_same_two_ends_are_noted(
    folder: Path, start: str, finish: str, length: float, shorter: int
) -> None:
    with (folder / "track.toml").open("a") as layout:
        layout.write(SECOND.format(start, finish, length))
    read = read_session(folder)
    (note,) = read.notes
    assert "line 3 (" in note
    assert f"joins the same two ends as line 2; trains take line {shorter}, the shorter" in note
    assert read.trains[0].route.lines[-1].length_mm == pytest.approx(min(length, 20) * 25.4)


def test_lines_to_other_ends_are_not_noted(folder: Path) -> None:
    with (folder / "track.toml").open("a") as layout:
        layout.write(SECOND.format("Gorse Junction, east", "Tarn End, south", 30))
    assert read_session(folder).notes == ()


@pytest.mark.parametrize("ending", ["fods", "FODS", "xlsb", "csv.txt", "xlsx.csv", "txt"])
@pytest.mark.parametrize("name", ["trains", "guests", "cars", "engines"])
def test_a_table_of_a_kind_that_is_not_read_is_named_with_the_cure(folder: Path, name: str, ending: str) -> None:
    text = (folder / f"{name}.csv").read_text() if name != "guests" else "car\nA\n"
    (folder / f"{name}.csv").unlink(missing_ok=True)
    (folder / f"{name.title()}.{ending}").write_text(text)
    with pytest.raises(InputError) as caught:
        read_session(folder)
    told = [str(problem) for problem in caught.value.problems]
    assert (
        f"{name.title()}.{ending}: found a table of a kind that is not read, expected {name}.csv or {name}.xlsx; "
        "save it as one of these"
    ) in told


@pytest.mark.parametrize("name", ["pieces.fods", "Pieces.csv.txt"])
def test_pieces_of_a_kind_that_is_not_read_are_not_the_coins_of_the_default_box(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("piece,weight_g\nnut,1.2\n")
    with pytest.raises(InputError, match="found a table of a kind that is not read"):
        pieces_at_hand(tmp_path)


@pytest.mark.parametrize("name", ["trains", "guests", "cars", "engines"])
def test_a_table_is_read_whatever_the_case_of_its_name(folder: Path, name: str) -> None:
    if name == "guests":
        (folder / "guests.csv").write_text("car,body_length_mm\nVIS 1,150\n")
    before = read_session(folder)
    (folder / f"{name}.csv").rename(folder / f"{name.title()}.CSV")
    assert read_session(folder) == before


@pytest.mark.parametrize("name", ["SESSION.TOML", "Session.toml", "session.toml.txt"])
def test_a_session_under_another_case_or_ending_is_named_with_the_cure(folder: Path, name: str) -> None:
    (folder / "session.toml").rename(folder / name)
    assert f"the folder holds '{name}', expected session.toml; rename the file" in line_of(folder)


def test_names_that_differ_only_in_how_an_accent_is_written_are_one_name(folder: Path) -> None:
    """As a Mac writes a file's name and as a keyboard does; whoever asks for a train may write it either way."""
    for name, form in {"session.toml": "NFC", "trains.csv": "NFD", "cars.csv": "NFC"}.items():
        text = (folder / name).read_text().replace("Milk", "Käse").replace("TST 1", "TÉST 1")
        (folder / name).write_text(unicodedata.normalize(form, text))  # type: ignore[arg-type]
    session = load(folder)
    for form in ("NFC", "NFD"):
        train = session.train(unicodedata.normalize(form, "Käse"))  # type: ignore[arg-type]
        assert train.name == "Käse"
        assert len(train.cars) == 2


def test_a_layout_is_found_under_its_name_as_it_is_written(folder: Path) -> None:
    name = unicodedata.normalize("NFD", "Käse.toml")
    (folder / "track.toml").rename(folder / name)
    text = (folder / "session.toml").read_text()
    (folder / "session.toml").write_text(text.replace("track.toml", name))
    assert read_session(folder).layout.name == "Test track"


def test_a_cell_too_long_for_any_name_is_told_as_that(folder: Path) -> None:
    with (folder / "cars.csv").open("a") as cars:
        cars.write("x" * 10_000_000 + ",boxcar\n")
    with pytest.raises(InputError, match="found a cell of more than 131072 characters"):
        read_session(folder)


def test_a_hundred_thousand_columns_are_told_soon(folder: Path) -> None:
    (folder / "cars.csv").write_text("car," + ",".join(f"c{number}" for number in range(100_000)) + "\nA\n")
    with pytest.raises(InputError):
        read_session(folder)


@pytest.mark.parametrize(
    ("written", "loaded"),
    [("x", True), ("X", True), ("y", True), ("1", True), ("n", False), ("0", False), ("", False)],
)
def test_what_may_be_written_for_loaded(folder: Path, written: str, loaded: bool) -> None:
    text = (folder / "trains.csv").read_text()
    (folder / "trains.csv").write_text(text.replace("TST 1,yes", f"TST 1,{written}"))
    assert next(row.loaded for row in read_session(folder).trains[0].rows if row.car == "TST 1") is loaded


def test_a_standard_without_figures_for_the_scale_is_told(folder: Path) -> None:
    for name, old, new in (
        ("track.toml", '"HO"', '"Z"'),
        ("session.toml", "[house]", '[house]\nweight_standard = "amra"'),
    ):
        text = (folder / name).read_text()
        (folder / name).write_text(text.replace(old, new))
    told = line_of(folder)
    assert told.startswith("session.toml, [house], weight_standard: ")
    assert "Z" in told


def test_a_route_that_cannot_be_run_is_told(folder: Path) -> None:
    text = (folder / "track.toml").read_text()
    (folder / "track.toml").write_text(text.replace('["west", "east"]', '["west", "south"]'))
    told = line_of(folder)
    assert told.startswith("session.toml, train 'Milk', route: ")
    assert "Gorse Junction" in told
    assert "Tarn End" in told


def test_a_table_of_nothing_but_problems_is_given_up_soon(folder: Path) -> None:
    rows = "".join(f"No such train {number},1,No such car {number}\n" for number in range(50_000))
    (folder / "trains.csv").write_text("train,spot,car\n" + rows)
    with pytest.raises(InputError) as caught:
        read_session(folder)
    told = [str(problem) for problem in caught.value.problems]
    assert len(told) == 1001
    assert told[-1].startswith("trains.csv: found 1000 problems and looked no further")
