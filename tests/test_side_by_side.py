"""Pieces of work done by several processes: the same answers, in the same order, whatever happens to a process."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from functools import partial
from multiprocessing.context import ForkProcess
from pathlib import Path
from typing import TypeVar

import numpy as np
import pytest
from many_sessions import random_session

import consist
from consist import side_by_side as module
from consist.errors import InputError, refuse
from consist.evening import overview
from consist.mechanics import Peaks, run
from consist.side_by_side import WHOLE, Part, Piece, in_parts, side_by_side
from consist.trains import prepared

__all__: list[str] = []

T = TypeVar("T")
CLUB = Path(__file__).parents[1] / "sample_sessions" / "club_night"
ON_LINUX = pytest.mark.skipif(sys.platform != "linux", reason="processes are forked on Linux alone")


@pytest.fixture(autouse=True)
def three_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1, 2}, raising=False)


def _pieces(do: Callable[[int], T], count: int = 12, seconds: float = 1.0) -> list[Piece[T]]:
    return [Piece(f"piece {number}", seconds, partial(do, number)) for number in range(count)]


def _who(number: int) -> tuple[int, int]:
    time.sleep(0.01)
    return number, os.getpid()


def _who_of(processes: int, seen: Path) -> Callable[[int], tuple[int, int]]:
    """Who does a piece, once so many processes have begun one."""

    def who(number: int) -> tuple[int, int]:
        with seen.open("a") as file:
            file.write(f"{os.getpid()}\n")
        ended = time.monotonic() + 30.0
        while len({*seen.read_text().split()}) < processes and time.monotonic() < ended:
            time.sleep(0.001)
        return number, os.getpid()

    return who


@ON_LINUX
def test_answers_come_in_order_from_several_processes(tmp_path: Path) -> None:
    found = side_by_side(_pieces(_who_of(3, tmp_path / "seen")))
    assert [number for number, _ in found] == list(range(12))
    assert len({process for _, process in found}) == 3


@ON_LINUX
def test_what_takes_longest_is_begun_first(tmp_path: Path) -> None:
    begun = tmp_path / "begun"

    def begin(name: str) -> None:
        with begun.open("a") as file:
            file.write(f"{name}\n")
        time.sleep(0.001)

    long = [Piece(str(seconds), seconds, partial(begin, str(seconds))) for seconds in (0.05, 3.0, 1.0)]
    side_by_side([*long, *(Piece("more", 0.01, partial(begin, "more")) for _ in range(30))])
    # of three processes two may write down late what they took early
    assert {"0.05", "3.0", "1.0"} <= {*begun.read_text().split()[:5]}


def test_little_work_stays_in_this_process() -> None:
    found = side_by_side(_pieces(_who, seconds=0.001))
    assert {process for _, process in found} == {os.getpid()}


def test_work_asked_for_by_another_thread_stays_in_this_process() -> None:
    found: list[tuple[int, int]] = []
    asked = threading.Thread(target=lambda: found.extend(side_by_side(_pieces(_who))))
    asked.start()
    asked.join()
    assert {process for _, process in found} == {os.getpid()}


def _refused(number: int) -> int:
    time.sleep(0.01)
    if number in (4, 9):
        raise refuse(f"train {number}", "found nothing")
    return number


def test_the_first_pieces_error_is_raised_with_all_its_problems() -> None:
    for seconds in (0.001, 1.0):
        with pytest.raises(InputError) as caught:
            side_by_side(_pieces(_refused, seconds=seconds))
        assert [problem.file for problem in caught.value.problems] == ["train 4"]


@ON_LINUX
def test_a_process_that_is_killed_leaves_its_pieces_to_this_one() -> None:
    own = os.getpid()

    def killed(number: int) -> int:
        time.sleep(0.01)
        if os.getpid() != own:
            os.kill(os.getpid(), signal.SIGKILL)
        return number

    assert side_by_side(_pieces(killed)) == list(range(12))


@ON_LINUX
@pytest.mark.parametrize("had", [0, 1])
def test_where_no_more_processes_can_be_had_those_there_are_do_all(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, had: int
) -> None:
    start = ForkProcess.start
    started: list[ForkProcess] = []

    def refused(process: ForkProcess) -> None:
        if len(started) == had:
            raise BlockingIOError(11, "Resource temporarily unavailable")
        started.append(process)
        start(process)

    monkeypatch.setattr(ForkProcess, "start", refused)
    found = side_by_side(_pieces(_who_of(1 + had, tmp_path / "seen")))
    assert [number for number, _ in found] == list(range(12))
    assert len({process for _, process in found}) == 1 + had
    assert not multiprocessing.active_children()


@ON_LINUX
def test_an_interrupt_ends_all_processes_at_once() -> None:
    own, started = os.getpid(), time.monotonic()

    def interrupted(number: int) -> int:
        if os.getpid() != own:
            time.sleep(60.0)
        elif number < 6:
            raise KeyboardInterrupt
        return number

    with pytest.raises(KeyboardInterrupt):
        side_by_side(_pieces(interrupted))
    assert time.monotonic() - started < 10.0
    assert not multiprocessing.active_children()


def _told(part: Part) -> list[list[tuple[int, int]]]:
    return [part.tell((part.number, os.getpid())), part.tell((10 * part.number, os.getpid()))]


@ON_LINUX
def test_parts_are_told_what_all_found() -> None:
    first, second = in_parts(_told, 1.0)
    assert [number for number, _ in first] == [0, 1, 2]
    assert [number for number, _ in second] == [0, 10, 20]
    assert len({process for _, process in first}) == 3


def test_little_work_is_not_parted() -> None:
    assert in_parts(_told, module.WORTH_FORKING_S) == [[(0, os.getpid())], [(0, os.getpid())]]


@ON_LINUX
def test_a_piece_that_is_done_beside_others_is_not_parted_too() -> None:
    def parts(number: int) -> int:
        time.sleep(0.01)
        return len(in_parts(_told, 1.0)[0])

    assert side_by_side(_pieces(parts)) == [1] * 12


@pytest.mark.parametrize("count", [0, 1, 2, 7, 100])
def test_parts_share_all_there_is_once(count: int) -> None:
    shares = [Part(number, 3).own(count) for number in range(3)]
    assert [each for share in shares for each in range(count)[share]] == list(range(count))
    assert WHOLE.own(count) == slice(0, count)


@ON_LINUX
def test_work_whose_parts_are_killed_is_done_whole() -> None:
    own = os.getpid()

    def killed(part: Part) -> int:
        part.tell(1)
        if os.getpid() != own:
            os.kill(os.getpid(), signal.SIGKILL)
        return len(part.tell(2))

    assert in_parts(killed, 1.0) == 1
    assert not multiprocessing.active_children()


KILLED = """
import os, signal
from consist import side_by_side

