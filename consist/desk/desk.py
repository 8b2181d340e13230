"""The desk: an evening changed while it goes on. Changes go in, results and events come out.

Nothing here knows of a server or of a file: a desk is given a session and what was done to it before, keeps each
entry by a function that it is given, and tells those who listen. The state is the session with the changes of all
entries that are not undone, one after another; it is made afresh from them whenever one is undone.

>>> import consist
>>> desk = Desk(consist.load("sample_sessions/sunday_shelf"))
>>> done = desk.change(Who("1", "Ada"), 0, [Take(("PQF 201",))])
>>> done.revision, [check.train for check in done.trains], len(desk.session.train("Creamery 5").cars)
(1, ['Creamery 5'], 5)
>>> desk.undo(Who("1", "Ada")).revision, len(desk.session.train("Creamery 5").cars)
(2, 6)
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice
from typing import Any

from consist.changes import Add, Bring, Change, Engines, Load, Move, Stand, Take, Weigh
from consist.errors import ChangeError, ConsistError
from consist.evening.check import check, check_train
from consist.evening.results import SessionCheck, TrainCheck
from consist.intake import LoggedRun
from consist.learning import log_run
from consist.names import one_of, plain
from consist.session import Session, Train

__all__ = ["Before", "Desk", "Done", "Entry", "StaleError", "Who"]

A_CHECKPOINT = 64
"""So many entries are done again at most where the last of them is undone."""
MOST_AT_ONCE = 100
"""Changes of one entry."""


@dataclass(frozen=True)
class Who:
    """Who does something: an identity that stays, a name to show, and whether they may undo what others did."""

    key: str
    name: str
    host: bool = False


@dataclass(frozen=True)
class Entry:
    """One thing done at the desk: changes, or the undoing of an earlier entry, or a task ticked or unticked."""

    revision: int
    key: str
    name: str
    at: str
    changes: tuple[Change, ...] = ()
    undoes: int | None = None
    task: str | None = None
    done: bool = False


@dataclass(frozen=True)
class Before:
    """What a train's check said before the last thing that changed it."""

    verdict: str
    margin: float | None
    side_use: float
    power_use: float | None
    uses: Mapping[str, float]

    @classmethod
    def of(cls, one: TrainCheck) -> Before:
        """The same of a check."""
        return cls(one.verdict, one.margin, one.side_use, one.power.use, {car.car: car.side_use for car in one.cars})


@dataclass(frozen=True)
class Done:
    """What came of something done: the new revision, and the checks of the trains that it changed."""

    revision: int
    trains: tuple[TrainCheck, ...]
    entry: Entry


class StaleError(ConsistError):
    """A change made from an old state, where somebody has changed the same meanwhile; `since` is what they did."""

    def __init__(self, revision: int, since: Iterable[Entry]) -> None:
        self.revision, self.since = revision, tuple(since)
        super().__init__(self.revision, self.since)

    def __str__(self) -> str:
        names = " and ".join(dict.fromkeys(plain(entry.name) for entry in self.since))
        return f"{names or 'somebody'} changed the same meanwhile; look at it as it is now, then change it again"


