"""The log of runs: written and read again, taken back, by two at once, and what is said of a damaged one."""

from __future__ import annotations

import csv
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from consist.errors import InputError
from consist.intake import RUNS, LoggedRun, StretchUses, append_run, read_runs, take_back_run

__all__: list[str] = []

RUN = LoggedRun(
    "2026-11-26T20:15+01:00", "Milk, 7", "off", "C \"1\"", ("Ash", "Birch, west"), 812.0, "pulling", "=1+1 two\u00a0",
    1, 0.72, ("21", "22"), (('C "1"', 72.5), ("-C 2", 101.25)),
    (StretchUses("Ash", "Birch, west", (0.1234, 0.5)), StretchUses("Birch, west", "Cove", (None, 0.2))),
)  # fmt: skip
NAMES = st.text(st.characters(blacklist_categories=("Cs", "Cc")), min_size=1, max_size=12)


def test_what_is_logged_is_read_again(tmp_path: Path) -> None:
    others = LoggedRun("", "T", "clean"), LoggedRun("", "T", "stalled", power_use=None)
    for run in (RUN, *others):
        append_run(tmp_path, run)
    assert read_runs(tmp_path) == (RUN, *others)


@given(train=NAMES, car=NAMES, note=NAMES, places=st.lists(NAMES, max_size=2))
def test_any_names_come_back_and_none_is_a_formula(
    tmp_path_factory: pytest.TempPathFactory, train: str, car: str, note: str, places: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("log")
    run = LoggedRun("", train, "off", car, tuple(places), note=note, cars=((car, 1.0),))
    append_run(folder, run)
    assert read_runs(folder) == (run,)
    with (folder / RUNS).open(encoding="utf-8", newline="") as file:
        for row in csv.reader(file):
            assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for cell in row)


def test_a_folder_without_a_log_has_no_runs(tmp_path: Path) -> None:
    assert read_runs(tmp_path) == ()
    with pytest.raises(InputError, match="no run to take back"):
        take_back_run(tmp_path)


def test_the_last_run_is_taken_back_and_the_rest_stays_as_it_was(tmp_path: Path) -> None:
    append_run(tmp_path, RUN)
    before = (tmp_path / RUNS).read_bytes()
    second = LoggedRun("", "Other", "parted")
    append_run(tmp_path, second)
    assert take_back_run(tmp_path) == second
    assert (tmp_path / RUNS).read_bytes() == before
    assert take_back_run(tmp_path) == RUN
    assert read_runs(tmp_path) == ()


def test_a_log_that_a_spreadsheet_has_saved_goes_on(tmp_path: Path) -> None:
    """With a mark at its start, line ends of its own and none at its end."""
    append_run(tmp_path, RUN)
    path = tmp_path / RUNS
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\r\n", b"\n").rstrip(b"\n"))
    append_run(tmp_path, RUN)
    assert read_runs(tmp_path) == (RUN, RUN)


@pytest.mark.parametrize(
    ("column", "cell", "said"),
    [
        ("what", "fell", "row 2, what: found 'fell', expected one of clean, off, stalled, parted"),
        ("while", "flying", "row 2, while: found 'flying', expected one of starting"),
        ("past_mm", "far", "row 2, past_mm: found 'far', expected a number, or nothing"),
        ("power_use", "-1", "row 2, power_use: found '-1', expected a number"),
        ("model", "nan", "row 2, model: found 'nan'"),
        ("cars", '[["X"]]', "row 2, cars: found"),
        ("cars", "[", "row 2, cars: found '['"),
        ("engines", "[1]", "row 2, engines: found '[1]'"),
        ("uses", '[["A","B",[0.1]]]', "as many uses in each stretch as there are cars"),
        ("uses", '[["A","B",["x",1]]]', "row 2, uses: found"),
        ("uses", "[" * 100_000, "row 2, uses: found"),
    ],
)
def test_a_damaged_row_is_one_line(tmp_path: Path, column: str, cell: str, said: str) -> None:
    append_run(tmp_path, RUN)
    path = tmp_path / RUNS
    head, row = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
    row[head.index(column)] = cell
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([head, row])
    before = path.read_bytes()
    with pytest.raises(InputError) as raised:
        read_runs(tmp_path)
    (problem,) = raised.value.problems
    assert said in str(problem)
    with pytest.raises(InputError):
        take_back_run(tmp_path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"a,b\n1,2\n", b'time,"train\n'])
def test_what_is_no_log_is_one_line(tmp_path: Path, content: bytes) -> None:
    (tmp_path / RUNS).write_bytes(content)
    with pytest.raises(InputError) as raised:
        read_runs(tmp_path)
    assert len(raised.value.problems) == 1


def test_runs_that_several_log_at_once_are_all_kept(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from consist.intake import LoggedRun, append_run\n"
        "for k in range(8): append_run(Path(sys.argv[1]), LoggedRun('', f'{sys.argv[2]} {k}', 'clean'))"
    )
    many = [subprocess.Popen([sys.executable, "-c", code, str(tmp_path), str(each)]) for each in range(4)]
    assert [one.wait(60) for one in many] == [0, 0, 0, 0]
    assert sorted(run.train for run in read_runs(tmp_path)) == sorted(f"{a} {b}" for a in range(4) for b in range(8))
    assert [path.name for path in tmp_path.iterdir()] == [RUNS]
