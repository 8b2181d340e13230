"""Yards drawn at random: cars in blocks, that join on the way, held and tied where nothing contradicts."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from builders import car, spot

from consist.order import HoldError, Yard, yard_of
from consist.session import CarInTrain

__all__ = ["random_cars", "random_yard", "with_blocks_and_holds"]

HOLDS = ("front", "rear", "stay", "tie", "tie", "tie")


def random_yard(seed: int, count: int, *, free_blocks: bool, legs: bool = True) -> Yard:
    """A yard of so many cars. About every other one has blocks, and about every other one holds."""
    return yard_of("T", random_cars(seed, count, free_blocks=free_blocks, legs=legs), free_blocks=free_blocks)


def random_cars(seed: int, count: int, *, free_blocks: bool, legs: bool = True) -> list[CarInTrain]:
    """The cars of such a yard as they stand, C0 to the last."""
    rng = random.Random(seed)
    cars, joins = [], 0
    for number in range(count):
        if legs and rng.random() < 0.25:
            joins = rng.choice([0, 0, 1])
        cars.append(spot(car(f"C{number}", 20.0 + 10.0 * number), number + 1, joins=joins, leaves=2))
    return with_blocks_and_holds(cars, rng, free_blocks=free_blocks)


def with_blocks_and_holds(cars: Sequence[CarInTrain], rng: random.Random, *, free_blocks: bool) -> list[CarInTrain]:
    """The cars as they stand in up to three blocks, with up to three holds that contradict nothing."""
    blocks = rng.choice([1, 1, 2, 3])
    edges = sorted(rng.sample(range(1, len(cars)), min(blocks, len(cars)) - 1))
    labels = [None, "Dock", "Mill"] if blocks > 1 else [None]
    rng.shuffle(labels)
    made = [replace(one, block=labels[sum(edge <= place for edge in edges)]) for place, one in enumerate(cars)]
    for _ in range(rng.choice([0, 1, 1, 3])):
        place, hold = rng.randrange(len(made)), rng.choice(HOLDS)
        said = f"with {made[place - 1].car.name}" if hold == "tie" else hold
        held = [replace(one, hold=said) if at == place else one for at, one in enumerate(made)]
        try:
            yard_of("T", held, free_blocks=free_blocks)
        except HoldError:
            continue
        made = held
    return made
