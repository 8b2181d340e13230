"""`unsure`: trains that do not hold by the figures taken, and may well by others."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import car, case, curve, engine, one_line, session, straight, train

import consist
from consist.house import House
from consist.rules import unsure
from consist.session import Session
from consist.trains import prepared

__all__: list[str] = []


def _session(house: House | None = None) -> Session:
    where = one_line(straight(200.0), curve(560.0, 80.0, grade_percent=1.0), straight(300.0))
    cars = [car(f"C{k}", 80.0, assumed=["rolling"]) for k in range(6)]
    return session(where, train(where, cars, [engine("1", 300.0, 120.0)]), house=house)


def _at_margin(of: float) -> Session:
    """The session of a house that holds what is under the train's margin over so much, and takes care right above."""
    use = prepared(_session(), _session().trains[0]).run().worst_use
    hold = 1.0 / use / of
    return _session(House(hold_margin=hold, care_margin=hold))


@pytest.mark.parametrize(("share", "found"), [(0.0, 0), (0.1, 0), (0.1001, 1), (0.9, 1)])
def test_it_speaks_from_over_a_tenth_of_draws(share: float, found: int) -> None:
    of = _session()
    told = unsure(case(of, of.trains[0]), share, "measure something")
    assert len(told) == found
    for one in told:
        assert (one.code, one.level, one.value, one.limit) == ("unsure", "care", share, 0.1)
        assert one.say.endswith(" of cases this train is on hold; measure something.")
        assert "10 %" not in one.say


def test_a_train_that_goes_and_might_well_hold_is_a_matter_of_care() -> None:
    of = _at_margin(1.02)
    sure, as_taken = consist.check(of).trains[0], consist.check(of, ranges=False).trains[0]
    assert (as_taken.verdict, sure.verdict) == ("go", "care")
    (finding,) = [one for one in sure.findings if one.code == "unsure"]
    assert sure.range is not None
    assert finding.value == sure.range.hold_share > 0.1
    assert sure.range.first is not None
    assert f"measure {sure.range.first.words}" in finding.say
    # nothing else is other
    same = replace(sure, verdict="go", range=None, findings=tuple(one for one in sure.findings if one != finding))
    assert same == as_taken
    levels = [one.level for one in sure.findings]
    assert levels == sorted(levels, key=["hold", "care", "note"].index)


def test_a_train_that_holds_anyway_or_is_far_from_it_is_told_nothing_of_it() -> None:
    for margin, verdict in ((0.98, "hold"), (4.0, "go")):
        (one,) = consist.check(_at_margin(margin)).trains
        assert one.verdict == verdict
        assert "unsure" not in {found.code for found in one.findings}
