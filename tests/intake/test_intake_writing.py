"""Files written between one reading and the next, and where they may not be written at all."""

from __future__ import annotations

import csv
import os
from collections.abc import Callable
from pathlib import Path

import openpyxl  # type: ignore[import-untyped]
import pytest

from consist.errors import InputError
from consist.intake import (
    check_output,
    record_weights,
    same_file,
    trains_table,
    write_reordered,
)
from consist.intake.owners_table import OwnersTable
from consist.intake.writing import turn_to_write, write_whole

__all__: list[str] = []


def hidden(folder: Path) -> list[str]:
    """The files of a folder that begin with a dot."""
    return sorted(name for name in os.listdir(folder) if name.startswith("."))


def test_where_locks_are_not_known_files_are_written_all_the_same(
    tables: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def unknown(lock: object) -> None:
        raise OSError(37, "No locks available")

    monkeypatch.setattr("filelock.FileLock.acquire", unknown)
    left = tables / ".consist-0123456789ab.part"
    left.write_text("perhaps being written")
    record_weights(tables, {"T 1": 5.0})
    assert "T 1,5,150" in (tables / "cars.csv").read_text()
    assert left.exists()


def test_only_what_an_ended_writer_left_is_removed(tables: Path) -> None:
    ours = tables / ".consist-0123456789ab.part"
    others = [tables / ".consist-0123.part", tables / "mine.part", tables / ".x.0123456789ab.part"]
    for path in (ours, *others):
        path.write_text("x")
    folder, link = tables / ".consist-aaaaaaaaaaaa.part", tables / ".consist-bbbbbbbbbbbb.part"
    folder.mkdir()
    link.symlink_to(tables / "cars.csv")
    with turn_to_write(tables / "y"):
        ours.write_text("half")  # written while the turn is ours: a living writer
        with turn_to_write(tables / "z"):
            assert ours.exists()
    write_whole(tables / "out.txt", "new")
    assert not ours.exists()
    assert all(path.exists() for path in (*others, folder))
    assert link.is_symlink()


def test_a_train_changed_since_it_was_read_is_refused_and_another_is_kept(tables: Path) -> None:
    trains = tables / "trains.csv"
    as_read = trains_table(tables)
    trains.write_text(trains.read_text().replace("A 2,1,X", "A 2,1,Z") + "A 99,1,W\n")
    write_reordered(tables, {"A 1": ("Y", "X")}, trains, as_read)
    now = trains.read_text()
    assert "A 1,1,Y\nA 1,2,X\nA 2,1,Z\n" in now
    assert now.endswith("A 99,1,W\n")
    trains.write_text(now.replace("A 3,2,Y", "A 3,9,Y"))
    before = trains.read_bytes()
    with pytest.raises(InputError, match="the table has changed since it was read"):
        write_reordered(tables, {"A 3": ("Y", "X")}, trains, as_read)
    assert trains.read_bytes() == before


@pytest.mark.parametrize("table", ["cars.csv", "trains.csv"])
def test_a_table_that_another_program_changes_at_the_last_moment_is_left(
    tables: Path, table: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    check = OwnersTable.check_reads_back

    def changes(source: OwnersTable, *given: object) -> None:
        check(source, *given)  # type: ignore[arg-type]
        source.path.write_text("car,train,spot\n")

    monkeypatch.setattr(OwnersTable, "check_reads_back", changes)
    writes: dict[str, Callable[[], object]] = {
        "cars.csv": lambda: record_weights(tables, {"T 1": 5.0}),
        "trains.csv": lambda: write_reordered(tables, {"A 1": ("Y", "X")}, tables / table),
    }
    with pytest.raises(InputError, match="the table has changed since it was read"):
        writes[table]()
    assert (tables / table).read_text() == "car,train,spot\n"
    assert sorted(os.listdir(tables)) == ["cars.csv", "trains.csv"]


@pytest.mark.parametrize("spoil", [lambda content: content[:-3], lambda content: content.replace(b"2", b"3", 1)])
def test_a_table_that_does_not_read_back_is_not_written(
    tables: Path, spoil: Callable[[bytes], bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    from consist.intake.csv_text import CsvText

    written = CsvText.with_cells
    monkeypatch.setattr(CsvText, "with_cells", lambda text, cells: spoil(written(text, cells)))
    before = {path: path.read_bytes() for path in tables.iterdir()}
    with pytest.raises(InputError, match="does not read the same with the new weight in it, nothing was written"):
        record_weights(tables, {"T 1": 52.0})
    told = "does not read the same in this form, nothing was written; write it to a .xlsx file"
    with pytest.raises(InputError, match=told):
        write_reordered(tables, {"A 2": ("Y", "X")}, tables / "trains.csv")
    assert {path: path.read_bytes() for path in tables.iterdir()} == before


def test_ounces_are_written_to_three_places_and_grams_to_two(tmp_path: Path) -> None:
    path = tmp_path / "cars.csv"
    path.write_text("car,weight_oz,weight_g\nA,1.5,\nB,,1.5\n")
    record_weights(path, {"A": 100.0, "B": 100.0 / 3})
    assert path.read_text() == "car,weight_oz,weight_g\nA,3.527,\nB,,33.33\n"


# Where a file may not be written.


@pytest.fixture
def session(tmp_path: Path) -> Path:
    """A session whose layout stands beside it."""
    folder = tmp_path / "evening"
    folder.mkdir()
    (folder / "session.toml").write_text('layout = "../track.toml"\n')
    for name in ("cars.csv", "engines.xlsx", "guests.csv", "pieces.csv", "trains.csv"):
        (folder / name).write_text(name)
    (tmp_path / "track.toml").write_text("layout")
    return folder


@pytest.mark.parametrize(
    "read", ["session.toml", "../track.toml", "cars.csv", "engines.xlsx", "guests.csv", "pieces.csv", "trains.csv"]
)
@pytest.mark.parametrize("by", ["name", "symbolic link", "hard link", "roundabout", "other letters"])
def test_no_output_replaces_a_file_of_the_session(session: Path, read: str, by: str) -> None:
    path, other = session / read, session.parent / "out.pdf"
    target = {
        "name": path,
        "roundabout": path.parent / "." / "x" / ".." / path.name,
        "other letters": path.with_name(path.name.upper()),
    }.get(by, other)
    (path.parent / "x").mkdir()
    if by == "symbolic link":
        other.symlink_to(path)
    if by == "hard link":
        other.hardlink_to(path)
    for given in (session, session / "session.toml"):
        with pytest.raises(InputError, match=r"it is (a table of \w+|\S+, which this command reads); name another"):
            check_output(target, given)
        if read != "trains.csv":
            with pytest.raises(InputError):
                check_output(target, given, but="trains")
    if read == "trains.csv" and by != "other letters":
        check_output(target, session, but="trains")


def test_a_second_table_of_a_session_is_not_made(session: Path) -> None:
    (session / "engines.xlsx").unlink()
    with pytest.raises(InputError, match="it is a table of engines"):
        check_output(session / "engines.csv", session)
    with pytest.raises(InputError, match=r"it is trains\.csv"):
        check_output(session / "Trains.csv", session, but="trains")
    check_output(session / "moved.csv", session)
    check_output(session / "trains.xlsx", session, but="trains")
    check_output(session.parent / "cars.csv")


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("pipe.pdf", "not a plain file"),
        ("null.pdf", "not a plain file"),
        ("full.pdf", "not a plain file"),
        ("loop.pdf", "points at itself"),
        ("kept.pdf", "may only be read"),
        ("", "it is a folder"),
        ("nowhere/x.pdf", "its folder is missing"),
        ("x" * 5000, "file name too long"),
        ("x\0.pdf", "not one a file can have"),
    ],
)
def test_what_cannot_be_written_is_told_on_one_line_before_the_work(tmp_path: Path, name: str, told: str) -> None:
    os.mkfifo(tmp_path / "pipe.pdf")
    (tmp_path / "null.pdf").symlink_to("/dev/null")
    (tmp_path / "full.pdf").symlink_to("/dev/full")
    (tmp_path / "loop.pdf").symlink_to("loop.pdf")
    (tmp_path / "kept.pdf").write_text("kept")
    (tmp_path / "kept.pdf").chmod(0o444)
    before = sorted(os.listdir(tmp_path))
    for write in (check_output, lambda path: write_whole(path, "new")):
        with pytest.raises(InputError, match=told) as caught:
            write(tmp_path / name)
        assert len(str(caught.value)) < 600
        assert "\n" not in str(caught.value)
    assert sorted(os.listdir(tmp_path)) == before
    assert (tmp_path / "kept.pdf").read_text() == "kept"


def test_a_rewritten_table_keeps_owner_mode_and_marks_and_is_written_through_its_link(tmp_path: Path) -> None:
    real, link = tmp_path / "shared" / "roster.csv", tmp_path / "session" / "cars.csv"
    for path in (real, link):
        path.parent.mkdir()
    real.write_text("car,weight_g\nA,1\n")
    real.chmod(0o640)
    link.symlink_to(real)
    if os.geteuid() == 0:
        os.chown(real, 12345, 23456)
    was = real.stat()
    os.utime(real, (1, 1))
    record_weights(link.parent, {"A": 2.0})
    assert link.is_symlink()
    assert real.read_text() == "car,weight_g\nA,2\n"
    for path in (real, link.with_name("cars.csv.bak")):
        now = path.stat()
        assert (now.st_mode, now.st_uid, now.st_gid) == (was.st_mode, was.st_uid, was.st_gid)
    assert real.stat().st_mtime > 1_000_000
    assert hidden(real.parent) == hidden(link.parent) == []


def test_a_name_as_long_as_the_system_takes_is_written(tmp_path: Path) -> None:
    path = tmp_path / ("ö" * 125 + ".html")
    write_whole(path, "new")
    assert path.read_text() == "new"


def test_one_file_is_one_by_any_name(tmp_path: Path) -> None:
    one = tmp_path / "one.pdf"
    two = tmp_path / "two.pdf"
    two.symlink_to(one)  # neither is there yet
    assert same_file(one, two)
    assert same_file(one, tmp_path / "ONE.pdf")
    assert not same_file(one, tmp_path / "three.pdf")


def test_a_workbooks_own_text_is_no_formula_in_a_csv_file(tmp_path: Path) -> None:
    (tmp_path / "session.toml").write_text('layout = "track.toml"\n')
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    notes = ["=1+1", " =1+1", "\t@x", "＝1+1", "-3", "-3,5", "- see note", "-", "plain", None]
    sheet.append(["train", "spot", "car", "my notes"])
    for spot, note in enumerate(notes, start=1):
        sheet.append(["A", spot, f"T {spot}", None])
        cell = sheet.cell(spot + 1, 4, note)
        cell.data_type = "s" if note else cell.data_type
    book.save(tmp_path / "trains.xlsx")
    order = tuple(f"T {spot}" for spot in range(1, len(notes) + 1))
    write_reordered(tmp_path, {"A": (order[1], order[0], *order[2:])}, tmp_path / "new.csv")
    with open(tmp_path / "new.csv", encoding="utf-8", newline="") as file:
        written = {row[2]: "".join(row[3:]) for row in csv.reader(file)}
    kept = ["'=1+1", "'=1+1", "'@x", "'＝1+1", "-3", "-3,5", "'- see note", "-", "plain", ""]
    assert [written[car] for car in order] == kept


def test_an_order_written_elsewhere_replaces_no_file_of_its_session(tables: Path) -> None:
    (tables / "session.toml").write_text('layout = "track.toml"\n')
    (tables / "track.toml").write_text("layout")
    (tables / "track.csv").hardlink_to(tables / "track.toml")
    for name in ("cars.csv", "track.csv"):
        with pytest.raises(InputError, match="name another file"):
            write_reordered(tables, {"A 2": ("Y", "X")}, tables / name)
    assert (tables / "track.toml").read_text() == "layout"
