"""What if: the options that change a session before a command looks at it, and what it was before."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, Any

from consist.cli.answering import printed
from consist.cli.completion import cars, engines
from consist.cli.options import option
from consist.errors import refuse
from consist.names import listed, one_of, quoted, tidy

if TYPE_CHECKING:
    from consist.changes import Change
    from consist.evening import SessionCheck, TrainCheck
    from consist.session import Session, Train
    from consist.wording import Units

__all__ = ["AddOption", "CarsOption", "EnginesOption", "WeighOption", "WithoutOption", "told_before", "what_if"]

WHAT_IF = "What if (no file is changed)"
WITHOUT_HELP = "What if this car, or engine, were left out? May be given again."


def _asked(metavar: str, help: str, names: Any = cars) -> Any:
    """An option that asks what if."""
    return option(metavar, help, rich_help_panel=WHAT_IF, autocompletion=names)


WithoutOption = Annotated[list[str] | None, _asked("CAR|ENGINE", WITHOUT_HELP)]
AddOption = Annotated[
    list[str] | None,
    _asked("CAR[@SPOT]", "What if this car rode too, at that spot or else at the rear? May be given again."),
]
CarsOption = Annotated[
    str | None,
    _asked("'A, B, C'", "What if the train were just these cars, head end first? - reads a car a line from stdin."),
]
EnginesOption = Annotated[
    str | None, _asked("'A, B'", "What if these engines were at the head end, leading first?", engines)
]
WeighOption = Annotated[
    list[str] | None, _asked("CAR=WEIGHT", "What if this car weighed that, such as 4.6oz? May be given again.")
]


def what_if(
    session: Session,
    train: str | None,
    without: Sequence[str] | None,
    add: Sequence[str] | None,
    cars: str | None,
    engines: str | None,
    weigh: Sequence[str] | None,
) -> tuple[Session, tuple[TrainCheck, ...] | None]:
    """The session with the changes asked for, and each changed train's check as it was; None where none are asked."""
    changes = [*_changes(session, train, without or (), add or (), cars, engines, weigh or ())]
    if not changes:
        return session, None
    import consist
    from consist.report.terminal.progress import shown_progress

    after = session.with_changes(changes)
    changed = [one.name for one, now in zip(session.trains, after.trains, strict=True) if one != now]
    shown = [name for name in changed if train in (None, name)]
    with shown_progress("Checking as it was:") as progress:
        return after, tuple(consist.check(session, name, progress, ranges=False).train(name) for name in shown)


def _changes(
    session: Session,
    train: str | None,
    without: Sequence[str],
    add: Sequence[str],
    cars: str | None,
    engines: str | None,
    weigh: Sequence[str],
) -> Iterator[Change]:
    from consist.bench.lengths import parse_done
    from consist.changes import Add, Engines, LayUp, Stand, Take, Weigh

    if cars is not None:
        yield Stand(_one_train(session, train, "--cars").name, tuple(_cars(cars)))
    for name in without:
        if name in session.engines:
            yield LayUp(name)
        else:
            rides = train is not None and one_of(name, [car.car.name for car in session.train(train).cars])
            yield Take((name,), train if rides else None)
    for written in add:
        name, at, spot = written.rpartition("@")
        if at and not spot.strip().isdecimal():
            raise refuse("--add", f"found {quoted(written)}, expected CAR or CAR@SPOT; write it like 'NQH 930@4'")
        of_train = _one_train(session, train, "--add").name
        yield Add(of_train, tidy(name), int(spot)) if at else Add(of_train, tidy(written))
    if engines is not None:
        yield Engines(_one_train(session, train, "--engines").name, tuple(_names(engines)))
    for written in weigh:
        yield Weigh(*parse_done(written, "--weigh"))


def _one_train(session: Session, train: str | None, asking: str) -> Train:
    """The train that is named, or the only one there is."""
    if train is None and len(session.trains) != 1:
        names = listed(each.name for each in session.trains)
        raise refuse(asking, f"found no --train beside it, expected the train that is meant; name one of {names}")
    return session.train(train) if train is not None else session.trains[0]


def _cars(written: str) -> list[str]:
    return _names(sys.stdin.read().replace("\n", ",")) if written.strip() == "-" else _names(written)


def _names(written: str) -> list[str]:
    return [name for name in map(tidy, written.split(",")) if name]


def told_before(
    before: Sequence[TrainCheck] | None, after: Session, units: Units, known: SessionCheck | None = None
) -> None:
    """Print a line for each train that was changed: what it was, and what it is by a check, `known` or made now."""
    if not before:
        return
    import consist
    from consist.report.sheets.before import before_words
    from consist.report.terminal import plain_lines, this_terminal
    from consist.report.terminal.progress import shown_progress

    for was in before:
        with shown_progress() as progress:
            now = (known or consist.check(after, was.train, progress, ranges=False)).train(was.train)
        printed(plain_lines(before_words(was, now, after.train(was.train), units), width=this_terminal().width))
    printed("\n")
