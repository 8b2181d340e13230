"""What a screening returns: for each guest car an answer, its reasons, and where it may ride.

Weights in grams, lengths in millimetres. `None` is a figure that has no value.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import ClassVar, Literal

from consist.frames import Columns, Framed
from consist.wording import in_words

__all__ = [
    "ANSWERS", "Answer", "GuestResult", "KeepOut", "KeepOutCode", "Reason", "ReasonCode", "RefusalCode", "Screening",
    "TooLong", "TrainRide", "spots_words",
]  # fmt: skip

Answer = Literal["welcome", "welcome with care", "bench first", "not tonight"]
ANSWERS: tuple[Answer, ...] = ("welcome", "welcome with care", "bench first", "not tonight")
"""The answers from the gentlest to the gravest."""

ReasonCode = Literal[
    "wheels", "coupler-height", "not-weighed", "underweight", "rolls-stiffly",
    "no-train", "some-trains", "stands-badly",
]  # fmt: skip
KeepOutCode = Literal["radius", "sharp", "standing", "height", "width"]
RefusalCode = Literal["radius", "height", "width", "margin", "swing", "others", "power"]
"""What keeps a car out of a train: the last two are the train's want, the others the car's own."""
FEW = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True)
class Reason:
    """One reason for an answer: the answer that it alone would give, a plain sentence, and what to do.

    `adds_weight` is whether weight goes into the car then.
    """

    code: ReasonCode
    answer: Answer
    say: str
    do: str
    adds_weight: bool = False


@dataclass(frozen=True)
class TooLong:
    """A stop at which a train that would fit is longer than the standing track with a guest's car in it."""

    place: str
    over_mm: float


@dataclass(frozen=True)
class TrainRide:
    """A guest car in one of tonight's trains.

    `stands` are the spots at which it may ride, from the head end, 1 being next to the head-end power and `spots` the
    last there is with the car in the train; where there is none, `why_not` says why in a plain sentence and `refusal`
    in a word. `margin` is the car's own at the foremost, None where nothing pulls it aside. `in_train` is the
    spot it stands in tonight and `stands_well` whether it may ride just there; both are None where it is not in this
    train. `standing_fault` says why it may not. `at_target` are the spots at which it may ride once it weighs its
    target, none where its weight keeps it out of no spot. `too_long` are the stops at which the train becomes too
    long with it.
    """

    train: str
    stands: tuple[int, ...]
    spots: int
    margin: float | None = None
    in_train: int | None = None
    refusal: RefusalCode | None = None
    why_not: str | None = None
    stands_well: bool | None = None
    standing_fault: str | None = None
    at_target: tuple[int, ...] = ()
    too_long: tuple[TooLong, ...] = ()

    @property
    def spot(self) -> int | None:
        """The foremost spot at which it may ride."""
        return self.stands[0] if self.stands else None

    @property
    def may_ride(self) -> bool:
        """Whether there is a spot for it."""
        return bool(self.stands)


@dataclass(frozen=True)
class KeepOut:
    """A place or a stretch between two that a car must not go to (`barred`), or where it wants watching.

    `value` is what is there and `limit` what the car wants, in millimetres; None where that was not measured. `fact`
    and `do` are clauses.
    """

    code: KeepOutCode
    where: str
    fact: str
    do: str
    barred: bool
    value: float
    limit: float | None

    @property
    def say(self) -> str:
        """What is wrong there and what to do, in one plain sentence."""
        return f"{self.fact}; {self.do}."


@dataclass(frozen=True)
class GuestResult:
    """What a guest is told about one car.

    `reasons` are plain sentences, the gravest first, and at least one; `do` is the one thing to do. `add_g` is what
    is missing to the standard's target: 0 where the car is near enough by the house's practice, None where it was not
    weighed. `weight_g` is what was judged: with its load where it rides loaded all evening.
    """

    car: str
    kind: str
    owner: str
    answer: Answer
    reasons: tuple[str, ...]
    do: str
    weight_g: float | None
    target_g: float
    add_g: float | None
    trains: tuple[TrainRide, ...]
    keep_out: tuple[KeepOut, ...]
    grounds: tuple[Reason, ...] = ()
    """The reasons with their codes, in the same order; empty where nothing was found against the car."""

    @property
    def may_ride(self) -> tuple[TrainRide, ...]:
        """The trains it may ride."""
        return tuple(ride for ride in self.trains if ride.may_ride)

    @property
    def adds_weight(self) -> bool:
        """Whether it is told to have weight added."""
        return bool(self.add_g) or any(reason.adds_weight for reason in self.grounds)


@dataclass(frozen=True)
class Screening(Framed):
    """A session's guests, by owner (those without one last), then in the order of the guests' table.

    As frames: the `cars`, their `rides` in tonight's trains, and what each must `keep_out` of.
    """

    _tables: ClassVar = {
        "cars": Columns("cars", "car kind owner answer reasons do weight_g target_g add_g"),
        "rides": Columns("cars.trains", "car train stands margin why_not in_train stands_well"),
        "keep_out": Columns("cars.keep_out", "car code where barred value limit say"),
    }
    session: str
    layout: str
    cars: tuple[GuestResult, ...]
    margin: float
    """The least margin at which a guest car rides."""

    def of(self, answer: Answer) -> tuple[GuestResult, ...]:
        """The cars with that answer."""
        return tuple(car for car in self.cars if car.answer == answer)


def spots_words(stands: Sequence[int], spots: int) -> str:
    """Spots of a train with so many, in words; those counted from its ends are told from there.

    >>> spots_words([1, 2, 3], 3), spots_words([20, 21], 21), spots_words([21], 21), spots_words([1], 21)
    ('any spot', 'the last two spots', 'the last spot', 'the first spot')
    >>> spots_words([5, 6, 7, 8, 9, 12], 12), spots_words([1, 3, 4, 5], 5)
    ('spots 5 to 9 and the last', 'spots 1 and 3 to the last')
    """
    if len(stands) == spots:
        return "any spot"
    first, last = stands[0], stands[-1]
    if len(stands) == last - first + 1 and (first == 1 or last == spots):
        end = "first" if first == 1 else "last"
        number = FEW[len(stands)] if len(stands) < len(FEW) else str(len(stands))
        return f"the {end} spot" if len(stands) == 1 else f"the {end} {number} spots"
    runs = [[spot for _, spot in run] for _, run in groupby(enumerate(stands), lambda each: each[1] - each[0])]
    ends = [["the last" if spot == spots else str(spot) for spot in dict.fromkeys((run[0], run[-1]))] for run in runs]
    told = [" to ".join(of_run) for of_run in ends]
    return f"spot{'s' if len(stands) > 1 else ''} {in_words(told)}"
