"""Pieces of work that do not need one another, or parts of one, done side by side on all cores of a machine.

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
from functools import partial
from multiprocessing.connection import Connection
from multiprocessing.context import ForkProcess
from typing import Any, Generic, TypeVar

__all__ = ["WHOLE", "Part", "Piece", "Progress", "in_parts", "side_by_side"]

T = TypeVar("T")

Progress = Callable[[str, int, int], None]
"""Called before each piece of long work with its name, how many were begun before it and how many there are."""

Processes = list[tuple[ForkProcess, Connection]]
"""Other processes at work, each with the connection to it."""

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
class Part:
    """One of several parts of a piece of work, and how they `tell` one another what they found so far.

    All parts must tell equally often; each is given what all told, in the order of the parts.
    """

    number: int = 0
    of: int = 1
    tell: Callable[[Any], list[Any]] = lambda found: [found]

    def own(self, count: int) -> slice:
        """Its share of so many things in a row."""
        return slice(count * self.number // self.of, count * (self.number + 1) // self.of)


WHOLE = Part()


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
    processes: Processes = []
    done: dict[int, _Done] = {}
    try:
        # where no more processes can be had, those there are do all
        with suppress(OSError):
            for _ in range(others):
                _fork(processes, _take_part, queue, pieces)
        for number in _taken(queue):
            done[number] = _do(_begun(pieces[number], longest_first.index(number), count, progress))
        for _, answer in processes:
            # a process that was killed leaves its pieces to this one
            with suppress(EOFError):
                done.update(answer.recv())
    finally:
        os.close(queue)
        _end(processes)
    ended = [done.get(number) or _do(piece) for number, piece in enumerate(pieces)]
    for each in ended:
        if each.error is not None:
            raise each.error
    return [each.answer for each in ended]


def in_parts(do: Callable[[Part], T], seconds: float) -> T:
    """What the first part gives of work done in as many parts as there are cores and as are worth their while."""
    count = min(_cores(), int(seconds / WORTH_FORKING_S))
    if count < 2:
        return do(WHOLE)
    processes: Processes = []
    try:
        # where a process cannot be had, or was killed, this one does all
        with suppress(OSError, EOFError):
            for number in range(1, count):
                _fork(processes, _do_part, do, number, count)
            return do(Part(0, count, partial(_gather, [others for _, others in processes])))
    finally:
        _end(processes)
    return do(WHOLE)


def _do_part(do: Callable[[Part], Any], number: int, count: int, first: Connection) -> None:
    def tell(found: Any) -> list[Any]:
        first.send(found)
        told: list[Any] = first.recv()
        return told

    with suppress(BrokenPipeError, EOFError):
        do(Part(number, count, tell))


def _gather(others: Sequence[Connection], found: Any) -> list[Any]:
    """What all parts found, which each of the others is told too."""
    told = [found, *(other.recv() for other in others)]
    for other in others:
        other.send(told)
    return told


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
    may_fork = threading.current_thread() is threading.main_thread() and not (
        multiprocessing.parent_process() or multiprocessing.active_children()
    )
    return len(os.sched_getaffinity(0)) if sys.platform == "linux" and may_fork else 1


def _taken(queue: int) -> Iterator[int]:
    """Numbers of pieces from a pipe, each taken by the first process that asks for one."""
    while number := os.read(queue, BYTES):
        yield int.from_bytes(number, "big")


def _fork(processes: Processes, do: Callable[..., None], *given: Any) -> None:
    """Add a process to those at work; `do` is given its end of the connection last."""
    fork = multiprocessing.get_context("fork")
    here, there = fork.Pipe()
    ends = [here, *(connection for _, connection in processes)]
    process = fork.Process(target=_alone, args=(ends, do, *given, there), daemon=True)
    with warnings.catch_warnings():
        # Python warns of threads at a fork; those of numerical libraries are ready for it
        warnings.simplefilter("ignore", DeprecationWarning)
        process.start()
    there.close()
    processes.append((process, here))


def _alone(ends: Sequence[Connection], do: Callable[..., None], *given: Any) -> None:
    # Ctrl-C is for the first process, which ends this one
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # were these held here too, this process would not see that the first was killed
    for end in ends:
        end.close()
    do(*given)


def _end(processes: Processes) -> None:
    for process, connection in processes:
        process.kill()
        process.join()
        connection.close()


def _take_part(queue: int, pieces: Sequence[Piece[Any]], answer: Connection) -> None:
    done = {number: _do(pieces[number]) for number in _taken(queue)}
    with suppress(BrokenPipeError):
        answer.send(done)
