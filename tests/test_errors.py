"""The package's errors come through a pool of processes as they were, and tell what to do."""

from __future__ import annotations

import importlib
import pickle
import pkgutil
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

import pytest

import consist
from consist.desk import Entry, StaleError
from consist.errors import ConsistError, InputError, Problem, UnknownNameError
from consist.order import HoldError

__all__: list[str] = []

PROBLEMS = (
    Problem("cars.csv", "row 7, weight_g", "found 'heavy', expected a number; type grams or leave it empty"),
    Problem("session.toml", "", "the file is missing; check the name and the folder"),
)
LINES = (
    "cars.csv, row 7, weight_g: found 'heavy', expected a number; type grams or leave it empty\n"
    "session.toml: the file is missing; check the name and the folder"
)


def family(error: type[ConsistError] = ConsistError) -> list[type[ConsistError]]:
    """Every error of the package, all its modules loaded."""
    for module in pkgutil.walk_packages(consist.__path__, "consist."):
        if module.name != "consist.__main__":
            importlib.import_module(module.name)
    return [error, *(one for child in error.__subclasses__() for one in family(child))]


def made(error: type[ConsistError]) -> ConsistError:
    """One of that kind, as the package raises it."""
    if error is HoldError:
        return HoldError("Milk", ["two cars are held at the front", "and two at the rear"])
    if issubclass(error, InputError):
        return error(PROBLEMS)
    if issubclass(error, UnknownNameError):
        return error("train", "Creamry 5", ["Creamery 5", "Local 9"])
    if error is StaleError:
        return StaleError(7, [Entry(6, "k", "Ada", "2026-11-26T20:00:00")])
    return error("no way over the layout")


def fails_with_problems(_: int) -> None:
    raise InputError(iter(PROBLEMS))


@pytest.mark.parametrize("error", family(), ids=lambda error: error.__name__)
def test_an_error_is_pickled_whole(error: type[ConsistError]) -> None:
    before = made(error)
    after = pickle.loads(pickle.dumps(before))
    assert type(after) is error
    assert (str(after), vars(after)) == (str(before), vars(before))


def test_problems_come_through_a_pool_of_processes_one_line_each() -> None:
    with (
        ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool,
        pytest.raises(InputError) as caught,
    ):
        pool.submit(fails_with_problems, 1).result()
    assert caught.value.problems == PROBLEMS
    assert str(caught.value) == LINES


def test_one_problem_is_one_line_whatever_is_in_it() -> None:
    assert str(InputError([Problem("a", "b", "two\nlines  and\tmore")])) == "a, b: two lines and more"


def test_an_unknown_name_tells_the_nearest_or_what_there_is() -> None:
    near = UnknownNameError("train", "creamery5", ("Local 9", "Creamery 5"))
    assert near.nearest == "Creamery 5"
    assert str(near) == "no train is called 'creamery5'; did you mean 'Creamery 5'?"
    far = UnknownNameError("car", "XYZ", ("TST 1", "TST 2"))
    assert far.nearest is None
    assert str(far) == "no car is called 'XYZ'; the cars are 'TST 1', 'TST 2'"
    assert str(UnknownNameError("train", "XYZ", ())) == "no train is called 'XYZ'; there are no trains to choose from"


def test_an_unknown_name_is_shown_safely() -> None:
    assert str(UnknownNameError("train", "\x1b[31m" * 100, ("A",))).isprintable()
