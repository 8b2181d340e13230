"""What a desk keeps: a journal whole after any end of the process, and a save that is all there or not at all."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest
from builders import SAMPLES
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import consist
from consist.changes import Add, Bring, Change, Engines, Load, Move, Take, Weigh
from consist.desk import Desk, Who
from consist.desk.journal import NAME, Journal, fingerprints
from consist.desk.save import SaveError, alike, save, session_tables, settle
from consist.desk.serve import desk_of
from consist.errors import ConsistError, InputError
from consist.intake import write_whole

__all__: list[str] = []

ADA = Who("1", "Ada")
TRAIN, OTHER = "Creamery 5", "Quarry Mixed 3"


def home_in(folder: Path, sample: str = "sunday_shelf") -> Path:
    shutil.copytree(SAMPLES / sample, folder / "sessions" / sample)
    shutil.copytree(SAMPLES.parent / "layouts", folder / "layouts")
    home = folder / "sessions" / sample
    head = home / "session.toml"
    head.write_text(head.read_text().replace("../../layouts", "../../layouts"))
    return home


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return home_in(tmp_path)


def bytes_of(home: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in session_tables(home)}


def test_a_desk_opened_again_is_as_it_was(home: Path) -> None:
    before = bytes_of(home)
    desk, journal, notes = desk_of(home)
    assert notes == []
    desk.change(ADA, 0, [Take(("PQF 201",)), Weigh("PQF 71", 91.5)])
    desk.undo(ADA)
    desk.undo(ADA, 2)
    desk.change(ADA, 3, [Bring("QRS 1", 130.0, None, "boxcar", "Ünal =1+1"), Add(TRAIN, "QRS 1", 1)])
    desk.tick(ADA, "yard: x: see to it", True)
    journal.close()
    again, later, notes = desk_of(home)
    assert notes == []
    assert (again.revision, again.entries) == (5, desk.entries)
    assert again.ticked == {"yard: x: see to it"}
    assert again.checked == desk.checked
    again.undo(ADA)
    assert alike(again.session, Desk(consist.load(home), again.entries).session)
    later.close()
    assert bytes_of(home) == before


def test_a_damaged_end_is_told_and_kept(home: Path) -> None:
    desk, journal, _ = desk_of(home)
    desk.change(ADA, 0, [Take(("PQF 201",))])
    desk.change(ADA, 1, [Weigh("PQF 71", 91.5)])
    journal.close()
    whole = (home / NAME).read_bytes()
    for cut in (1, 20, len(whole.splitlines(keepends=True)[-1]) - 1):
        (home / NAME).write_bytes(whole[:-cut])
        again, later, notes = desk_of(home)
        later.close()
        assert again.revision == 1
        assert notes[0].startswith(
            f"The last line of {NAME} is damaged: 1 entries before it are whole. It is kept as "
        )
        kept = home / notes[0].split("kept as ")[1].rstrip(".")
        assert kept.read_bytes() == whole[:-cut]
        assert (home / NAME).read_bytes() == b"".join(whole.splitlines(keepends=True)[:-1])


def test_a_journal_of_another_version_is_told_and_kept(home: Path) -> None:
    (home / NAME).write_text('{"consist desk": 99}\n{"what": "ever"}\n')
    desk, journal, notes = desk_of(home)
    journal.close()
    assert desk.revision == 0
    assert "is of another version, 99" in notes[0]
    (kept,) = home.glob(f"{NAME}.2*")
    assert kept.read_text().startswith('{"consist desk": 99}')


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_damage_to_a_journal_ends_in_a_traceback(home: Path, data: st.DataObject) -> None:
    whole = getattr(test_no_damage_to_a_journal_ends_in_a_traceback, "whole", None)
    if whole is None:
        desk, journal, _ = desk_of(home)
        desk.change(ADA, 0, [Take(("PQF 201",))])
        desk.tick(ADA, "a", True)
        journal.close()
        whole = (home / NAME).read_bytes()
        test_no_damage_to_a_journal_ends_in_a_traceback.whole = whole  # type: ignore[attr-defined]
    at = data.draw(st.integers(0, len(whole) - 1))
    put = data.draw(st.binary(max_size=4))
    (home / NAME).write_bytes(whole[:at] + put + whole[at + data.draw(st.integers(0, 6)) :])
    try:
        _, journal, _ = desk_of(home)
        journal.close()
    except ConsistError as error:
        told = str(error)
    else:
        told = ""
    finally:
        for each in home.glob(f"{NAME}*"):
            each.unlink()
    assert "\n" not in told


KILLED = """
import random, sys, time
from pathlib import Path
from consist.changes import Move, Take, Add
from consist.desk import Who
from consist.desk.save import save
from consist.desk.serve import desk_of
home, seed = Path(sys.argv[1]), int(sys.argv[2])
desk, journal, _ = desk_of(home)
chance, who = random.Random(seed), Who("1", "Ada")
print("ready", desk.revision, flush=True)
while True:
    train = chance.choice(desk.session.trains)
    cars = [car.car.name for car in train.cars]
    moved = chance.choice(cars)
    after = chance.choice([None, *(car for car in cars if car != moved)])
    if chance.random() < 0.3 and desk.changed:
        save(home, desk, journal, who)
        print("saved", desk.revision, flush=True)
    else:
        done = desk.change(who, desk.revision, [Move(train.name, (moved,), after)])
        print("done", done.revision, flush=True)
