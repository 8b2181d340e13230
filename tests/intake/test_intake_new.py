"""A new session: it reads back for every scale, and nothing is ever overwritten or left half written."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest

import consist
from consist.errors import InputError
from consist.house import House, Spread
from consist.intake import new_session, read_session, write_whole
from consist.intake.fields import declared
from consist.scales import SCALES
from consist.stock import weight_standard


@pytest.mark.parametrize("scale", SCALES)
def test_it_reads_back_in_every_scale(tmp_path: Path, scale: str) -> None:
    written = new_session(tmp_path / "evening", scale)
    session = read_session(tmp_path / "evening")
    assert sorted(written) == sorted((tmp_path / "evening").iterdir())
    assert session.layout.scale == SCALES[scale]
    # a standard that has figures is named in the file, and nothing is left to say; one that borrows them says so
    by_its_name = weight_standard(session.house.weight_standard, scale).note
    assert session.notes == tuple(filter(None, [by_its_name]))
    assert len(session.trains[0].rows) == len(session.cars) == 6
    assert [engine.name for engine in session.engines] == ["11", "12"]


def test_an_ho_car_weighs_what_rp_20_1_asks(tmp_path: Path) -> None:
    # NMRA RP-20.1, HO: 1 oz and half an ounce an inch, so 4 oz at 6 in, which is 113.4 g; up to a tenth over.
    new_session(tmp_path / "evening", "HO")
    for car in read_session(tmp_path / "evening").cars:
        assert car.body_length_mm == pytest.approx(152.4)
        assert car.weighed
        assert 113.4 <= car.weight_g <= 113.4 * 1.1


def explained(text: str) -> str:
    return "\n".join(line for line in text.splitlines() if line.startswith("#"))


@pytest.mark.parametrize("table", ["cars", "engines", "trains"])
def test_every_column_is_explained(tmp_path: Path, table: str) -> None:
    new_session(tmp_path / "evening", "N")
    comments = explained((tmp_path / "evening" / f"{table}.csv").read_text(encoding="utf-8"))
    assert [column for each in declared(table) for column in each.columns if column not in comments] == []


def test_the_house_is_written_with_its_defaults(tmp_path: Path) -> None:
    new_session(tmp_path / "evening", "HO")
    written = tomllib.loads((tmp_path / "evening" / "session.toml").read_text(encoding="utf-8"))["house"]
    plain = [each.name for each in declared("house") if each.kind != "table"]
    assert [key for key in written if key not in ("guests", "spread")] == plain
    assert {key: written[key] for key in plain} == {key: getattr(House(), key) for key in plain}
    assert written["spread"] == vars(Spread())


def test_the_same_scale_gives_the_same_bytes(tmp_path: Path) -> None:
    one, two = (new_session(tmp_path / name, "S") for name in ("one", "two"))
    assert [path.read_bytes() for path in one] == [path.read_bytes() for path in two]


@pytest.mark.parametrize("name", ["session.toml", "cars.csv", "cars.xlsx", "layout.toml", "Cars.csv", "GUESTS.XLSX"])
def test_it_never_overwrites(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("mine")
    with pytest.raises(InputError, match=f"{name}: the file is there already"):
        new_session(tmp_path, "HO")
    assert [(path.name, path.read_text()) for path in tmp_path.iterdir()] == [(name, "mine")]


def test_a_folder_that_is_there_keeps_its_other_files(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    new_session(tmp_path, "HO")
    assert (tmp_path / "notes.txt").read_text() == "mine"
    assert read_session(tmp_path).title == "Sample session in HO"


def test_a_file_in_the_folders_place(tmp_path: Path) -> None:
    (tmp_path / "evening").write_text("mine")
    with pytest.raises(InputError, match="found a file, expected a folder"):
        new_session(tmp_path / "evening", "HO")
    assert (tmp_path / "evening").read_text() == "mine"


def test_an_unknown_scale_names_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="found 'HOn33', expected a known scale; did you mean 'HOn3'"):
        new_session(tmp_path / "evening", "HOn33")
    assert list(tmp_path.iterdir()) == []


def test_a_missing_parent_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="make it first"):
        new_session(tmp_path / "nowhere" / "evening", "HO")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("there", [True, False])
def test_a_failure_on_the_way_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, there: bool) -> None:
    folder = tmp_path / "evening"
    if there:
        folder.mkdir()
    replace = os.replace

    def fails_at_trains(source: Path, target: Path) -> None:
        if Path(target).name == "trains.csv":
            raise OSError(28, "No space left on device")
        replace(source, target)

    monkeypatch.setattr(os, "replace", fails_at_trains)
    with pytest.raises(InputError, match="no space left on device"):
        new_session(folder, "HO")
    assert list(tmp_path.rglob("*")) == ([folder] if there else [])


def test_write_whole_replaces_and_keeps_the_mode(tmp_path: Path) -> None:
    path = tmp_path / "strip.html"
    write_whole(path, "old")
    path.chmod(0o640)
    write_whole(path, "näher\n")
    assert path.read_bytes() == "näher\n".encode()
    assert path.stat().st_mode & 0o777 == 0o640
    assert list(tmp_path.iterdir()) == [path]


def test_write_whole_leaves_the_old_file_on_failure(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "strip.html"
    write_whole(path, b"old")

    def fails(source: Path, target: Path) -> None:
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr(os, "replace", fails)
    with pytest.raises(InputError, match="read-only file system"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_write_whole_wants_a_folder_and_a_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="its folder is missing"):
        write_whole(tmp_path / "nowhere" / "strip.html", "x")
    with pytest.raises(InputError, match="it is a folder"):
        write_whole(tmp_path, "x")


def test_what_is_no_plain_file_or_may_only_be_read_is_not_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pipe, kept = tmp_path / "pipe.html", tmp_path / "kept.html"
    os.mkfifo(pipe)
    kept.write_text("old")
    with pytest.raises(InputError, match="the file cannot be written: it is not a plain file"):
        write_whole(pipe, "new")
    # whoever runs the tests may be allowed to write everywhere
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    with pytest.raises(InputError, match="the file cannot be written: it may only be read"):
        write_whole(kept, "new")
    assert kept.read_text() == "old"
    assert pipe.is_fifo()


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize(("scale", "standard"), [("HO", "nem-302"), ("N", None), ("O", "nmra-rp-20.1")])
def test_what_is_asked_for_is_what_is_written(tmp_path: Path, scale: str, standard: str | None, units: str) -> None:
    new_session(tmp_path / "evening", scale, units, standard, "Milk 5")
    session = consist.load(tmp_path / "evening")
    assert session.layout.unit == units
    assert standard is None or session.standard.name == standard
    (train,) = consist.check(session).trains
    assert (train.train, train.verdict) == ("Milk 5", "go")
    header = next(line for line in (tmp_path / "evening" / "cars.csv").read_text().splitlines() if line[:4] == "car,")
    assert ("weight_oz" in header, "body_length_in" in header) == (units == "in", units == "in")


@pytest.mark.parametrize("train", ["", 'a"b', "a,b", "#7", "a\nb\x07"])
def test_a_train_that_cannot_be_written_is_refused(tmp_path: Path, train: str) -> None:
    with pytest.raises(InputError, match="expected a train's name"):
        new_session(tmp_path / "evening", "HO", train=train)
    assert not (tmp_path / "evening").exists()
