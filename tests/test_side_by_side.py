"""Pieces of work done by several processes: the same answers, in the same order, whatever happens to a process."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from functools import partial
from multiprocessing.context import ForkProcess
from pathlib import Path
from typing import TypeVar

import pytest

import consist
from consist import side_by_side as module
from consist.errors import InputError, refuse
from consist.evening import overview
from consist.side_by_side import Piece, side_by_side

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


@ON_LINUX
def test_answers_come_in_order_from_several_processes() -> None:
    found = side_by_side(_pieces(_who))
    assert [number for number, _ in found] == list(range(12))
    assert len({process for _, process in found}) == 3


def _ended() -> float:
    time.sleep(0.02)
    return time.monotonic()


@ON_LINUX
def test_what_takes_longest_is_begun_first() -> None:
    pieces = [Piece(str(seconds), seconds, _ended) for seconds in (0.05, 3.0, 1.0)]
    pieces += [Piece("more", 0.01, time.monotonic) for _ in range(30)]
    ends = side_by_side(pieces)
    assert max(ends[:3]) < min(ends[3:]) + 0.02


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
def test_where_no_more_processes_can_be_had_those_there_are_do_all(monkeypatch: pytest.MonkeyPatch, had: int) -> None:
    start = ForkProcess.start
    started: list[ForkProcess] = []

    def refused(process: ForkProcess) -> None:
        if len(started) == had:
            raise BlockingIOError(11, "Resource temporarily unavailable")
        started.append(process)
        start(process)

    monkeypatch.setattr(ForkProcess, "start", refused)
    found = side_by_side(_pieces(_who))
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
