"""Each reason against a guest's car, word for word, with its cure and whether that adds weight."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import builders
import pytest

from consist.house import GuestPractice, House
from consist.screening import Reason
from consist.screening.reasons import reasons_against
from consist.screening.results import TrainRide
from consist.session import Session
from consist.stock import Car

__all__: list[str] = []

OUNCE = 28.349523125
GUEST = replace(builders.car("G1", 2.0 * OUNCE, target_g=4.0 * OUNCE), guest=True)
"""2 oz of 4 oz, which is 56.7 of 113.4 g."""
OPEN = TrainRide("Milk", (1, 2), 4)
SHUT = TrainRide("Ore", (), 4, refusal="margin", why_not="In the last spot of Ore G1 would keep a margin of 0.80.")


def _session(unit: str = "mm", **house: Any) -> Session:
    where = builders.layout(builders.line("A, e", "B, w", builders.straight(900.0)), unit=unit)
    return builders.session(where, house=House(guests=GuestPractice(**house)))


def _reasons(car: Car, *rides: TrainRide, of: Session | None = None) -> tuple[Reason, ...]:
    return reasons_against(of or _session(), car, car.weight_g, rides)


@pytest.mark.parametrize(
    ("unit", "said", "do"),
    [
        ("mm", "G1 weighs 56.7 g, 56.7 g under the 113 g of ", "Add 56.7 g, low and over the trucks."),
        ("in", "G1 weighs 2.00 oz, 2.00 oz under the 4.00 oz of ", "Add 2.00 oz, low and over the trucks."),
    ],
)
def test_a_light_car_is_told_what_it_lacks_in_the_layouts_unit(unit: str, said: str, do: str) -> None:
    of = _session(unit)
    (light,) = _reasons(GUEST, OPEN, of=of)
    title = f"{of.standard.title} for its {of.standard.length_words}."
    assert light == Reason("underweight", "bench first", f"{said}{title}", do, adds_weight=True)
    (unweighed,) = _reasons(replace(GUEST, assumed=frozenset({"weight"})), OPEN, of=of)
    target = said.partition("under the ")[2].removesuffix(" of ")
    assert unweighed.say == f"G1 has not been weighed and was taken at its target of {target}."
    assert (unweighed.code, unweighed.adds_weight) == ("not-weighed", False)


def test_a_car_that_rolls_stiffly_is_told_what_guests_are_to_roll_on() -> None:
    stiff = replace(GUEST, weight_g=GUEST.target_g, rolling=0.0237)
    (found,) = _reasons(stiff, OPEN, of=_session(rolls_at_percent=1.5))
    assert found.say == "G1 rolls only on a grade of 2.37 %, and guests are to roll on 1.5 %."


FULL = replace(GUEST, weight_g=0.96 * GUEST.target_g)
"""108.9 g, near enough to the target of 113.4 g."""


def test_no_train_is_told_with_the_reason_of_the_train_it_stands_in() -> None:
    stands = TrainRide("Coal", (), 4, in_train=3, refusal="swing", why_not="G1 needs 24 in radius.")
    (none,) = _reasons(FULL, SHUT, stands)
    assert none == Reason(
        "no-train",
        "not tonight",
        "None of tonight's trains can take G1: G1 needs 24 in radius.",
        "Keep it for another evening.",
    )
    (first,) = _reasons(FULL, SHUT, replace(stands, in_train=None))
    assert (
        first.say == "None of tonight's trains can take G1: in the last spot of Ore G1 would keep a margin of 0.80."
    )


def test_a_car_that_some_train_can_take_at_its_target_is_weighted_first() -> None:
    (none,) = _reasons(FULL, SHUT, replace(SHUT, train="Coal", at_target=(2, 3)))
    assert none == Reason(
        "no-train",
        "bench first",
        "None of tonight's trains can take G1: in the last spot of Ore G1 would keep a margin of 0.80; at its target "
        "of 113 g it may ride in Coal.",
        "Add 4.5 g, low and over the trucks.",
        adds_weight=True,
    )


def test_a_car_kept_out_of_some_trains_is_told_of_all_of_them() -> None:
    (some,) = _reasons(FULL, OPEN, SHUT, replace(SHUT, train="Coal"))
    assert some == Reason(
        "some-trains",
        "welcome with care",
        "G1 may not ride in Ore and Coal: in the last spot of Ore G1 would keep a margin of 0.80.",
        "Keep it out of Ore and Coal.",
    )
    (helped,) = _reasons(FULL, OPEN, replace(SHUT, at_target=(1,)))
    assert helped.say.endswith("a margin of 0.80; at its target of 113 g it may ride in Ore.")
    assert helped.do == "Keep it out of Ore, or add 4.5 g, low and over the trucks."
    assert helped.adds_weight
    (part,) = _reasons(FULL, OPEN, replace(SHUT, at_target=(1,)), replace(SHUT, train="Coal"))
    assert part.say.endswith("; at its target of 113 g it may ride in Ore.")
    assert part.do == "Keep it out of Ore and Coal."


@pytest.mark.parametrize("refusal", ["others", "power"])
def test_a_trains_own_want_is_no_reason_against_the_car(refusal: Any) -> None:
    assert _reasons(FULL, OPEN, replace(SHUT, refusal=refusal)) == ()


def test_a_car_that_stands_badly_is_told_where_it_may_and_what_its_target_does() -> None:
    badly = TrainRide(
        "Milk", (3,), 4, in_train=2, stands_well=False, standing_fault="With G1 in spot 2 of Milk C4 would swing."
    )
    (moved,) = _reasons(FULL, badly)
    assert moved == Reason(
        "stands-badly",
        "welcome with care",
        "G1 is in spot 2 of Milk and may not ride there: with G1 in spot 2 of Milk C4 would swing.",
        "Move it to spot 3 of Milk.",
    )
    (stays,) = _reasons(FULL, replace(badly, at_target=(2, 3)))
    assert stays.say.endswith("C4 would swing; at its target of 113 g it may stay there.")
    assert stays.do == "Move it to spot 3 of Milk, or add 4.5 g, low and over the trucks."
    (out,) = _reasons(FULL, replace(badly, stands=()), OPEN)
    assert out.do == "Take it out of Milk."
