"""Pieces of work that do not need one another, done side by side on as many cores as the machine has.

Other cores are put to use by forked processes: they have all that was loaded and read, and so cost some hundredths of
a second. That is safe on Linux, from the main thread; elsewhere pieces are done one after another. The answers are
the same.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import ForkProcess
from typing import Any, Generic, TypeVar

__all__ = ["Piece", "Progress", "side_by_side"]

T = TypeVar("T")

Progress = Callable[[str, int, int], None]
"""Called before each piece of long work with its name, how many were begun before it and how many there are."""

WORTH_FORKING_S = 0.1
"""With less than this to do beside the longest piece, another process is not worth its while."""
MOST_PIECES = 10_000
"""So many numbers are sure to fit into a pipe that nobody reads yet."""
BYTES = 4
"""Of a number in it."""


@dataclass(frozen=True)
class Piece(Generic[T]):
    """A piece of work, by the name of what it is for, and about how long it takes."""

    name: str
    seconds: float
    do: Callable[[], T]


@dataclass(frozen=True)
class _Done:
    """What a piece gave, or what it failed with."""

    answer: Any = None
    error: Exception | None = None


def side_by_side(pieces: Sequence[Piece[T]], progress: Progress | None = None) -> list[T]:
    """What the pieces give, in their order; of errors the first piece's is raised."""
    count, seconds = len(pieces), [piece.seconds for piece in pieces]
    others = min(_cores(), count) - 1
    if others < 1 or count > MOST_PIECES or sum(seconds) - max(seconds) < WORTH_FORKING_S:
        return [_begun(piece, number, count, progress).do() for number, piece in enumerate(pieces)]
    longest_first = sorted(range(count), key=lambda number: -seconds[number])
    queue, into = os.pipe()
    os.write(into, b"".join(number.to_bytes(BYTES, "big") for number in longest_first))
    os.close(into)
    processes: list[tuple[ForkProcess, Connection]] = []
    done: dict[int, _Done] = {}
    try:
        # where no more processes can be had, those there are do all
        with suppress(OSError):
            for _ in range(others):
                processes.append(_started(queue, pieces))
        for number in _taken(queue):
            done[number] = _do(_begun(pieces[number], longest_first.index(number), count, progress))
        for _, answer in processes:
            # a process that was killed leaves its pieces to this one
            with suppress(EOFError):
                done.update(answer.recv())
    finally:
        os.close(queue)
        for process, answer in processes:
            process.kill()
            process.join()
            answer.close()
    ended = [done.get(number) or _do(piece) for number, piece in enumerate(pieces)]
    for each in ended:
        if each.error is not None:
            raise each.error
    return [each.answer for each in ended]


def _begun(piece: Piece[T], number: int, count: int, progress: Progress | None) -> Piece[T]:
    if progress is not None:
        progress(piece.name, number, count)
    return piece


def _do(piece: Piece[Any]) -> _Done:
    try:
        return _Done(piece.do())
    except Exception as error:
        return _Done(error=error)


def _cores() -> int:
    """How many cores may be used from here."""
    may_fork = threading.current_thread() is threading.main_thread() and multiprocessing.parent_process() is None
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" and may_fork else 1


def _taken(queue: int) -> Iterator[int]:
    """Numbers of pieces from a pipe, each taken by the first process that asks for one."""
    while number := os.read(queue, BYTES):
        yield int.from_bytes(number, "big")


def _started(queue: int, pieces: Sequence[Piece[Any]]) -> tuple[ForkProcess, Connection]:
    """Another process at work on what is in a queue, and where it tells what it has done, at its end."""
    fork = multiprocessing.get_context("fork")
    answer, into = fork.Pipe(duplex=False)
    process = fork.Process(target=_take_part, args=(queue, pieces, into), daemon=True)
    with warnings.catch_warnings():
        # Python warns of threads at a fork; those of numerical libraries are ready for it
        warnings.simplefilter("ignore", DeprecationWarning)
        process.start()
    into.close()
    return process, answer


def _take_part(queue: int, pieces: Sequence[Piece[Any]], answer: Connection) -> None:
    # Ctrl-C is for the first process, which ends this one
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    done = {number: _do(pieces[number]) for number in _taken(queue)}
    with suppress(BrokenPipeError):
        answer.send(done)
