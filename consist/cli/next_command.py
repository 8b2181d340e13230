"""The one command that helps next, told at the end of a command's pages, to be copied into the shell."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from consist.cli.answering import printed

if TYPE_CHECKING:
    from consist.bench.results import BenchList
    from consist.evening import SessionCheck, SessionOrders
    from consist.power.results import PowerPlan
    from consist.wording import Units

__all__ = ["after_bench", "after_check", "after_order", "after_power", "tell_next"]

WEIGHT_HELPS = frozenset({"underweight", "overweight", "not-weighed", "slack", "side-pull", "light-ahead"})


def tell_next(*words: object, when: str = "") -> None:
    """Print the next command, quoted for the shell and on one line; nothing for a name that a shell cannot show."""
    command = shlex.join(["consist", *map(str, words)])
    if command.isprintable():
        printed(f"\nNext{when}: {command}\n")


def after_check(session: Path, check: SessionCheck, *, whole: bool = True) -> None:
    """What mends the first of the gravest trains; where all go and the `whole` session was asked, the report."""
    for level in ("hold", "care"):
        for train in check.trains:
            if train.verdict != level:
                continue
            codes = {finding.code for finding in train.findings if finding.level == level}
            if "power-short" in codes:
                return tell_next("power", session)
            if train.suggestion is not None:
                return tell_next("order", session, "--train", train.train)
            if codes & WEIGHT_HELPS:
                return tell_next("bench", session)
    if whole and check.trains and all(train.verdict == "go" for train in check.trains):
        tell_next("report", session, "--output", "session.html")
    return None


def after_order(session: Path, orders: SessionOrders, written: Path | None, again: list[str]) -> None:
    """Write the orders found, asked for as before (`again`); once they are in the session's own table, check them."""
    if written is not None:
        if written.resolve().parent == session.resolve() and written.stem.casefold() == "trains":
            tell_next("check", session)
    elif orders.to_make:
        tell_next("order", session, *again, "--write", "new_trains.csv")
    elif orders.on_hold:
        tell_next("bench", session)


def after_power(session: Path, plan: PowerPlan) -> None:
    """For the first train left short that can leave cars behind: what it is without them."""
    for train in plan.trains:
        left = next((option.cars for option in train.options if option.kind == "leave"), ()) if train.short else ()
        if left:
            without = [word for car in left for word in ("--without", car)]
            return tell_next("check", session, "--train", train.train, *without)
    if plan.keeps_given and plan.short:
        tell_next("power", session)
    return None


def after_bench(session: Path, listed: BenchList, units: Units, again: list[str]) -> None:
    """Write down the first car's weight, once it has been brought to its target; with none left, check."""
    from consist.unlikely import bounds

    car = next((car for car in listed.cars if car.status == "under"), None)
    if car is not None:
        new_g = car.target_g if car.after_g is None else car.after_g
        said = f"{car.car}={units.weight(new_g).replace(' ', '')}"
        sure = () if bounds("new-weight").times(car.weight_g or new_g).hold(new_g) else ("--sure",)
        tell_next("bench", session, *again, "--done", said, *sure, when=", once it weighs that")
    elif session.is_dir():
        tell_next("check", session)