class Desk:
    """One evening at the desk; whoever calls it waits until the one before is done.

    `first` is the revision from which the entries count, `ticked` the tasks done before them. `keep` is called with
    each entry before it takes effect; where it raises, nothing has changed. Whatever is in `hearing` is called with
    what was done. Raises `ChangeError` where the entries cannot be done to the session.
    """

    def __init__(
        self,
        session: Session,
        entries: Iterable[Entry] = (),
        *,
        first: int = 0,
        ticked: Iterable[str] = (),
        keep: Callable[[Entry], None] = lambda entry: None,
        now: Callable[[], datetime] = datetime.now,
    ) -> None:
        self.first, self.entries, self.ticked = first, list(entries), frozenset(ticked)
        self.keep, self.now = keep, now
        self.hearing: list[Callable[[Done], None]] = []
        self._turn = threading.RLock()
        self._undone = _undone(self.entries)
        self._checkpoints = [_bare(session)]
        try:
            self.session = self._again(self._undone, 0)
        except _FailedError as failed:
            raise ChangeError(f"{plain(failed.entry.name)}'s change {failed.entry.revision}: {failed}") from failed
        for entry in self.entries:
            self._tick(entry)
        self.before: dict[str, Before] = {}
        self.check_all()

    def check_all(self) -> None:
        """Check every train as it now is."""
        self.checks = {one.train: one for one in check(self.session, ranges=False).trains}

    @property
    def revision(self) -> int:
        """The number of the state: one more with each entry."""
        return self.first + len(self.entries)

    @property
    def checked(self) -> SessionCheck:
        """The checks of all trains, as `consist.check` gives them."""
        trains = tuple(self.checks[train.name] for train in self.session.trains)
        return SessionCheck(self.session.title, self.session.layout.name, trains, self.session.notes)

    @property
    def undone(self) -> frozenset[int]:
        """The revisions of entries that are undone."""
        return frozenset(self._undone)

    @property
    def changed(self) -> bool:
        """Whether the session is not as its tables are."""
        return any(entry.changes and entry.revision not in self._undone for entry in self.entries)

    def since(self, revision: int) -> list[Entry]:
        """The entries after a revision."""
        return self.entries[max(revision - self.first, 0) :]

    def change(self, who: Who, revision: int, changes: Sequence[Change]) -> Done:
        """Make changes that were asked for when the state was of that revision.

        Raises `ChangeError` for one that cannot be, and `StaleError` where what it touches was changed since.
        """
        with self._turn:
            if not changes:
                raise ChangeError("found no change; say at least one")
            if len(changes) > MOST_AT_ONCE:
                raise ChangeError(f"found {len(changes)} changes at once, expected at most {MOST_AT_ONCE}; part them")
            if not self.first <= revision <= self.revision:
                raise StaleError(self.revision, self.since(self.first))
            if revision < self.revision:
                self._check_apart(revision, changes)
            return self._do(self._entry(who, changes=tuple(changes)), self.session.with_changes(changes))

    def _check_apart(self, revision: int, changes: Sequence[Change]) -> None:
        """Raise `StaleError` where entries since touch what the changes do."""
        mine = _touched(self.session, changes)
        others = [
            entry
            for entry in self.since(revision)
            if entry.undoes is not None or mine & _touched(self.session, entry.changes)
        ]
        if others:
            raise StaleError(self.revision, others)

    def undo(self, who: Who, of: int | None = None) -> Done:
        """Undo an entry, or the last of one's own; what undid another is undone by doing that again.

        Raises `ChangeError` where it is another's and not the host's to undo, or where later changes need it.
        """
        with self._turn:
            entry = self._to_undo(who, of)
            undoing = self._entry(who, undoes=entry.revision)
            undone = _undone([*self.entries, undoing])
            first = min(undone ^ self._undone, default=undoing.revision) - self.first - 1
            try:
                session = self._again(undone, first, tried=True)
            except _FailedError as failed:
                later = failed.entry
                told = f"{plain(later.name)}'s change {later.revision} needs it: {failed}; undo that one first"
                raise ChangeError(f"change {entry.revision} cannot be undone now, since {told}") from failed
            done = self._do(undoing, session)
            self._undone = undone
            del self._checkpoints[first // A_CHECKPOINT + 1 :]
            self._again(undone, first)
            return done

    def _to_undo(self, who: Who, of: int | None) -> Entry:
        if of is None:
            mine = (
                entry
                for entry in reversed(self.entries)
                if entry.key == who.key and entry.changes and entry.revision not in self._undone
            )
            entry = next(mine, None)
            if entry is None:
                raise ChangeError("you have changed nothing that could be undone")
            return entry
        if not self.first < of <= self.revision:
            saved = "is saved, and its tables' copies have what stood before" if 0 < of <= self.first else "is none"
            raise ChangeError(f"change {of} {saved}; undo one from {self.first + 1} to {self.revision}")
        entry = self.entries[of - self.first - 1]
        if not who.host and entry.key != who.key:
            raise ChangeError(f"change {of} is {plain(entry.name)}'s; ask them or the host to undo it")
        if entry.revision in self._undone:
            raise ChangeError(f"change {of} is undone already")
        if entry.task is not None:
            raise ChangeError(f"entry {of} is a tick; tick or untick the task itself")
        return entry

    def log(self, run: Mapping[str, Any]) -> LoggedRun:
        """Note in the session's folder how a train ran as it now is; `run` as `asked_to_log` gives it."""
        with self._turn:
            return log_run(self.session, **run)

    def tick(self, who: Who, task: str, done: bool) -> Done:
        """Note a task as done, or as not done after all."""
        with self._turn:
            finished = self._do(self._entry(who, task=task, done=done), self.session)
            self._tick(finished.entry)
            return finished

    def _tick(self, entry: Entry) -> None:
        if entry.task is not None:
            self.ticked = self.ticked | {entry.task} if entry.done else self.ticked - {entry.task}

    def saved(self, session: Session) -> None:
        """Go on from a session as it was saved: what was done until now is undone no more."""
        with self._turn:
            self.first, self.entries, self._undone = self.revision, [], set()
            self.session = session
            self._checkpoints = [_bare(session)]

    def _entry(self, who: Who, **what: object) -> Entry:
        at = self.now().isoformat(timespec="seconds")
        return replace(Entry(self.revision + 1, who.key, who.name, at), **what)  # type: ignore[arg-type]

    def _do(self, entry: Entry, session: Session) -> Done:
        """Check what an entry makes of the session, keep the entry, and let it take effect."""
        names = _unlike(self.session, session)
        if session is not self.session:
            # routes as arrays, and trains that stay as they are
            session.kept.update(self.session.kept)
        found = {name: check_train(session, session.train(name)) for name in names}
        self.keep(entry)
        self.entries.append(entry)
        self.session = session
        self.before |= {name: Before.of(self.checks[name]) for name in found if name in self.checks}
        self.checks |= found
        if len(self.entries) % A_CHECKPOINT == 0 and entry.undoes is None:
            self._checkpoints.append(_bare(session))
        done = Done(self.revision, tuple(found.values()), entry)
        for hear in self.hearing:
            hear(done)
        return done

    def _again(self, undone: set[int], first: int, *, tried: bool = False) -> Session:
        """The session made afresh with some entries undone, the first of which is the one at that place.

        Checkpoints are made on the way, unless it is only `tried`.
        """
        checkpoint = min(first // A_CHECKPOINT, len(self._checkpoints) - 1)
        session = self._checkpoints[checkpoint]
        start = checkpoint * A_CHECKPOINT
        for number, entry in enumerate(islice(self.entries, start, None), start=start + 1):
            if entry.changes and entry.revision not in undone:
                try:
                    session = session.with_changes(entry.changes)
                except ConsistError as error:
                    raise _FailedError(str(error), entry) from error
            if not tried and number % A_CHECKPOINT == 0 and number // A_CHECKPOINT >= len(self._checkpoints):
                self._checkpoints.append(_bare(session))
        return session


class _FailedError(Exception):
    """An entry that cannot be done again."""

    def __init__(self, text: str, entry: Entry) -> None:
        super().__init__(text)
        self.entry = entry


def _bare(session: Session) -> Session:
    """The same session without what was worked out of it, which takes room."""
    return replace(session)


def _undone(entries: Sequence[Entry]) -> set[int]:
    """The revisions of entries that are undone by others that are not undone themselves."""
    undone: set[int] = set()
    for entry in reversed(entries):
        if entry.undoes is not None and entry.revision not in undone:
            undone.add(entry.undoes)
    return undone


def _unlike(one: Session, other: Session) -> list[str]:
    """The trains that are not alike in both."""
    pairs = zip(one.trains, other.trains, strict=True)
    return [train.name for was, train in pairs if was is not train and _made_of(was) != _made_of(train)]


def _made_of(train: Train) -> tuple[object, ...]:
    return train.cars, train.engines, train.helpers


def _touched(session: Session, changes: Iterable[Change]) -> set[tuple[str, str]]:
    """What changes touch: cars, the order or the engines of a train, an engine."""
    return {each for change in changes for each in _touches(session, change)}


def _touches(session: Session, change: Change) -> Iterator[tuple[str, str]]:
    match change:
        case Take(cars, train):
            yield from _of_cars(session, cars)
            if train is not None:
                yield "order", _train(session, train)
        case Add(train, car):
            yield from _of_cars(session, (car,))
            yield "order", _train(session, train)
        case Move(train, cars) | Stand(train, cars):
            yield from _of_cars(session, cars)
            yield "order", _train(session, train)
        case Load(_, cars):
            yield from (("car", _car(session, car)) for car in cars)
        case Engines(train, engines, helpers):
            yield "engines", _train(session, train)
            yield from (("engine", engine) for engine in (*(engines or ()), *(helpers or ())))
        case Weigh(car) | Bring(car):
            yield "car", _car(session, car)


def _of_cars(session: Session, cars: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Cars, and the order of the trains that they ride in."""
    names = {_car(session, car) for car in cars}
    yield from (("car", name) for name in names)
    riding = (train for train in session.trains if any(each.car.name in names for each in train.cars))
    yield from (("order", train.name) for train in riding)


def _car(session: Session, name: str) -> str:
    return one_of(name, session.cars) or name


def _train(session: Session, name: str) -> str:
    with suppress(ConsistError):
        return session.train(name).name
    return name
