"""Every sentence of the power page, on random evenings, held against the plan and against figures worked out here.

The railroad is a level line and one that rises 2 %, without curves, so that what engines are asked for has a closed
form: cars take 1.4 % of their weight, and the hardest place of the grade is where the whole train stands on it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import combinations
from math import inf
from random import Random

import pytest
from builders import car, engine, layout, line, session, spot, straight, train
from pages import power_text, under

from consist.house import House
from consist.power import PowerPlan, TrainPower
from consist.power.plan import plan_power
from consist.session import Session, Train
from consist.stock import Engine
from consist.wording import Units, at, in_words, percent

__all__: list[str] = []

ROAD = layout(line("West, e", "Mid, w", straight(3000.0)), line("Mid, e", "East, w", straight(3000.0, 2.0)))
STOPS = (("West", "Mid", "East"), ("East", "Mid", "West"), ("West", "Mid"), ("Mid", "East"))
ROLLING, GRADE, RESERVE = 0.014, 0.02, 0.15
LESS = 0.8
"""What an engine pulls of what was reckoned where it pulls a fifth less."""
SEEDS = range(60)
STRONGER = (99, 179, 302)
"""Evenings in which engines are left at hand that move a train which the weakest of their class does not."""


def evening(seed: int) -> Session:
    """A few trains of a few cars, engines of two classes, some of them measured, some trains given some."""
    draw = Random(seed)
    roster = [
        replace(
            engine(str(number), 300.0, draw.choice([44.0, 60.0]), engine_class=draw.choice("AB")),
            home=draw.choice(["West", "West", "Mid", "East", ""]),
            measured=draw.random() < 0.4,
        )
        for number in range(1, draw.randint(2, 5) + 1)
    ]
    trains = []
    for number in range(draw.randint(1, 4)):
        stops = draw.choice(STOPS)
        name = f"T{number}"
        cars = [spot(car(f"{name}C{k}"), k + 1, leaves=len(stops) - 1) for k in range(draw.randint(1, 15))]
        given = draw.sample(roster, draw.choice([0, 0, 1, 1, 2]))
        depart = 600 + 30 * draw.randrange(6)
        times = (depart, depart + 40) if draw.random() < 0.8 else None
        trains.append(train(ROAD, cars, given, name=name, stops=stops, times=times))
    return session(ROAD, *trains, roster=roster, house=House(light_moves=draw.random() < 0.3))


def use_of(one: Train, engines: Sequence[Engine], cars: int | None = None) -> float:
    """The greatest share asked of engines at its head end; `cars` of 100 g each, all of its own where not given."""
    weight = 100.0 * (len(one.cars) if cars is None else cars)
    shares = [share(weight * ROLLING, engines, 0.0)]
    if "East" in one.route.stops:
        slope = GRADE if one.route.stops[-1] == "East" else -GRADE
        shares.append(share(weight * (ROLLING + slope), engines, slope))
    return max(shares)


def share(asked_g: float, engines: Sequence[Engine], slope: float) -> float:
    """What is asked over what engines can pull on a slope, or hold back."""
    sign = 1.0 if asked_g > 0.0 else -1.0
    able = sum(max((1.0 - RESERVE) * each.pull_g - sign * each.weight_g * slope, 0.0) for each in engines)
    return abs(asked_g) / able if able > 0.0 else inf


class Page:
    """A plan, its page as sections of words, and what its engines are."""

    def __init__(self, of: Session, *, keep: bool = False) -> None:
        self.of, self.keep = of, keep
        self.plan: PowerPlan = plan_power(of, keep_given=keep)
        self.text = power_text(of, self.plan, Units("g"), width=200)

    def under(self, heading: str) -> str:
        """The words of a section, empty where there is none."""
        lines = under(self.text, heading) if f"\n{heading}\n" in self.text else []
        return " ".join(" ".join(lines).split())

    @property
    def in_short(self) -> str:
        return " ".join(self.text.split("\n\n")[0].split())

    def engines(self, names: Iterable[str]) -> list[Engine]:
        return [self.of.engines[name] for name in names]

    def use(self, one: TrainPower, names: Iterable[str], cars: int | None = None) -> float:
        return use_of(self.of.train(one.train), self.engines(names), cars)


@pytest.fixture(scope="module", name="all_pages")
def _all_pages() -> list[Page]:
    return [Page(evening(seed)) for seed in SEEDS]


def test_engines_that_run_and_trains_left_short(all_pages: list[Page]) -> None:
    for page in all_pages:
        going = {name for name, turns in page.plan.turns.items() if turns}
        assigned = sum(map(len, page.plan.turns.values()))
        assert f": {len(going)} of {len(page.of.engines)} engines run; {assigned} assigned" in page.in_short
        short = [one.train for one in page.plan.trains if page.use(one, one.assigned) > 1.0]
        said = f"SHORT of power: {in_words(short)}." if short else "Every train has power."
        assert said in page.in_short
        # what the search proves, tests/power/test_assignment.py tries; that none runs at all does with fewer engines
        assert ("fewer of them short, or as many with fewer engines." in page.in_short) is bool(
            short and page.plan.proven
        )


def test_notes_are_of_trains_that_are_so(all_pages: list[Page]) -> None:
    rescued = 0
    for page in [*all_pages, *(Page(evening(seed)) for seed in STRONGER)]:
        for one in page.plan.trains:
            weakest = [
                min(page.of.classes[each.engine_class], key=lambda other: other.pull_g)
                for each in page.engines(one.assigned)
            ]
            lucky = bool(one.assigned) and use_of(page.of.train(one.train), weakest) > 1.0
            rescued += lucky
            assert any(note.startswith(f"Train {one.train} is moved by ") for note in page.plan.notes) is lucky
            assert not (lucky and page.plan.proven)
        homeless = sorted(name for name, each in page.of.engines.items() if not each.home)
        assert any(f" {in_words(homeless)} without" in note for note in page.plan.notes) is bool(homeless)
        timeless = [each.name for each in page.of.trains if each.times is None]
        assert any(f" {in_words(timeless)} without times" in note for note in page.plan.notes) is bool(timeless)
    assert rescued >= len(STRONGER)


def test_a_train_that_keeps_its_engines_is_not_said_to_be_planned_alone() -> None:
    of = evening(0)
    one = replace(of.trains[0], engines=(replace(of.engines["1"], home=""),), depart=None, arrive=None)
    alone = replace(of, trains=(one,), engines={"1": one.engines[0]})
    assert "without times" in Page(alone).under("NOTES")
    kept = Page(alone, keep=True)
    assert "without times" not in kept.text
    assert "no plan of the trains with times that keeps the engines given" in kept.in_short


def test_uses_told_are_those_of_the_engines_told(all_pages: list[Page]) -> None:
    for page in all_pages:
        told = page.under("ENGINES FOR EVERY TRAIN")
        for one in page.plan.trains:
            if one.assigned:
                row = f"{', '.join(one.assigned)} {percent(page.use(one, one.assigned))}"
                assert re.search(rf"{one.train} {one.start} {one.finish} {re.escape(row)}", told), row


def test_where_it_is_tightest_that_use_is_asked(all_pages: list[Page]) -> None:
    """On the grade what the grade asks, elsewhere what the level does; a head at East may still be off the grade."""
    for page in all_pages:
        told = page.under("WHAT WOULD DO")
        for one in (each for each in page.plan.trains if each.assigned and each.tightest is not None):
            assert one.tightest is not None
            assert f"Tightest {at(one.tightest.place)}" in told
            slopes = [0.0]
            if "East" in one.tightest.place:
                slopes.append(GRADE if one.finish == "East" else -GRADE)
            weight, going = 100.0 * len(page.of.train(one.train).cars), page.engines(one.assigned)
            shares = [share(weight * (ROLLING + slope), going, slope) for slope in slopes]
            assert any(one.use == pytest.approx(each, rel=1e-6) for each in shares), (one.train, one.use, shares)


def test_a_short_train_has_too_little_and_what_mends_it_is_enough(all_pages: list[Page]) -> None:
    told = 0
    for page in all_pages:
        said = page.under("SHORT OF POWER")
        for one in page.plan.trains:
            if not one.short:
                continue
            told += 1
            assert f"SHORT {one.train}:" in said
            if not one.at_hand:
                assert f"No engine at {one.start} is free for it." in said
                continue
            use = page.use(one, one.at_hand)
            assert use > 1.0, (one.train, one.at_hand, use)
            for option in one.options:
                then = _then(page, one, option.kind, option.engines, option.extra, option.cars)
                if then is not None:
                    assert then <= 1.0
                    assert f"{percent(then)} of " in option.say
                assert option.say in said
    assert told > 10


def _then(
    page: Page, one: TrainPower, kind: str, engines: Sequence[str], extra: Sequence[str], cars: Sequence[str]
) -> float | None:
    """What an option comes to; None for a helper, which pushes over a part of the route alone."""
    number = len(page.of.train(one.train).cars)
    if kind == "leave":
        return page.use(one, engines, number - len(cars))
    if kind == "double":
        return max(page.use(one, engines, cut) for cut in (len(cars), number - len(cars)))
    return page.use(one, engines) if kind == "light" else None


def test_what_would_do_does_and_nothing_smaller(all_pages: list[Page]) -> None:
    for page in all_pages:
        told = page.under("WHAT WOULD DO")
        weakest = {name: min(owned, key=lambda each: each.pull_g) for name, owned in page.of.classes.items()}
        for one in page.plan.trains:
            of = page.of.train(one.train)
            pool = [name for name, owned in page.of.classes.items() for _ in owned]
            sets = {tuple(sorted(some)) for k in range(1, len(pool) + 1) for some in combinations(pool, k)}
            do = [some for some in sets if use_of(of, [weakest[name] for name in some]) <= 1.0]
            least = [some for some in do if not any(Counter(other) < Counter(some) for other in do)]
            assert {tuple(sorted(Counter(combo.classes).elements())) for combo in one.combos} == set(least)
            for some in least[:6]:
                assert " + ".join(f"{number} {name}" for name, number in sorted(Counter(some).items())) in told
            if not least:
                otherwise = f"{in_words(one.assigned)}, as planned" if one.assigned else "more than the engines owned"
                assert f"{one.train}: {otherwise}" in told


def test_what_is_given_against_what_is_planned(all_pages: list[Page]) -> None:
    for page in all_pages:
        told = page.under("AS GIVEN IN THE SESSION AND AS PLANNED")
        trains = page.plan.trains
        given = {name for one in trains for name in one.given}
        differ = [one for one in trains if set(one.given) != set(one.assigned)]
        if not given:
            assert told == f"The session gives no engine to any train; the plan runs {page.plan.engines_used}."
        elif not differ:
            assert told == "The session gives every train the engines planned here."
        else:
            uses = [page.use(one, one.given) for one in differ if one.given]
            assert ("A use over 100 % is too little power." in told) is any(1.0 < use < inf for use in uses)
            gives = f"gives {len(given)} engine{'' if len(given) == 1 else 's'} in all, the plan"
            assert f"{gives} {page.plan.engines_used}." in told
            same = sum(bool(one.given) and one not in differ for one in trains)
            counted = re.search(r"(\d+) other trains? (?:has|have) the same engines in both", told)
            assert (int(counted[1]) if counted else 0) == same


@pytest.mark.parametrize("keep", [False, True])
def test_what_is_said_to_be_worth_measuring(keep: bool) -> None:
    """Every engine named leaves a planned train short if it and the rest pull a fifth less; where none is named, no
    train planned falls short, and what is said is of the trains and engines planned, not of those given."""
    said_none = named = 0
    for seed in SEEDS:
        page = _kept(evening(seed)) if keep else Page(evening(seed))
        if page is None:
            continue
        weak = {
            name: each if each.measured else replace(each, pull_g=LESS * each.pull_g)
            for name, each in page.of.engines.items()
        }
        wanted: set[str] = set()
        for one in page.plan.trains:
            going = [weak[name] for name in one.assigned]
            if not one.short and use_of(page.of.train(one.train), going) > 1.0:
                wanted |= {each.name for each in going if not each.measured}
        told = page.under("WORTH MEASURING")
        if wanted:
            named += 1
            assert in_words(sorted(wanted)) in told
            assert "None" not in told
            continue
        said_none += 1
        moved = [one for one in page.plan.trains if not one.short and one.assigned]
        unmeasured = {name for one in moved for name in one.assigned if not page.of.engines[name].measured}
        assert "every train given engines" not in told
        if not moved:
            assert told == "None: no train has engines that move it."
        elif unmeasured:
            those = "every train" if len(moved) == len(page.plan.trains) else "every train that is not short"
            assert told.startswith(f"None: {those} moves with the engines planned for it, even if those not measured")
        else:
            assert told == "None: every engine planned has a measured pull."
    assert said_none > 5
    assert named > 0


def _kept(of: Session) -> Page | None:
    """The page of the first train alone, which keeps what it is given, whose home is anywhere; None without any."""
    one = of.trains[0]
    if not one.engines:
        return None
    anywhere = {name: replace(each, home="") for name, each in of.engines.items()}
    given = tuple(anywhere[each.name] for each in one.engines)
    return Page(replace(of, trains=(replace(one, engines=given),), engines=anywhere), keep=True)
