"""A train of more cars than can be worked out is refused in one line, before anything is made of it."""

from __future__ import annotations

import time

import pytest
from builders import car, engine, straight, world

from consist.errors import InputError

__all__: list[str] = []


def test_a_train_of_very_many_cars_is_refused_at_once() -> None:
    cars = [car(f"C{k}") for k in range(5000)]
    begun = time.process_time()
    with pytest.raises(InputError) as caught:
        assert world((straight(40_000.0),), cars, [engine(pull_g=300.0)]).prepared
    (problem,) = caught.value.problems
    assert "found 5000 cars on a route of 40 m" in str(problem)
    assert time.process_time() - begun < 5.0
