"""What a yard may change in a train, and what the switch list and the holds keep.

Cars of one block stay together and blocks keep their order, unless whole blocks may change places. Cars that join or
leave on the way stand together with those that do so with them. A car held at the front, at the rear or in its spot
stays there; two cars tied stay coupled as they are.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from consist.errors import InputError, Problem
from consist.order.trial import Order
from consist.session import CarInTrain

__all__ = ["HoldError", "Yard", "yard_of"]

TIED = "with "


class HoldError(InputError):
    """Holds of a train that contradict each other or its blocks, a problem each."""

    def __init__(self, train: str, contradictions: Sequence[str]) -> None:
        super().__init__(Problem("the trains table", f"train '{train}', hold", text) for text in contradictions)


@dataclass(frozen=True)
class Yard:
    """The orders a yard may make of a train's cars, by number.

    `start` is the train as it stands, with cars held at the front or rear brought there. `group` tells by car which
    block, or other run of cars that stays together, it is in. `pinned` cars keep the place they have in `start`.
    `follows` gives for a tied car the one coupled directly behind it.
    """

    start: Order
    group: tuple[int, ...]
    pinned: frozenset[int] = frozenset()
    follows: dict[int, int] = field(default_factory=dict)
    free_blocks: bool = False

    def allowed(self, order: Order) -> bool:
        """Whether the yard may make this order."""
        groups = [group for group, _ in itertools.groupby(order, key=self.group.__getitem__)]
        in_place = len(groups) == len(set(groups)) and (self.free_blocks or groups == self._groups_at_start())
        return sorted(order) == sorted(self.start) and in_place and self._holds_kept(order)

    def _groups_at_start(self) -> list[int]:
        return [group for group, _ in itertools.groupby(self.start, key=self.group.__getitem__)]

    def _holds_kept(self, order: Order) -> bool:
        if any(order[place] != car for place, car in enumerate(self.start) if car in self.pinned):
            return False
        at = {car: place for place, car in enumerate(order)}
        return all(at[behind] == at[ahead] + 1 for ahead, behind in self.follows.items())

    def free_places(self, order: Order, place: int) -> list[int]:
        """The places of the group at `place` whose cars are not pinned, in order; empty where the car there is."""
        if order[place] in self.pinned:
            return []
        start, stop = self._run(order, place)
        return [spot for spot in range(start, stop) if order[spot] not in self.pinned]

    def _run(self, order: Order, place: int) -> tuple[int, int]:
        """Where the group that stands at `place` starts and stops."""
        group = self.group[order[place]]
        start = stop = place
        while start and self.group[order[start - 1]] == group:
            start -= 1
        while stop < len(order) and self.group[order[stop]] == group:
            stop += 1
        return start, stop

    def cuts(self, order: Order, place: int, lengths: Sequence[int]) -> Iterator[Order]:
        """Orders in which a cut of so many cars, the one at `place` among them, is set in elsewhere in its group.

        Pinned cars stay in their spots: the others move around them.
        """
        free = self.free_places(order, place)
        if not free:
            return
        cars, at = [order[spot] for spot in free], free.index(place)
        for length in lengths:
            for start in range(max(0, at - length + 1), min(at, len(cars) - length) + 1):
                cut, rest = cars[start : start + length], cars[:start] + cars[start + length :]
                for gap in range(len(rest) + 1):
                    if gap != start:
                        yield from self._if_kept(order, free, rest[:gap] + cut + rest[gap:])

    def swaps(self, order: Order, place: int) -> Iterator[Order]:
        """Orders in which the car at `place` changes places with another of its group."""
        free = self.free_places(order, place)
        for other in free:
            if other != place:
                cars = [order[spot] for spot in free]
                one, two = free.index(place), free.index(other)
                cars[one], cars[two] = cars[two], cars[one]
                yield from self._if_kept(order, free, cars)

    def block_orders(self, order: Order) -> Iterator[Order]:
        """Every other order of whole groups that the holds allow; none unless blocks are free."""
        if not self.free_blocks:
            return
        runs = [tuple(run) for _, run in itertools.groupby(order, key=self.group.__getitem__)]
        for arranged in itertools.permutations(runs):
            changed = tuple(itertools.chain.from_iterable(arranged))
            if changed != order and self._holds_kept(changed):
                yield changed

    def _if_kept(self, order: Order, spots: Sequence[int], cars: Sequence[int]) -> Iterator[Order]:
        changed = list(order)
        for spot, car in zip(spots, cars, strict=True):
            changed[spot] = car
        found = tuple(changed)
        if not self.follows or self._holds_kept(found):
            yield found

    def count(self, most: int) -> int:
        """How many orders there are, ties left out of account, or `most` where there are more."""
        number = 1
        groups: dict[int, int] = {}
        for car in self.start:
            groups[self.group[car]] = groups.get(self.group[car], 0) + (car not in self.pinned)
        for factor in itertools.chain(
            *(range(2, free + 1) for free in groups.values()), range(2, len(groups) + 1 if self.free_blocks else 2)
        ):
            number *= factor
            if number >= most:
                return most
        return number


def yard_of(train: str, cars: Sequence[CarInTrain], *, free_blocks: bool = False) -> Yard:
    """What a yard may do with a train's cars standing in this order.

    Raises `HoldError` where holds contradict each other or the blocks.
    """
    group, members = _groups(cars)
    numbers = {car.car.name: number for number, car in enumerate(cars)}
    follows, contradictions = _ties(cars, numbers, group)
    front = [number for number, car in enumerate(cars) if car.hold == "front"]
    rear = [number for number, car in enumerate(cars) if car.hold == "rear"]
    held = {*front, *rear, *(number for number, car in enumerate(cars) if car.hold == "stay")}
    runs = _arranged(cars, members, front, rear, free_blocks, contradictions)
    start = tuple(itertools.chain.from_iterable(runs))
    pinned = set(held)
    for ahead, behind in follows.items():
        if (ahead in held) != (behind in held):
            pinned.update((ahead, behind))
    yard = Yard(start, group, frozenset(pinned), follows, free_blocks)
    contradictions.extend(_moved_by_others(cars, start, numbers, follows))
    if contradictions:
        raise HoldError(train, contradictions)
    return yard


def _groups(cars: Sequence[CarInTrain]) -> tuple[tuple[int, ...], list[list[int]]]:
    """By car the number of its group, and the cars of each group; a block's cars are one group.

    Cars of no block are one group with their neighbours of no block that join and leave at the same stops.
    """
    members: list[list[int]] = []
    group: list[int] = []
    keys = [(car.block, car.joins, None if car.block else car.leaves) for car in cars]
    for number, key in enumerate(keys):
        if number == 0 or key != keys[number - 1]:
            members.append([])
        members[-1].append(number)
        group.append(len(members) - 1)
    return tuple(group), members


def _ties(
    cars: Sequence[CarInTrain], numbers: dict[str, int], group: tuple[int, ...]
) -> tuple[dict[int, int], list[str]]:
    """For each tied car ahead, the one behind; and what contradicts. Tied cars stand as they stand in the train."""
    follows: dict[int, int] = {}
    wrong: list[str] = []
    for number, car in enumerate(cars):
        if not car.hold or not car.hold.startswith(TIED):
            continue
        other = numbers.get(car.hold.removeprefix(TIED))
        name = car.car.name
        if other is None or other == number:
            wrong.append(f"{name} is held with {car.hold.removeprefix(TIED)}, which is no other car of the train")
            continue
        partner = cars[other].car.name
        ahead, behind = min(number, other), max(number, other)
        if group[ahead] != group[behind]:
            wrong.append(f"{name} is held with {partner}, which stands in another block; tie cars of one block only")
        elif behind != ahead + 1:
            wrong.append(f"{name} is held with {partner}, but they are not coupled; set them in next to each other")
        else:
            follows[ahead] = behind
    return follows, wrong


def _arranged(
    cars: Sequence[CarInTrain],
    members: Sequence[list[int]],
    front: Sequence[int],
    rear: Sequence[int],
    free_blocks: bool,
    wrong: list[str],
) -> list[list[int]]:
    """The groups in order, with cars held at the front or rear brought to the ends of the train."""
    runs = [
        [
            *(number for number in run if number in front),
            *(number for number in run if number not in front and number not in rear),
            *(number for number in run if number in rear),
        ]
        for run in members
    ]
    for held, end, where in ((front, 0, "front"), (rear, -1, "rear")):
        homes = [run for run in runs if any(number in held for number in run)]
        if len(homes) > 1:
            names = " and ".join(_name_held(cars, run, held) for run in homes)
            wrong.append(f"{names} are all held at the {where}, but stand in different blocks")
        elif homes and homes[0] is not runs[end]:
            if free_blocks:
                runs.remove(homes[0])
                runs.insert(0 if end == 0 else len(runs), homes[0])
            else:
                name = _name_held(cars, homes[0], held)
                wrong.append(
                    f"{name} is held at the {where}, but its block is not; change its hold, or free the blocks"
                )
    return runs


def _name_held(cars: Sequence[CarInTrain], run: Sequence[int], held: Sequence[int]) -> str:
    return next(cars[number].car.name for number in run if number in held)


def _moved_by_others(
    cars: Sequence[CarInTrain], start: Order, numbers: dict[str, int], follows: dict[int, int]
) -> Iterator[str]:
    """Cars held in their spot or tied that other holds would move or part."""
    place = {number: at for at, number in enumerate(start)}
    for number, car in enumerate(cars):
        if car.hold == "stay" and place[number] != number:
            yield f"{car.car.name} is held in its spot, but cars held at the front or rear would move it"
    for ahead, behind in follows.items():
        if place[behind] != place[ahead] + 1:
            yield f"{cars[ahead].car.name} and {cars[behind].car.name} are tied, but their other holds part them"
