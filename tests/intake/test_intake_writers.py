"""Files written by many runs at once, by runs that are ended, and by one that may write no more."""

from __future__ import annotations

import csv
import os
import random
import resource
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from consist.errors import InputError
from consist.intake import new_session, record_weights, writing
from consist.intake.writing import LOCK, write_whole

__all__: list[str] = []

CARS = 6
WEIGH = "from consist.intake import record_weights; record_weights(Path({0!r}), {{'T {1}': 100.0 + {1}}})"
MOVE = (
    "from consist.intake import write_reordered; write_reordered(Path({0!r}), {{'A {1}': ('Y', 'X')}}, Path({2!r}))"
)


def started(code: str, *given: object) -> subprocess.Popen[str]:
    """A run of Python of its own."""
    command = [sys.executable, "-c", f"from pathlib import Path; {code}", *map(str, given)]
    pipe = subprocess.PIPE
    return subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=pipe, text=True)


def hidden(folder: Path) -> list[str]:
    """The files of a folder that begin with a dot."""
    return sorted(name for name in os.listdir(folder) if name.startswith("."))


def test_of_many_runs_at_once_no_weight_and_no_order_is_lost(tables: Path) -> None:
    runs = [
        started(code.format(str(tables), number, str(tables / "trains.csv")))
        for number in range(CARS)
        for code in (WEIGH, MOVE)
    ]
    assert [run.communicate()[1] for run in runs] == [""] * len(runs)
    weights = [row[1] for row in csv.reader((tables / "cars.csv").read_text().splitlines()[1:])]
    assert weights == [str(100 + number) for number in range(CARS)]
    moved = "".join(f"A {number},1,Y\nA {number},2,X\n" for number in range(CARS))
    assert (tables / "trains.csv").read_text() == f"train,spot,car\n{moved}"
    assert len(list(tables.glob("cars.csv.bak*"))) == CARS
    assert hidden(tables) == []


def test_a_turn_is_waited_for_so_long_and_told_in_one_sentence(tables: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    holder = started(
        f"from consist.intake.writing import turn_to_write; held = turn_to_write(Path({str(tables / 'x')!r}));"
        "held.__enter__(); print('held', flush=True); input()"
    )
    assert holder.stdout is not None
    holder.stdout.readline()
    monkeypatch.setattr(writing, "LONGEST_WAIT", 0.2)
    before = (tables / "cars.csv").read_bytes()
    with pytest.raises(InputError, match="another run of consist") as told:
        record_weights(tables, {"T 1": 5.0})
    assert "\n" not in str(told.value)
    assert (tables / "cars.csv").read_bytes() == before
    holder.kill()
    holder.communicate()
    record_weights(tables, {"T 1": 5.0})  # what was held by a run that has ended is free
    assert hidden(tables) == []


def test_a_writer_killed_at_any_moment_leaves_a_whole_table_and_no_lock(tables: Path) -> None:
    path = tables / "cars.csv"
    whole = [f"{letter * 400_000}\n" for letter in "ab"]
    path.write_text(whole[0])
    code = (
        "import sys; from consist.intake import write_whole; print(flush=True)\n"
        "while True:\n for letter in 'ab': write_whole(Path(sys.argv[1]), letter * 400_000 + '\\n')"
    )
    draw = random.Random(1)
    left = 0
    for _ in range(6):
        writer = started(code, path)
        assert writer.stdout is not None
        writer.stdout.readline()
        time.sleep(0.1 + draw.uniform(0.0, 0.02))
        writer.kill()
        writer.communicate()
        assert path.read_text() in whole
        left += len(hidden(tables))
    assert left > 0
    write_whole(path, whole[1])
    assert path.read_text() == whole[1]
    assert hidden(tables) == []


def test_of_two_new_sessions_in_one_folder_one_is_made(tmp_path: Path) -> None:
    code = "from consist.intake import new_session; new_session(Path({0!r}), {1!r})"
    runs = [started(code.format(str(tmp_path / "new"), scale)) for scale in ("HO", "N", "O")]
    told = [run.communicate()[1] for run in runs]
    assert told.count("") == 1
    assert sorted(told, key=len)[1].count("InputError") >= 1
    scales = {path.name: path.read_text() for path in (tmp_path / "new").iterdir()}
    assert hidden(tmp_path / "new") == []
    made = ("HO", "N", "O")[told.index("")]
    new_session(tmp_path / "alone", made)
    assert scales == {path.name: path.read_text() for path in (tmp_path / "alone").iterdir()}


def test_the_lock_is_not_loaded_by_what_only_reads(tmp_path: Path) -> None:
    code = "import sys, consist.cli; from consist.intake import read_session; sys.exit('filelock' in sys.modules)"
    assert started(code).wait() == 0
    assert LOCK.startswith(".")


@pytest.fixture
def small_disk() -> Iterator[None]:
    """No file may grow past 1,000 bytes."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, before[1]))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_a_file_that_finds_no_room_leaves_the_old_one(tmp_path: Path, small_disk: None) -> None:
    path = tmp_path / "page.html"
    write_whole(path, "old")
    with pytest.raises(InputError, match="file too large; choose a folder you may write to, or make room"):
        write_whole(path, "x" * 5000)
    assert path.read_text() == "old"
    assert hidden(tmp_path) == []