def killed(part):
    told = part.tell(os.getpid())
    if part.number == 0:
        print(*told, flush=True)
        os.kill(os.getpid(), signal.SIGKILL)
    part.tell(None)

side_by_side._cores = lambda: 3
side_by_side.in_parts(killed, 1.0)
"""


@ON_LINUX
def test_no_part_outlives_a_first_process_that_is_killed() -> None:
    first = subprocess.Popen([sys.executable, "-c", KILLED], stdout=subprocess.PIPE, text=True)
    assert first.stdout is not None
    processes = [int(word) for word in first.stdout.readline().split()]
    assert first.wait() == -signal.SIGKILL
    assert len(set(processes)) == 3
    ended = time.monotonic() + 10.0
    while any(_lives(process) for process in processes):
        assert time.monotonic() < ended
        time.sleep(0.01)


def _lives(process: int) -> bool:
    state = Path(f"/proc/{process}/stat")
    try:
        return state.read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


def _same(left: Peaks, right: Peaks) -> bool:
    pairs = [
        (getattr(left, name), getattr(right, name)) for name in ("use", "tension", "buff", "power_use", "hold_use")
    ]
    alike = all(np.array_equal(a.value, b.value) and np.array_equal(a.head_mm, b.head_mm) for a, b in pairs)
    return alike and np.array_equal(left.in_buff, right.in_buff)


@ON_LINUX
@pytest.mark.parametrize("cores", [2, 3, 5])
def test_a_train_run_in_parts_comes_to_the_same_figures_bit_for_bit(
    monkeypatch: pytest.MonkeyPatch, cores: int
) -> None:
    monkeypatch.setattr(module, "_cores", lambda: cores)
    for seed in range(40, 60):
        drawn = random_session(seed)
        for leg in prepared(drawn.session, drawn.train).run().legs:
            do = partial(run, leg.vehicles, leg.tables, leg.from_mm, leg.to_mm, leg.limits)
            assert _same(in_parts(do, 1.0), do(WHOLE)), seed


def test_progress_is_told_of_what_is_begun_here() -> None:
    told: list[tuple[str, int, int]] = []
    side_by_side(_pieces(_who), lambda *step: told.append(step))
    numbers = [number for _, number, _ in told]
    assert numbers == sorted(numbers)
    assert {count for _, _, count in told} == {12}
    assert all(name.startswith("piece ") for name, _, _ in told)


def test_no_pieces_give_no_answers() -> None:
    assert side_by_side([]) == []


def test_an_evening_is_the_same_whoever_works_it_out(monkeypatch: pytest.MonkeyPatch) -> None:
    together = consist.load(CLUB)
    checked, door, whole = consist.check(together), consist.screen_guests(together), overview(together)
    monkeypatch.setattr(module, "_cores", lambda: 1)
    alone = consist.load(CLUB)
    assert consist.check(alone) == checked
    assert consist.screen_guests(alone) == door
    again = overview(alone)
    assert all(seen.train is train for seen, train in zip(whole.trains, together.trains, strict=True))
    assert (again.check, again.power, again.bench, again.door) == (whole.check, whole.power, whole.bench, whole.door)
    assert [train.engines for train in again.trains] == [train.engines for train in whole.trains]