"""


def test_processes_ended_at_any_moment_lose_nothing_that_was_answered(home: Path) -> None:
    chance, answered = random.Random(7), 0
    for seed in range(5):
        process = subprocess.Popen(
            [sys.executable, "-c", KILLED, str(home), str(seed)],
            stdout=subprocess.PIPE,
            text=True,
            env={**os.environ, "PYTHONPATH": str(SAMPLES.parent)},
        )
        assert process.stdout is not None
        assert process.stdout.readline().split() == ["ready", str(answered)]
        time.sleep(chance.uniform(0.0, 0.25))
        process.send_signal(signal.SIGKILL)
        told = process.stdout.read().split("\n")
        process.wait()
        answered = max([answered, *(int(line.split()[1]) for line in told if line.endswith(tuple("0123456789")))])
        desk, journal, _ = desk_of(home)
        journal.close()
        # what was on disk when the process ended may be one more than what it could still tell
        assert answered <= desk.revision <= answered + 1
        answered = desk.revision
        riding = sorted(car.car.name for train in desk.session.trains for car in train.cars)
        assert riding == sorted(car.car.name for train in consist.load(home).trains for car in train.cars)
    assert not list(home.glob(".consist-*.part"))


CHANGES = st.one_of(
    st.builds(Take, st.tuples(st.sampled_from(sorted(consist.load(SAMPLES / "sunday_shelf").cars)))),
    st.builds(
        Add,
        st.sampled_from([TRAIN, OTHER]),
        st.sampled_from([*sorted(consist.load(SAMPLES / "sunday_shelf").cars), "QRS 1"]),
        st.none() | st.integers(1, 6),
        st.booleans(),
    ),
    st.builds(
        Move,
        st.sampled_from([TRAIN, OTHER]),
        st.tuples(st.sampled_from(sorted(consist.load(SAMPLES / "sunday_shelf").cars))),
        st.none() | st.sampled_from(sorted(consist.load(SAMPLES / "sunday_shelf").cars)),
    ),
    st.builds(Load, st.just(TRAIN), st.tuples(st.just("PQF 71")), st.booleans()),
    st.builds(Weigh, st.sampled_from(["PQF 71", "PQF 201", "QRS 1"]), st.integers(30, 200).map(float)),
    st.builds(Engines, st.just(TRAIN), st.sampled_from([("21",), ("22",), ("21", "22"), ()]), st.just(None)),
    st.just(Bring("QRS 1", 130.0, 90.0, "boxcar", "=HYPERLINK(1)")),
)


@settings(max_examples=14, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(CHANGES, min_size=1, max_size=8), st.sampled_from([".csv", ".xlsx"]))
def test_saved_tables_say_what_the_desk_said(tmp_path: Path, changes: Sequence[Change], kind: str) -> None:
    for each in tmp_path.iterdir():
        shutil.rmtree(each)
    home = home_in(tmp_path)
    if kind == ".xlsx":
        from consist.intake import write_reordered

        write_reordered(home, {}, home / "trains.xlsx")
        (home / "trains.csv").unlink()
    desk, journal, _ = desk_of(home)
    for change in changes:
        try:
            desk.change(ADA, desk.revision, [change])
        except ConsistError:
            continue
    if not desk.changed:
        journal.close()
        return
    said = desk.checked
    save(home, desk, journal, ADA)
    journal.close()
    fresh = consist.load(home)
    assert alike(fresh, desk.session)
    now = consist.check(fresh, ranges=False)
    for one, other in zip(now.trains, said.trains, strict=True):
        assert one.verdict == other.verdict
        assert one.side_use == pytest.approx(other.side_use, rel=2e-3)
        assert [car.car for car in one.cars] == [car.car for car in other.cars]
    again, later, notes = desk_of(home)
    later.close()
    assert (again.revision, again.entries, notes) == (desk.revision, [], [])


def test_a_save_changes_no_more_than_it_must_and_keeps_a_copy(home: Path) -> None:
    table = home / "trains.csv"
    table.write_text(table.read_text().rstrip("\n"))  # without an end of its last line
    before = bytes_of(home)
    desk, journal, _ = desk_of(home)
    cars = [car.car.name for car in desk.session.train(TRAIN).cars]
    desk.change(ADA, 0, [Move(TRAIN, (cars[-1],), None)])
    save(home, desk, journal, ADA)
    journal.close()
    after = bytes_of(home)
    assert {name for name in before if before[name] != after[name]} == {"trains.csv"}
    (copy,) = home.glob("trains.csv.*.bak")
    assert copy.read_bytes() == before["trains.csv"]
    rows = after["trains.csv"].decode().splitlines()
    untouched = [row for row in before["trains.csv"].decode().splitlines() if not row.startswith(f"{TRAIN},")]
    assert [row for row in rows if not row.startswith(f"{TRAIN},")] == untouched
    assert [row.split(",")[2] for row in rows if row.startswith(f"{TRAIN},")] == [cars[-1], *cars[:-1]]


def test_a_row_takes_its_owners_own_columns_along(home: Path) -> None:
    table = home / "trains.csv"
    rows = table.read_text().splitlines()
    told = [f"{rows[0]},remark", *(f"{row},about {row.split(',')[2]}" for row in rows[1:])]
    table.write_text("\r\n".join(told) + "\r\n")
    desk, journal, _ = desk_of(home)
    desk.change(ADA, 0, [Move(OTHER, ("PQF 201",), None), Take(("PQF 71",))])
    save(home, desk, journal, ADA)
    journal.close()
    read = table.read_bytes().decode()
    assert read.count("\r\n") == read.count("\n") == len(read.splitlines())
    for row in read.splitlines()[1:]:
        cells = row.split(",")
        assert cells[-1] == f"about {cells[2]}"
    assert f"{OTHER},1,PQF 201," in read
    assert "PQF 71," not in read


def test_only_the_ten_newest_copies_stay(home: Path) -> None:
    desk, journal, _ = desk_of(home)
    cars = [car.car.name for car in desk.session.train(TRAIN).cars]
    desk.change(ADA, 0, [Move(TRAIN, (cars[-1],), None)])
    for number in range(12):
        (home / f"trains.csv.2020-01-{number + 1:02}T00-00-00.bak").write_text("old")
    save(home, desk, journal, ADA)
    journal.close()
    copies = sorted(path.name for path in home.glob("trains.csv.*.bak"))
    assert len(copies) == 10
    assert copies[0] == "trains.csv.2020-01-04T00-00-00.bak"


def test_a_table_that_another_program_changed_is_not_written_over(home: Path) -> None:
    desk, journal, _ = desk_of(home)
    desk.change(ADA, 0, [Take(("PQF 201",))])
    table = home / "cars.csv"
    table.write_text(table.read_text() + "# mine\n")
    before = bytes_of(home)
    with pytest.raises(SaveError, match=r"another program has changed 'cars.csv' since the desk read it"):
        save(home, desk, journal, ADA)
    assert bytes_of(home) == before
    assert not list(home.glob("*.bak"))
    journal.close()
    again, later, notes = desk_of(home)
    assert notes == ["Changed by another program since the desk was last open: cars.csv."]
    assert again.revision == 1
    save(home, again, later, ADA)
    later.close()
    assert len(consist.load(home).train(TRAIN).cars) == 5
    assert (home / "cars.csv").read_text().endswith("# mine\n")


def test_changes_that_new_tables_do_not_allow_are_kept_aside(home: Path) -> None:
    desk, journal, _ = desk_of(home)
    desk.change(ADA, 0, [Take(("PQF 201",))])
    journal.close()
    table = home / "trains.csv"
    table.write_text("".join(row for row in table.read_text().splitlines(keepends=True) if "PQF 201" not in row))
    again, later, notes = desk_of(home)
    later.close()
    assert again.revision == 0
    assert any("holds changes that these tables no longer allow" in note for note in notes)
    assert len(list(home.glob(f"{NAME}.2*"))) == 1


def test_what_was_left_half_written_goes_when_the_desk_is_opened_again(home: Path) -> None:
    """A desk ended while it keeps a table's old form, before it notes that it saves, has nothing to take back."""
    left = home / ".consist-0123456789ab.part"
    left.write_bytes(b"half")
    before = bytes_of(home)
    _desk, journal, notes = desk_of(home)
    journal.close()
    assert not left.exists()
    assert (notes, bytes_of(home)) == ([], before)


