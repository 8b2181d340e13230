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
    numbers = range(len(pieces))
    seconds = [piece.seconds for piece in pieces]
    others = min(_cores(), len(pieces)) - 1
    if others < 1 or len(pieces) > MOST_PIECES or sum(seconds) - max(seconds) < WORTH_FORKING_S:
        return [_begun(piece, number, len(pieces), progress).do() for number, piece in enumerate(pieces)]
    longest_first = sorted(numbers, key=lambda number: -seconds[number])
    queue = _Queue(longest_first)
    processes = [_Other(queue, pieces) for _ in range(others)]
    try:
        done: dict[int, _Done] = {}
        for number in queue:
            done[number] = _do(_begun(pieces[number], longest_first.index(number), len(pieces), progress))
        for process in processes:
            done.update(process.done())
    finally:
        for process in processes:
            process.end()
    # a process that was killed leaves its pieces to this one
    ended = [done[number] if number in done else _do(pieces[number]) for number in numbers]
    for each in ended:
        if each.error is not None:
            raise each.error
    return [each.answer for each in ended]


def _begun(piece: Piece[T], number: int, count: int, progress: Progress | None) -> Piece[T]:
    if progress is not None:
        progress(piece.name, number, count)
    return piece


def _do(piece: Piece[T]) -> _Done:
    try:
        return _Done(piece.do())
    except Exception as error:
        return _Done(error=error)


def _cores() -> int:
    """How many cores may be used from here."""
    may_fork = threading.current_thread() is threading.main_thread() and multiprocessing.parent_process() is None
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" and may_fork else 1


class _Queue:
    """Numbers of pieces, each taken by the first process that asks for one."""

    def __init__(self, numbers: Sequence[int]) -> None:
        self._out, into = os.pipe()
        os.write(into, b"".join(number.to_bytes(BYTES, "big") for number in numbers))
        os.close(into)

    def __iter__(self) -> Iterator[int]:
        while taken := os.read(self._out, BYTES):
            yield int.from_bytes(taken, "big")

    def __del__(self) -> None:
        os.close(self._out)


class _Other:
    """Another process at work on what is in a queue."""

    def __init__(self, queue: _Queue, pieces: Sequence[Piece[Any]]) -> None:
        fork = multiprocessing.get_context("fork")
        self._answer, answer = fork.Pipe(duplex=False)
        self._process = fork.Process(target=_take_part, args=(queue, pieces, answer), daemon=True)
        with warnings.catch_warnings():
            # Python warns of threads at a fork; those of numerical libraries are ready for it
            warnings.simplefilter("ignore", DeprecationWarning)
            self._process.start()
        answer.close()

    def done(self) -> dict[int, _Done]:
        """What it has done, once there is no more to do; nothing where it was killed."""
        try:
            done: dict[int, _Done] = self._answer.recv()
        except EOFError:
            return {}
        return done

    def end(self) -> None:
        """End it, at work or not."""
        self._process.kill()
        self._process.join()
        self._answer.close()


def _take_part(queue: _Queue, pieces: Sequence[Piece[Any]], answer: Connection) -> None:
    # Ctrl-C is for the first process, which ends this one
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    done = {number: _do(pieces[number]) for number in queue}
    with suppress(BrokenPipeError):
        answer.send(done)