def test_a_save_that_is_cut_short_is_taken_back(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = bytes_of(home)
    desk, journal, _ = desk_of(home)
    desk.change(ADA, 0, [Take(("PQF 201",)), Weigh("PQF 71", 91.5), Engines(TRAIN, ("22",))])
    written: list[Path] = []

    class Cut(BaseException):
        pass

    def once(path: Path, data: bytes | str, **more: object) -> None:
        if path.suffix != ".bak" and path.name != NAME:
            if written:
                os._exit(0)
            written.append(path)
        real(path, data, **more)  # type: ignore[arg-type]

    real = write_whole
    monkeypatch.setattr("consist.desk.save.write_whole", once)
    child = os.fork()
    if child == 0:
        save(home, desk, journal, ADA)
        os._exit(1)
    assert os.waitpid(child, 0)[1] == 0
    monkeypatch.undo()
    journal.close()
    assert bytes_of(home) != before
    again, later, notes = desk_of(home)
    assert bytes_of(home) == before
    assert notes[0].startswith("A save was cut short: ")
    assert again.revision == 1
    save(home, again, later, ADA)
    later.close()
    assert consist.load(home).cars["PQF 71"].weight_g == pytest.approx(91.5, abs=0.02)


def test_a_save_that_was_done_but_not_noted_is_taken_note_of(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    desk, journal, _ = desk_of(home)
    desk.change(ADA, 0, [Take(("PQF 201",))])
    desk.tick(ADA, "a", True)
    monkeypatch.setattr(journal, "begin", lambda *_: None)
    save(home, desk, journal, ADA)
    monkeypatch.undo()
    journal.close()
    again, later, notes = desk_of(home)
    later.close()
    assert (again.revision, len(again.entries), set(again.ticked), notes) == (2, 0, {"a"}, [])
    assert alike(again.session, desk.session)


def test_a_full_disk_is_one_sentence_and_changes_nothing(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    desk, journal, _ = desk_of(home)
    desk.change(ADA, 0, [Take(("PQF 201",))])

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError, match="the desk's journal cannot be written: no space left on device"):
        desk.change(ADA, 1, [Weigh("PQF 71", 91.5)])
    monkeypatch.undo()
    assert desk.revision == 1
    desk.change(ADA, 1, [Weigh("PQF 71", 92.5)])
    journal.close()
    again, later, _ = desk_of(home)
    later.close()
    assert again.session.cars["PQF 71"].weight_g == 92.5


def test_a_journals_first_line_names_every_table_as_it_was(home: Path) -> None:
    _, journal, _ = desk_of(home)
    journal.close()
    head = json.loads((home / NAME).read_text().splitlines()[0])
    assert head["tables"] == fingerprints(home, session_tables(home))
    assert settle(home, Journal.of(home)) == []
